//! The list for loading the van: everything that a job needs, to be ticked off. Pure.

use lidoff_catalog::format::{KitClass, Text};
use lidoff_catalog::insertion_sort;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, torque_setting, tr, tr_noop};
use lidoff_job::fold::TaskProgress;
use lidoff_job::{Job, PlannedStep, TaskRef};
use lidoff_planner::Task;

use super::planning::{amount_words, consumables, is_brought, may_be_needed};
use super::task_choice::spare_of;

/// A line to be ticked off.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VanLine {
    /// The same in every language; a tick is kept under it.
    pub key: Text,
    /// What to load.
    pub words: Text,
}

/// Lines of one kind.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct VanSection {
    /// Its name, to be localized.
    pub name: &'static str,
    /// Its lines.
    pub lines: Vec<VanLine>,
}

/// A tool, and the torques that it is set to.
struct ToolUse<'a> {
    name: &'a str,
    step: &'a PlannedStep,
    torques_nm: Vec<f64>,
}

/// What to load for this job: spares, tools with their settings, consumables, protection,
/// other kit. Sections without lines are left out.
pub fn van_list(catalog: &Catalog, job: &Job) -> Vec<VanSection> {
    let done = job.done.iter().map(|done| &done.step);
    let steps: Vec<&PlannedStep> = done.chain(&job.remaining).collect();
    let steps = || steps.iter().copied();
    let all = [
        (tr_noop!("Spares"), spares(catalog, job)),
        (tr_noop!("Tools"), tools(steps())),
        (tr_noop!("Consumables"), used_up(job, steps())),
        (tr_noop!("Protective equipment"), kit(catalog, job, true)),
        (tr_noop!("Site and test kit"), kit(catalog, job, false)),
    ];
    let all = all.into_iter().filter(|(_, lines)| !lines.is_empty());
    all.map(|(name, lines)| VanSection { name, lines })
        .collect()
}

fn line(kind: &str, name: &str, words: Text) -> VanLine {
    VanLine {
        key: format!("{kind}/{name}"),
        words,
    }
}

fn spares(catalog: &Catalog, job: &Job) -> Vec<VanLine> {
    let tasks = job.tasks.iter();
    let tasks = tasks.filter(|task| task.state != TaskProgress::Dropped);
    let tasks: Vec<&TaskRef> = tasks.map(|task| &task.task.task).collect();
    let found: Vec<Task> = tasks.iter().filter_map(|task| task.find(catalog)).collect();
    let brought = tasks
        .into_iter()
        .filter(|task| is_brought(catalog, &found, task));
    let lines = brought.filter_map(|task| {
        let TaskRef::Replace(part) = task else {
            return None;
        };
        Some(line("spare", part.as_str(), spare_of(catalog, task)?))
    });
    lines.collect()
}

fn tools<'a>(steps: impl Iterator<Item = &'a PlannedStep>) -> Vec<VanLine> {
    let mut tools: Vec<ToolUse> = Vec::new();
    for step in steps {
        let Some(name) = step.tool.as_deref() else {
            continue;
        };
        let known = tools.iter().position(|tool| tool.name == name);
        let at = known.unwrap_or_else(|| {
            tools.push(ToolUse {
                name,
                step,
                torques_nm: Vec::new(),
            });
            tools.len() - 1
        });
        let torques = step.redo.iter().filter_map(|set| set.torque);
        for torque in torques {
            if !tools[at].torques_nm.contains(&torque.nm) {
                tools[at].torques_nm.push(torque.nm);
            }
        }
    }
    let lines = tools.into_iter().map(|mut tool| {
        insertion_sort(&mut tool.torques_nm, |one, next| one > next);
        let mut words = tool.step.describe_tool().unwrap_or_default();
        if !tool.torques_nm.is_empty() {
            let settings = tool.torques_nm.iter().map(|nm| torque_setting(*nm));
            let torques = settings.collect::<Vec<_>>().join("; ");
            words = tr!("{tool}: set to {torques}", tool = words, torques);
        }
        line("tool", tool.name, words)
    });
    let mut lines: Vec<VanLine> = lines.collect();
    insertion_sort(&mut lines, |one, next| one.words > next.words);
    lines
}

