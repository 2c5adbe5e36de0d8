//! Requests for a plan.

use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{Catalog, PartIx, ResolvedFormula, ServiceIx, StepIx, Swap};
use lidoff_catalog::setup::Setup;

use crate::cost::Tenths;
use crate::op::Op;
use crate::state::UnitState;

/// Something to be done to the unit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Task {
    Replace(PartIx),
    Reseat(PartIx),
    Inspect(PartIx),
    Serve(ServiceIx),
    /// Close the unit without this part. The unit is then out of use: see the
    /// [legal operations](crate).
    LeaveOut(PartIx),
}

impl Task {
    /// The operation that does it.
    pub const fn op(self) -> Op {
        match self {
            Self::Replace(part) => Op::Swap(part),
            Self::Reseat(part) => Op::Reseat(part),
            Self::Inspect(part) => Op::Inspect(part),
            Self::Serve(service) => Op::Serve(service),
            Self::LeaveOut(part) => Op::LeaveOut(part),
        }
    }

    /// Whether it can only be done while some source is live.
    pub fn needs_live(self, catalog: &Catalog) -> bool {
        let needs = match self {
            Self::Serve(service) => Some(&catalog.service(service).needs),
            Self::Inspect(part) => catalog.part(part).inspect.as_ref().map(|how| &how.needs),
            Self::Replace(_) | Self::Reseat(_) | Self::LeaveOut(_) => None,
        };
        needs.is_some_and(|needs| names_live_source(catalog, needs))
    }

    /// The task that an operation does; `None` for a way out or back.
    pub const fn done_by(op: Op) -> Option<Self> {
        match op {
            Op::Swap(part) => Some(Self::Replace(part)),
            Op::Reseat(part) => Some(Self::Reseat(part)),
            Op::Inspect(part) => Some(Self::Inspect(part)),
            Op::Serve(service) => Some(Self::Serve(service)),
            Op::LeaveOut(part) => Some(Self::LeaveOut(part)),
            Op::Ease(_) | Op::TakeOff(..) | Op::PutBack(..) | Op::Settle(_) => None,
        }
    }
}

/// What steps and changes cost.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Prices {
    /// Time of each step of the catalog, by step index.
    pub steps: Vec<Tenths>,
    /// Paid each time the tool needed differs from the tool in hand.
    pub tool_change: Tenths,
    /// Paid each time the face needed differs from the face up.
    pub face_change: Tenths,
}

impl Prices {
    pub fn of(&self, step: StepIx) -> Tenths {
        self.steps[step.index()]
    }
}

/// How much work a plan may take.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// The most states that each stage of the search expands, for up to a hundred
    /// operations; proportionally fewer where there are more. When A* meets the limit,
    /// weighted A* looks for some plan within the same limit.
    pub states: usize,
}

impl Limits {
    /// For a technician who is waiting: well under a second on a phone.
    pub const INTERACTIVE: Self = Self { states: 30_000 };
}

impl Default for Limits {
    /// A quarter of a million states: at most some tens of megabytes.
    fn default() -> Self {
        Self { states: 250_000 }
    }
}

/// A request for a plan.
#[derive(Clone, Copy, Debug)]
pub struct Request<'a> {
    pub catalog: &'a Catalog,
    /// How this unit is fitted, and what has been answered.
    pub setup: &'a Setup,
    /// The tasks still to be done. Service operations that come with a replacement must be
    /// in the list: see [`with_services`].
    pub tasks: &'a [Task],
    /// The state that the unit is in now.
    pub from: &'a UnitState,
    pub prices: &'a Prices,
    /// Ways out that cannot be used on this unit (a screw that will not turn), or that must
    /// not be used: operations that ease or take off. Their ways back are not blocked: what
    /// is open already can be closed.
    pub blocked: &'a [Op],
    pub limits: Limits,
}

/// The tasks, followed by the service operations that come with their replacements, each
/// task once.
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

/// The carriers, nearest first, that bring a new part of this kind with them when they are
/// replaced: what rides on a part and does not move over to the new one comes with it.
pub fn modules_of(catalog: &Catalog, part: PartIx) -> Vec<PartIx> {
    let mut modules = Vec::new();
    let mut below = vec![part];
    while let Some(carrier) = catalog.part(below[below.len() - 1]).rides_on {
        let swap = catalog.part(carrier).swap.as_ref();
        let stays_with = |swap: &Swap| !below.iter().any(|one| swap.moves_over.contains(one));
        if swap.is_some_and(stays_with) {
            modules.push(carrier);
        }
        below.push(carrier);
    }
    modules
}

/// The replaced part with which this one comes new, so that it is not replaced by itself.
pub fn comes_new_with(catalog: &Catalog, tasks: &[Task], part: PartIx) -> Option<PartIx> {
    let mut modules = modules_of(catalog, part).into_iter();
    modules.find(|module| tasks.contains(&Task::Replace(*module)))
}

/// Whether some atom of the formula wants a source live.
fn names_live_source(catalog: &Catalog, needs: &ResolvedFormula) -> bool {
    match needs {
        Formula::All(several) | Formula::Any(several) => {
            several.iter().any(|one| names_live_source(catalog, one))
        }
        Formula::When { then, .. } => names_live_source(catalog, then),
        Formula::InPlace(part) => catalog.part(*part).is_source(),
        Formula::Eased(_) | Formula::Off(_) | Formula::Clear(_) | Formula::Closed => false,
    }
}
