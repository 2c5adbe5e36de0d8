//! The tasks that a unit offers in its configuration. Pure.

use lidoff_catalog::format::{AddedTask, Spare, Text};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_i18n::{localize, tr, tr_noop};
use lidoff_job::{NamedTask, TaskRef};
use lidoff_planner::Task;
use lidoff_planner::request::modules_of;

/// The kind of work of a task.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TaskGroup {
    /// A part is replaced.
    Replace,
    /// A part is taken out and put back.
    Reseat,
    /// A part is looked at.
    Inspect,
    /// A service operation of the catalog.
    Service,
}

impl TaskGroup {
    /// All groups, in the order of the screens.
    pub const ALL: [Self; 4] = [Self::Replace, Self::Reseat, Self::Inspect, Self::Service];

    /// Its name, to be localized.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Replace => tr_noop!("Replace"),
            Self::Reseat => tr_noop!("Reseat"),
            Self::Inspect => tr_noop!("Inspect"),
            Self::Service => tr_noop!("Service"),
        }
    }
}

/// Every task that the unit offers with this configuration, group by group. None if the
/// configuration does not fit the catalog.
pub fn offered_tasks(catalog: &Catalog, setup: &Configuration) -> Vec<(NamedTask, TaskGroup)> {
    let Ok(setup) = Setup::new(catalog, setup) else {
        return Vec::new();
    };
    let parts = || catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let replace = parts()
        .filter(|(_, part)| part.swap.is_some())
        .map(|(at, _)| (Task::Replace(at), TaskGroup::Replace));
    let reseat = parts()
        .filter(|(_, part)| part.reseat.is_some())
        .map(|(at, _)| (Task::Reseat(at), TaskGroup::Reseat));
    let inspect = parts()
        .filter(|(_, part)| part.inspect.is_some())
        .map(|(at, _)| (Task::Inspect(at), TaskGroup::Inspect));
    let service = catalog
        .services()
        .filter(|(_, service)| setup.holds(&service.when))
        .map(|(at, _)| (Task::Serve(at), TaskGroup::Service));
    let all = replace.chain(reseat).chain(inspect).chain(service);
    all.map(|(task, group)| (NamedTask::new(catalog, task), group))
        .collect()
}

/// The replacements of larger parts that bring a new one of this part with them, nearest first:
/// those that this unit has and that are not among these tasks.
pub fn modules_instead(
    catalog: &Catalog,
    setup: &Configuration,
    tasks: &[TaskRef],
    task: &TaskRef,
) -> Vec<NamedTask> {
    let (Ok(setup), Some(Task::Replace(part))) = (Setup::new(catalog, setup), task.find(catalog))
    else {
        return Vec::new();
    };
    let modules = modules_of(catalog, part).into_iter();
    let modules = modules.filter(|module| setup.has(catalog, *module));
    let modules = modules.map(|module| NamedTask::new(catalog, Task::Replace(module)));
    modules
        .filter(|module| !tasks.contains(&module.task))
        .collect()
}

/// Parts that are alike: what they are, and the replacement of each that this unit has. Only
/// where there are several.
pub fn like_parts(catalog: &Catalog, setup: &Configuration) -> Vec<(Text, Vec<NamedTask>)> {
    let mut kinds: Vec<(Text, Vec<NamedTask>)> = Vec::new();
    for (task, _) in offered_tasks(catalog, setup) {
        let TaskRef::Replace(id) = &task.task else {
            continue;
        };
        let part = catalog.find_part(id.as_str()).map(|at| catalog.part(at));
        let Some(like) = part.and_then(|part| part.like.clone()) else {
            continue;
        };
        match kinds.iter_mut().find(|(known, _)| *known == like) {
            Some((_, tasks)) => tasks.push(task),
            None => kinds.push((like, vec![task])),
        }
    }
    kinds.retain(|(_, tasks)| tasks.len() > 1);
    kinds
}

/// The spare that a task needs.
pub fn spare_of(catalog: &Catalog, task: &TaskRef) -> Option<Text> {
    let Some(Task::Replace(part)) = task.find(catalog) else {
        return None;
    };
    let spare = catalog.spare(catalog.part(part).swap.as_ref()?.spare?);
    Some(describe_spare(spare))
}

