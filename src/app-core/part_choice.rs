//! The list of the new job screen: parts in groups, one row each with all its tasks; and the
//! configuration of the unit as a sentence. Pure.

use lidoff_catalog::format::{Asked, Text};
use lidoff_catalog::insertion_sort;
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::{contains_typed, localize, strip_soft_hyphens, tr, tr_noop};
use lidoff_job::{NamedTask, TaskRef};
use lidoff_planner::Task;

use super::display::capitalize;
use super::task_choice::{TaskGroup, offered_tasks};

/// A part or a service operation, with its tasks.
#[derive(Clone, Debug, PartialEq)]
pub struct PartRow {
    /// Its name.
    pub name: Text,
    /// Its tasks, the usual one first: the replacement, if there is one.
    pub tasks: Vec<NamedTask>,
}

impl PartRow {
    /// The task that is chosen by a tap on the row.
    pub fn usual(&self) -> Option<&NamedTask> {
        self.tasks.first()
    }

    /// What distinguishes it from other rows.
    pub fn key(&self) -> Vec<Text> {
        self.tasks.iter().map(NamedTask::describe).collect()
    }
}

/// Rows that belong together.
#[derive(Clone, Debug, PartialEq)]
pub struct PartGroup {
    /// Its name: the part that all others come away with.
    pub name: Text,
    /// The rows.
    pub rows: Vec<PartRow>,
}

impl PartGroup {
    /// The rows that fit what was typed into the search field: all, if the name of the group
    /// does.
    pub fn found(&self, typed: &str) -> Vec<PartRow> {
        let is_found = |name: &str| contains_typed(&localize(name), typed);
        let all = is_found(&self.name);
        let rows = self.rows.iter();
        let rows = rows.filter(|row| all || is_found(&row.name));
        rows.cloned().collect()
    }
}

/// Everything that the unit offers with this configuration: the parts that come away together,
/// the other parts by name, the service operations.
pub fn part_groups(catalog: &Catalog, setup: &Configuration) -> Vec<PartGroup> {
    let mut carried: Vec<(PartIx, Vec<PartRow>)> = Vec::new();
    let mut services = Vec::new();
    for (task, group) in offered_tasks(catalog, setup) {
        let Some((part, is_carrier)) = part_of(catalog, &task.task) else {
            if group == TaskGroup::Service {
                services.push(PartRow {
                    name: task.name.clone(),
                    tasks: vec![task],
                });
            }
            continue;
        };
        let known = carried.iter().position(|(at, _)| *at == part);
        let at = known.unwrap_or_else(|| {
            carried.push((part, Vec::new()));
            carried.len() - 1
        });
        let rows = &mut carried[at].1;
        match rows.iter_mut().find(|row| row.name == task.name) {
            Some(row) => row.tasks.push(task),
            None => {
                // The part that the others come away with is the first.
                let at = if is_carrier { 0 } else { rows.len() };
                let name = task.name.clone();
                let tasks = vec![task];
                rows.insert(at, PartRow { name, tasks });
            }
        }
    }
    let mut groups = Vec::new();
    let mut others = Vec::new();
    for (part, mut rows) in carried {
        if rows.len() > 1 {
            let name = catalog.part(part).name.clone();
            groups.push(PartGroup { name, rows });
        } else {
            others.append(&mut rows);
        }
    }
    let letters = |row: &PartRow| strip_soft_hyphens(&localize(&row.name)).to_lowercase();
    insertion_sort(&mut others, |one, next| letters(one) > letters(next));
    let rest = [
        (tr_noop!("Other parts"), others),
        (TaskGroup::Service.name(), services),
    ];
    let rest = rest.into_iter().filter(|(_, rows)| !rows.is_empty());
    groups.extend(rest.map(|(name, rows)| PartGroup {
        name: name.to_owned(),
        rows,
    }));
    groups
}

/// The part that the part of this task comes away with in the end, and whether it is that
/// part itself. None for a service operation.
fn part_of(catalog: &Catalog, task: &TaskRef) -> Option<(PartIx, bool)> {
    let (Task::Replace(part) | Task::Reseat(part) | Task::Inspect(part)) = task.find(catalog)?
    else {
        return None;
    };
    let mut carrier = part;
    while let Some(next) = catalog.part(carrier).rides_on {
        carrier = next;
    }
    Some((carrier, carrier == part))
}

