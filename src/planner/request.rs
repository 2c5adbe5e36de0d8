//! What a plan is asked for.

use lidoff_catalog::model::{Catalog, PartIx, ServiceIx, StepIx};
use lidoff_catalog::setup::Setup;

use super::{Op, Tenths, UnitState};

/// Something to be done to the unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Task {
    /// Replace the part.
    Replace(PartIx),
    /// Reseat the part.
    Reseat(PartIx),
    /// Inspect the part.
    Inspect(PartIx),
    /// Run a service operation.
    Serve(ServiceIx),
}

impl Task {
    /// The operation that does it.
    pub const fn op(self) -> Op {
        match self {
            Self::Replace(part) => Op::Swap(part),
            Self::Reseat(part) => Op::Reseat(part),
            Self::Inspect(part) => Op::Inspect(part),
            Self::Serve(service) => Op::Serve(service),
        }
    }
}

/// What everything costs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prices {
    /// Time of each step of the catalog, by step index.
    pub steps: Vec<Tenths>,
    /// Each time the tool needed differs from the tool in hand.
    pub tool_change: Tenths,
    /// Each time the face needed differs from the face up.
    pub face_change: Tenths,
}

impl Prices {
    /// Time of one step.
    pub fn of(&self, step: StepIx) -> Tenths {
        self.steps[step.index()]
    }
}

/// How hard to try.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// States to look at before the best plan so far is returned with its bound,
    /// and once more as many to find one; for up to a hundred operations, and
    /// fewer in proportion where there are more.
    pub states: usize,
}

impl Limits {
    /// While a technician waits: well under a second on a phone.
    pub const INTERACTIVE: Self = Self { states: 30_000 };
}

impl Default for Limits {
    /// A quarter of a million states: some tens of megabytes at the most.
    fn default() -> Self {
        Self { states: 250_000 }
    }
}

/// What a plan is asked for.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    /// The unit.
    pub catalog: &'a Catalog,
    /// How this one is fitted, and what has been answered.
    pub setup: &'a Setup,
    /// What is still to be done. Service operations that a replacement brings
    /// with it are named here too: see [`with_services`].
    pub tasks: &'a [Task],
    /// The state that the unit is in now.
    pub from: &'a UnitState,
    /// What everything costs.
    pub prices: &'a Prices,
    /// Ways out that cannot be gone on this unit (a screw that will not turn), or
    /// that must not: operations that ease or take off. The way back is not shut:
    /// what is open already can be closed.
    pub blocked: &'a [Op],
    /// How hard to try.
    pub limits: Limits,
}

/// The tasks, with the service operations that their replacements bring along
/// added once each, after them.
pub fn with_services(catalog: &Catalog, setup: &Setup, tasks: &[Task]) -> Vec<Task> {
    let mut all: Vec<Task> = Vec::new();
    for task in tasks {
        if !all.contains(task) {
            all.push(*task);
        }
    }
    for task in tasks {
        let Task::Replace(part) = task else { continue };
        let Some(swap) = &catalog.part(*part).swap else {
            continue;
        };
        for service in &swap.services {
            let task = Task::Serve(*service);
            if setup.holds(&catalog.service(*service).when) && !all.contains(&task) {
                all.push(task);
            }
        }
    }
    all
}