/// What the steps use up, and what may be used up besides.
fn used_up<'a>(job: &Job, steps: impl Iterator<Item = &'a PlannedStep>) -> Vec<VanLine> {
    let surely = consumables(steps).into_iter();
    let surely = surely.map(|(name, words)| line("consumable", &name, words));
    let perhaps = job.plan.iter().flat_map(|plan| &plan.may_need.uses);
    let perhaps = perhaps.map(|used| {
        let words = amount_words(&used.name, used.quantity, &used.unit);
        line("may-use", &used.name, may_be_needed(&words))
    });
    surely.chain(perhaps).collect()
}

/// The kit of the plan, and what may be needed besides: protection, or all that is not.
fn kit(catalog: &Catalog, job: &Job, is_protection: bool) -> Vec<VanLine> {
    let is_worn = |name: &str| {
        let mut items = catalog.kit().iter();
        items.any(|item| item.name == name && item.class == KitClass::Ppe)
    };
    let surely = job.plan.iter().flat_map(|plan| &plan.kit);
    let surely = surely.map(|name| (name, localize(name).into_owned()));
    let perhaps = job.plan.iter().flat_map(|plan| &plan.may_need.kit);
    let perhaps = perhaps.map(|name| (name, may_be_needed(&localize(name))));
    let all = surely.chain(perhaps);
    let all = all.filter(|(name, _)| is_worn(name) == is_protection);
    all.map(|(name, words)| line("kit", name, words)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_testkit::demo;
    use lidoff_testkit::visit::{Visit, replace};

    fn list(parts: &[&str], steps: usize) -> Vec<VanSection> {
        let kiosk = demo::perch();
        let tasks: Vec<TaskRef> = parts.iter().map(|part| replace(part)).collect();
        let mut visit = Visit::begin(&kiosk, &tasks);
        for _ in 0..steps {
            visit.do_one();
        }
        van_list(&kiosk, &visit.job())
    }

    fn words<'a>(list: &'a [VanSection], name: &str) -> Vec<&'a str> {
        let section = list.iter().find(|section| section.name == name);
        let lines = section.into_iter().flat_map(|section| &section.lines);
        lines.map(|line| line.words.as_str()).collect()
    }

    #[test]
    fn the_list_has_spares_with_numbers_and_tools_with_torques() {
        let list = list(&["printer", "psu"], 0);
        let spares = words(&list, "Spares");
        assert_eq!(spares.len(), 2);
        assert!(spares[0].contains("P22-1170"), "{spares:?}");
        let tools = words(&list, "Tools");
        assert!(
            tools.iter().any(|tool| tool.contains(": set to ")),
            "{tools:?}"
        );
        assert!(tools.is_sorted());
    }

    #[test]
    fn what_a_finding_may_need_is_loaded_too() {
        let laptop = demo::sorrel();
        let visit = Visit::begin(&laptop, &[replace("long-battery-pack")]);
        let list = van_list(&laptop, &visit.job());
        let worn = words(&list, "Protective equipment");
        let may_be = |line: &&&str| line.contains("Heat") && line.contains("may be needed");
        assert!(worn.iter().find(may_be).is_some(), "{worn:?}");
    }

    #[test]
    fn protection_is_apart_from_other_kit() {
        let list = list(&["screen"], 0);
        let worn = words(&list, "Protective equipment");
        assert!(worn.contains(&"Cut-resistant gloves"), "{worn:?}");
        assert!(!words(&list, "Site and test kit").contains(&"Cut-resistant gloves"));
    }

    #[test]
    fn no_line_appears_twice_and_all_tools_stay_while_the_job_goes_on() {
        let (before, after) = (list(&["psu"], 0), list(&["psu"], 12));
        assert_eq!(words(&before, "Tools"), words(&after, "Tools"));
        let lines = before.iter().flat_map(|section| &section.lines);
        let mut keys: Vec<&str> = lines.map(|line| line.key.as_str()).collect();
        let many = keys.len();
        keys.sort_unstable();
        keys.dedup();
        assert_eq!(keys.len(), many);
    }

    #[test]
    fn no_spare_is_loaded_for_a_part_that_comes_new_with_another() {
        let list = list(&["printer", "print-head"], 0);
        assert_eq!(words(&list, "Spares").len(), 1);
    }
}
