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
            Self::Unreachable { task, chain } => {
                format!(
                    "Cannot {}: {}",
                    task.words(catalog),
                    chain_words(catalog, chain)
                )
            }
            Self::Conflict => {
                "Each task can be reached, but not all of them in one visit: what must \
                               stay in place for one is in the way of another. Drop a task."
                    .to_owned()
            }
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

fn chain_words(catalog: &Catalog, chain: &[Blocked]) -> String {
    let name = |link: &Blocked| match link {
        Blocked::Part(part) | Blocked::MustStay(part) => catalog.part(*part).name.clone(),
        Blocked::Service(service) => catalog.service(*service).said.name.clone(),
    };
    let names: Vec<String> = chain.iter().map(name).collect();
    let (Some(first), Some(last)) = (names.first(), names.last()) else {
        return "nothing in the catalog makes it possible.".to_owned();
    };
    if names.len() > 1 && names[..names.len() - 1].contains(last) {
        let links: Vec<String> = names
            .windows(2)
            .map(|pair| format!("“{}” needs “{}” open", pair[0], pair[1]))
            .collect();
        return format!(
            "“{first}” cannot be reached, because {}.",
            links.join(", and ")
        );
    }
    if names.len() == 1 {
        return format!("“{first}” has no way to be opened here.");
    }
    format!(
        "it goes through {}, and “{last}” has no way to be opened here.",
        names.join(" → ")
    )
}
