//! Tasks and refusals in words, with the catalog's own names.

use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_i18n::{localize, tr};

use crate::outcome::{Blocked, Refusal};
use crate::request::Task;

impl Task {
    /// "replace the receipt printer".
    pub fn words(self, catalog: &Catalog) -> String {
        let named = |part: PartIx| localize(&catalog.part(part).name);
        match self {
            Self::Replace(part) => tr!("replace “{}”", named(part)),
            Self::Reseat(part) => tr!("reseat “{}”", named(part)),
            Self::Inspect(part) => tr!("inspect “{}”", named(part)),
            Self::Serve(service) => tr!("run “{}”", localize(&catalog.service(service).entry.name)),
            Self::LeaveOut(part) => tr!("leave out “{}”", named(part)),
        }
    }
}

impl Refusal {
    /// Why there is no plan, and what can be done about it.
    pub fn words(&self, catalog: &Catalog) -> String {
        match self {
            Self::NotFitted(task) => tr!(
                "Cannot {}: this unit is not fitted with it. Check the options.",
                task.words(catalog)
            ),
            Self::NotOffered(task) => tr!(
                "Cannot {}: the catalog does not say how. Choose another task, or tell the \
                 catalog author.",
                task.words(catalog)
            ),
            Self::Unreachable {
                task,
                chain,
                besides,
            } => tr!(
                "Cannot {}: {}{}",
                task.words(catalog),
                chain_words(catalog, chain),
                besides_words(catalog, besides)
            ),
            Self::Conflict { tasks, stays } => conflict_words(catalog, tasks, stays),
            Self::CannotClose(part) => tr!(
                "The unit cannot be closed from here: “{}” has no way back. Tell the catalog \
                 author.",
                localize(&catalog.part(*part).name)
            ),
            Self::TooManyTasks { most } => {
                tr!(
                    "More than {most} tasks are too many for one visit. Drop some.",
                    most
                )
            }
            Self::Limit { states } => tr!(
                "No plan found within {states} states. If the job has several tasks, drop one and \
                 replan. Otherwise tell the catalog author.",
                states
            ),
        }
    }
}

fn link_name(catalog: &Catalog, link: &Blocked) -> String {
    match link {
        Blocked::Part(part) | Blocked::Shut(part) => {
            tr!("“{}”", localize(&catalog.part(*part).name))
        }
        Blocked::Task(task) => match *task {
            Task::Replace(part)
            | Task::Reseat(part)
            | Task::Inspect(part)
            | Task::LeaveOut(part) => {
                tr!("“{}”", localize(&catalog.part(part).name))
            }
            Task::Serve(service) => tr!("“{}”", localize(&catalog.service(service).entry.name)),
        },
    }
}

/// The state that one link needs the next one in.
fn demanded_state(link: &Blocked) -> String {
    match link {
        Blocked::Part(_) | Blocked::Shut(_) => tr!("open"),
        Blocked::Task(_) => tr!("done first"),
    }
}

fn reason_for_end(link: &Blocked) -> String {
    match link {
        Blocked::Part(_) => tr!("cannot be opened here"),
        Blocked::Shut(_) => tr!("is blocked"),
        Blocked::Task(_) => tr!("cannot be done"),
    }
}

fn chain_words(catalog: &Catalog, chain: &[Blocked]) -> String {
    let names: Vec<String> = chain.iter().map(|one| link_name(catalog, one)).collect();
    let Some((last, before)) = chain.split_last() else {
        return tr!("the catalog has no way to do it.");
    };
    let (first, final_name) = (&names[0], &names[names.len() - 1]);
    if before.contains(last) {
        let links: Vec<String> = (1..chain.len())
            .map(|at| {
                tr!("in a chain of refusals" => "{} needs {} {}", names[at - 1], names[at], demanded_state(&chain[at]))
            })
            .collect();
        return tr!(
            "{first} cannot be reached, because {}.",
            links.join(&tr!(", and ")),
            first
        );
    }
    if before.is_empty() {
        return format!("{first} {}.", reason_for_end(last));
    }
    tr!(
        "the route goes through {}, and {final_name} {}.",
        names.join(" → "),
        reason_for_end(last),
        final_name
    )
}

fn besides_words(catalog: &Catalog, besides: &[Blocked]) -> String {
    let ends: Vec<String> = besides
        .iter()
        .map(|one| format!("{} {}", link_name(catalog, one), reason_for_end(one)))
        .collect();
    if ends.is_empty() {
        return String::new();
    }
    tr!(
        " The other route is blocked too: {}.",
        ends.join(&tr!(", and "))
    )
}

fn conflict_words(catalog: &Catalog, tasks: &[Task], stays: &[PartIx]) -> String {
    let all: Vec<String> = tasks.iter().map(|task| task.words(catalog)).collect();
    let named: Vec<String> = stays
        .iter()
        .map(|part| tr!("“{}”", localize(&catalog.part(*part).name)))
        .collect();
    let why = if named.is_empty() {
        tr!("a part that must stay in place for one task is in the way of another")
    } else {
        tr!(
            "{} must stay in place for one task, but another task opens it",
            named.join(&tr!(" and "))
        )
    };
    match all.as_slice() {
        [] => tr!("The unit cannot be closed from here: {why}.", why),
        [one] => tr!("Cannot {one} and close the unit: {why}.", one, why),
        _ => tr!(
            "Cannot {} in one visit: {why}. Drop one task.",
            all.join(&tr!(" and ")),
            why
        ),
    }
}
