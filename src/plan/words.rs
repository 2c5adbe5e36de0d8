//! A refusal in words, with the catalog's own names.

use crate::catalog::model::{Catalog, PartIx};

use super::outcome::{Blocked, Refusal};
use super::request::Task;

impl Task {
    /// "replace the receipt printer".
    pub fn words(self, catalog: &Catalog) -> String {
        let named = |verb: &str, part: PartIx| format!("{verb} “{}”", catalog.part(part).name);
        match self {
            Self::Replace(part) => named("replace", part),
            Self::Reseat(part) => named("reseat", part),
            Self::Inspect(part) => named("inspect", part),
            Self::Serve(service) => format!("run “{}”", catalog.service(service).said.name),
        }
    }
}

impl Refusal {
    /// Why there is no plan, and what can be done about it.
    pub fn words(&self, catalog: &Catalog) -> String {
        match self {
            Self::NotFitted(task) => format!(
                "Cannot {}: this unit is not fitted with it. Check the options.",
                task.words(catalog)
            ),
            Self::NotOffered(task) => format!(
                "Cannot {}: the catalog does not say how. Choose another task, or tell the \
                 catalog's author.",
                task.words(catalog)
            ),
            Self::Unreachable {
                task,
                chain,
                besides,
            } => format!(
                "Cannot {}: {}{}",
                task.words(catalog),
                chain_words(catalog, chain),
                besides_words(catalog, besides)
            ),
            Self::Conflict { tasks, stays } => conflict_words(catalog, tasks, stays),
            Self::CannotClose(part) => format!(
                "The unit cannot be closed from here: “{}” has no way back. Tell the catalog's \
                 author.",
                catalog.part(*part).name
            ),
            Self::TooManyTasks { most } => {
                format!("More than {most} tasks are too many for one visit. Drop some.")
            }
            Self::Limit { states } => format!(
                "No plan was found after looking at {states} states. Drop a task and plan again."
            ),
        }
    }
}

fn link(catalog: &Catalog, link: &Blocked) -> String {
    match link {
        Blocked::Part(part) | Blocked::Shut(part) => format!("“{}”", catalog.part(*part).name),
        Blocked::Task(task) => match *task {
            Task::Replace(part) | Task::Reseat(part) | Task::Inspect(part) => {
                format!("“{}”", catalog.part(part).name)
            }
            Task::Serve(service) => format!("“{}”", catalog.service(service).said.name),
        },
    }
}

/// What one link wants of the next.
fn wanted(link: &Blocked) -> &'static str {
    match link {
        Blocked::Part(_) | Blocked::Shut(_) => "open",
        Blocked::Task(_) => "done first",
    }
}

fn end(link: &Blocked) -> &'static str {
    match link {
        Blocked::Part(_) => "has no way to be opened here",
        Blocked::Shut(_) => "is blocked",
        Blocked::Task(_) => "cannot be done",
    }
}

fn chain_words(catalog: &Catalog, chain: &[Blocked]) -> String {
    let names: Vec<String> = chain.iter().map(|one| link(catalog, one)).collect();
    let Some((last, before)) = chain.split_last() else {
        return "nothing in the catalog makes it possible.".to_owned();
    };
    let (first, final_name) = (&names[0], &names[names.len() - 1]);
    if before.contains(last) {
        let links: Vec<String> = (1..chain.len())
            .map(|at| {
                format!(
                    "{} needs {} {}",
                    names[at - 1],
                    names[at],
                    wanted(&chain[at])
                )
            })
            .collect();
        return format!(
            "{first} cannot be reached, because {}.",
            links.join(", and ")
        );
    }
    if before.is_empty() {
        return format!("{first} {}.", end(last));
    }
    format!(
        "it goes through {}, and {final_name} {}.",
        names.join(" → "),
        end(last)
    )
}

fn besides_words(catalog: &Catalog, besides: &[Blocked]) -> String {
    let ends: Vec<String> = besides
        .iter()
        .map(|one| format!("{} {}", link(catalog, one), end(one)))
        .collect();
    if ends.is_empty() {
        return String::new();
    }
    format!(" The other way is shut too: {}.", ends.join(", and "))
}

fn conflict_words(catalog: &Catalog, tasks: &[Task], stays: &[PartIx]) -> String {
    let all: Vec<String> = tasks.iter().map(|task| task.words(catalog)).collect();
    let named: Vec<String> = stays
        .iter()
        .map(|part| format!("“{}”", catalog.part(*part).name))
        .collect();
    let why = if named.is_empty() {
        "what must stay in place for one thing is in the way of another".to_owned()
    } else {
        format!(
            "{} must stay in place for one thing, and another opens it",
            named.join(" and ")
        )
    };
    match all.as_slice() {
        [] => format!("The unit cannot be closed from here: {why}."),
        [one] => format!("Cannot {one} and close the unit: {why}."),
        _ => format!(
            "In one visit one cannot both {}: {why}. Drop one of them.",
            all.join(" and ")
        ),
    }
}
