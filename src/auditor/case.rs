//! What is audited: the job, where it starts, and the plan.

use lidoff_catalog::format::{PartId, ServiceId, StepId};
use lidoff_catalog::setup::Configuration;

/// A task of the job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Task {
    /// Replace the part.
    Replace(PartId),
    /// Reseat the part.
    Reseat(PartId),
    /// Inspect the part.
    Inspect(PartId),
    /// Run the service operation.
    Serve(ServiceId),
    /// Close the unit without the part; it goes out of use.
    LeaveOut(PartId),
}

/// The state that the plan starts from. The default is a closed unit that is live.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Start {
    /// Sources that are isolated.
    pub isolated: Vec<PartId>,
    /// Parts that are eased.
    pub eased: Vec<PartId>,
    /// Parts that are off by their own leg.
    pub off: Vec<PartId>,
    /// Steps already done of an operation that is not complete.
    pub begun: Vec<StepId>,
    /// Make-safe steps already done and still good: the unit was not live for a check since.
    pub made_safe: Vec<StepId>,
    /// Tasks and services of the job that are already done.
    pub done: Vec<Task>,
}

impl Start {
    pub(crate) fn is_fresh(&self) -> bool {
        *self == Self::default()
    }
}

/// A plan to audit.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Case {
    /// How the unit is fitted, and the answers so far.
    pub configuration: Configuration,
    /// The tasks still to be done.
    pub tasks: Vec<Task>,
    /// Where the plan starts.
    pub start: Start,
    /// The plan.
    pub steps: Vec<StepId>,
}