/// "Drive (MF-1, 48.00; replaces MF-0); in the box: two screws".
fn describe_spare(spare: &Spare) -> Text {
    let name = localize(&spare.name);
    let number = match &spare.price {
        Some(price) => format!("{}, {price}", spare.number),
        None => spare.number.clone(),
    };
    let number = match spare.replaces.join(", ") {
        old if old.is_empty() => number,
        old => tr!("{number}; replaces {old}", number, old),
    };
    let included: Vec<_> = spare.includes.iter().map(|one| localize(one)).collect();
    if included.is_empty() {
        return format!("{name} ({number})");
    }
    let included = included.join(", ");
    tr!(
        "{name} ({number}); in the box: {included}",
        name,
        number,
        included
    )
}

/// The task that a failed reading suggests, in this catalog.
pub fn suggested_task(catalog: &Catalog, task: &AddedTask) -> Option<NamedTask> {
    let task = match task {
        AddedTask::Replace(id) => TaskRef::Replace(id.clone()),
        AddedTask::Reseat(id) => TaskRef::Reseat(id.clone()),
        AddedTask::Inspect(id) => TaskRef::Inspect(id.clone()),
        AddedTask::Serve(id) => TaskRef::Serve(id.clone()),
    };
    Some(NamedTask::new(catalog, task.find(catalog)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::check::read;

    #[test]
    fn a_part_that_is_not_fitted_is_not_offered() {
        let (_, json) = lidoff_testkit::demo::CATALOGS[0];
        let catalog = read("perch-22.json", json).expect("a good catalog");
        let usual = Configuration::usual(&catalog);
        let tasks = |setup: &Configuration| offered_tasks(&catalog, setup);
        let all = tasks(&usual);
        assert!(!all.is_empty());
        // Each option that the unit usually has, taken off: it offers no more than before,
        // and for one of them it offers less.
        let less = usual.fitted.iter().filter(|option| {
            let mut setup = usual.clone();
            setup.fitted.retain(|one| one != *option);
            tasks(&setup).len() < all.len()
        });
        assert!(less.count() > 0);
    }

    #[test]
    fn a_replacement_is_in_the_group_of_replacements() {
        let (_, json) = lidoff_testkit::demo::CATALOGS[1];
        let catalog = read("sorrel-14.json", json).expect("a good catalog");
        for (task, group) in offered_tasks(&catalog, &Configuration::usual(&catalog)) {
            let replaces = matches!(task.task, TaskRef::Replace(_));
            assert_eq!(replaces, group == TaskGroup::Replace, "{}", task.name);
        }
    }

    #[test]
    fn a_part_that_stays_on_its_carrier_comes_new_with_it() {
        let (_, json) = lidoff_testkit::demo::CATALOGS[0];
        let catalog = read("perch-22.json", json).expect("a good catalog");
        let usual = Configuration::usual(&catalog);
        let replace = |id: &str| TaskRef::Replace(id.into());
        let modules = |id: &str, tasks: &[TaskRef]| {
            let found = modules_instead(&catalog, &usual, tasks, &replace(id)).into_iter();
            found.map(|one| one.task).collect::<Vec<_>>()
        };
        assert_eq!(modules("print-head", &[]), [replace("printer")]);
        assert_eq!(modules("print-head", &[replace("printer")]), []);
        // The fan moves over to the new door.
        assert_eq!(modules("fan", &[]), []);
        assert_eq!(modules("printer", &[]), []);
    }

    #[test]
    fn parts_that_are_alike_are_listed_where_the_unit_has_several() {
        let (_, json) = lidoff_testkit::demo::CATALOGS[1];
        let catalog = read("sorrel-14.json", json).expect("a good catalog");
        let kinds = like_parts(&catalog, &Configuration::usual(&catalog));
        let names: Vec<&str> = kinds.iter().map(|(kind, _)| kind.as_str()).collect();
        assert_eq!(names, ["hinge cover", "hinge"]);
        assert!(kinds.iter().all(|(_, tasks)| tasks.len() == 2));
    }
}