/// How the unit is fitted, in a sentence: "Floor pedestal, card reader, no coin acceptor.";
/// then the answers given, and how many questions are open. Empty if the unit has neither
/// options nor questions.
pub fn setup_sentence(catalog: &Catalog, setup: &Configuration) -> Text {
    let mut options = Vec::new();
    for (_, option) in catalog.options() {
        let name = short_name(&option.name);
        if setup.fitted.contains(&option.id) {
            options.push(name);
        } else if option.group.is_none() {
            options.push(tr!("no {option}", option = name));
        }
    }
    let mut sentences = Vec::new();
    if !options.is_empty() {
        sentences.push(format!("{}.", capitalize(&options.join(", "))));
    }
    let mut open = 0;
    for (_, question) in catalog.questions() {
        let given = setup.answers.get(&question.id);
        let given = given.and_then(|id| question.answers.iter().find(|answer| answer.id == *id));
        match given {
            Some(answer) => sentences.push(format!(
                "{} {}.",
                localize(&question.text),
                localize(&answer.text)
            )),
            None if question.asked == Asked::Before => open += 1,
            None => {}
        }
    }
    if open > 0 {
        sentences.push(tr!(
            "One question is open." | "{n} questions are open." % open
        ));
    }
    sentences.join(" ")
}

/// The name of an option within a sentence, without its explanation in brackets.
fn short_name(name: &str) -> Text {
    let localized = localize(name);
    let short = localized.split(" (").next().unwrap_or_default();
    // An English name is a common noun unless it begins with an abbreviation.
    let mut letters = short.chars();
    let (first, second) = (letters.next(), letters.next());
    match (first, second) {
        (Some(first), Some(second)) if localized == name && second.is_lowercase() => {
            let rest = &short[first.len_utf8()..];
            first.to_lowercase().chain(rest.chars()).collect()
        }
        _ => short.to_owned(),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_testkit::demo;

    fn groups() -> Vec<PartGroup> {
        let kiosk = demo::perch();
        part_groups(&kiosk, &Configuration::usual(&kiosk))
    }

    fn names(rows: &[PartRow]) -> Vec<&str> {
        rows.iter().map(|row| row.name.as_str()).collect()
    }

    #[test]
    fn parts_that_come_away_together_are_in_one_group_with_their_carrier_first() {
        let groups = groups();
        let printer = groups.iter().find(|group| group.name == "Receipt printer");
        let printer = printer.expect("a group");
        assert_eq!(
            names(&printer.rows),
            ["Receipt printer", "Print head", "Cutter"]
        );
        let last = groups.last().expect("a group");
        assert_eq!(last.name, "Service");
        let others = names(&groups[groups.len() - 2].rows);
        assert!(others.is_sorted(), "{others:?}");
    }

    #[test]
    fn every_task_is_in_one_row_and_a_replacement_is_the_usual_one() {
        let kiosk = demo::perch();
        let usual = Configuration::usual(&kiosk);
        let groups = groups();
        let rows = || groups.iter().flat_map(|group| &group.rows);
        let offered = offered_tasks(&kiosk, &usual);
        let listed: usize = rows().map(|row| row.tasks.len()).sum();
        assert_eq!(listed, offered.len());
        for row in rows() {
            let is_replacement = |task: &NamedTask| matches!(task.task, TaskRef::Replace(_));
            let has_one = row.tasks.iter().any(is_replacement);
            assert_eq!(row.usual().is_some_and(is_replacement), has_one);
        }
    }

    #[test]
    fn a_search_finds_a_part_by_its_name_or_by_that_of_its_group() {
        let groups = groups();
        let found = |typed: &str| {
            let rows = groups.iter().flat_map(|group| group.found(typed));
            rows.map(|row| row.name).collect::<Vec<_>>()
        };
        assert_eq!(found("CUTTER"), ["Cutter"]);
        let of_printer = found("printer");
        assert!(
            of_printer.contains(&"Print head".to_owned()),
            "{of_printer:?}"
        );
        assert_eq!(found("no such part"), [""; 0]);
    }

    #[test]
    fn the_configuration_of_a_unit_is_a_sentence() {
        let kiosk = demo::perch();
        let mut setup = Configuration::usual(&kiosk);
        assert_eq!(
            setup_sentence(&kiosk, &setup),
            "Floor pedestal, card reader, no coin acceptor with coin box, no cabinet heater. \
             2 questions are open."
        );
        setup.answers.insert("glass-state".into(), "cracked".into());
        let sentence = setup_sentence(&kiosk, &setup);
        assert!(
            sentence.ends_with(
                "Is the screen glass intact? No, cracked or chipped. One question is open."
            ),
            "{sentence}"
        );
    }
}
