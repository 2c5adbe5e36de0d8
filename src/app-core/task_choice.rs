//! The tasks that a unit offers in its configuration. Pure.

use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_i18n::tr_noop;
use lidoff_job::NamedTask;
use lidoff_planner::Task;

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

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_catalog::check::read;
    use lidoff_job::TaskRef;

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
}
