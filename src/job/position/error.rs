//! Why a position or a new plan cannot be computed.

use std::fmt;

use lidoff_catalog::format::{PartId, StepId, Text};
use lidoff_catalog::setup::SetupError;
use lidoff_i18n::{localize, tr};
use lidoff_planner::Refusal;

use crate::refs::{OpRef, TaskRef};

/// Why the position of a job cannot be found in a catalog.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PositionError {
    /// The job is about another unit.
    OtherUnit {
        /// The unit of the job; `None` where its first event is missing.
        job: Option<String>,
        /// The unit of the catalog.
        catalog: String,
    },
    /// Options or answers do not fit.
    Setup(SetupError),
    /// The catalog does not have what this task is about.
    NoSuchTask(TaskRef),
    /// The catalog does not have what this operation is about.
    NoSuchOp(OpRef),
    /// The catalog does not have this step.
    NoSuchStep(StepId),
    /// The options say that this part is not there, and it is off or eased.
    OpenButNotThere(Text),
    /// A source must not be made live again, so the unit cannot be closed; the words say what
    /// to do instead.
    Condemned(Text),
}

impl fmt::Display for PositionError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let other = tr!(
            "The catalog has changed since this job was planned. Continue with the current \
             plan, or load the earlier revision of the catalog."
        );
        match self {
            Self::OtherUnit {
                job: Some(job),
                catalog,
            } => f.write_str(&tr!(
                "This job is for unit “{job}”, but the catalog is for “{catalog}”. Load the \
                 catalog of “{job}”.",
                job,
                catalog
            )),
            Self::OtherUnit { job: None, .. } => f.write_str(&tr!(
                "The event that opened this job is missing, so its unit is unknown. Load \
                 the job again from where it was shared or saved."
            )),
            Self::Setup(error) => error.fmt(f),
            Self::NoSuchTask(
                TaskRef::Replace(PartId(id))
                | TaskRef::Reseat(PartId(id))
                | TaskRef::Inspect(PartId(id))
                | TaskRef::LeaveOut(PartId(id)),
            ) => f.write_str(&tr!("The catalog has no part “{id}”. {other}", id, other)),
            Self::NoSuchTask(TaskRef::Serve(id)) => f.write_str(&tr!(
                "The catalog has no service operation “{id}”. {other}",
                id,
                other
            )),
            Self::NoSuchOp(op) => match (op.part(), op) {
                (Some(id), _) => {
                    f.write_str(&tr!("The catalog has no part “{id}”. {other}", id, other))
                }
                (None, op) => f.write_str(&tr!(
                    "There is no operation {op}. {other}",
                    op = format!("{op:?}"),
                    other
                )),
            },
            Self::NoSuchStep(id) => {
                f.write_str(&tr!("The catalog has no step “{id}”. {other}", id, other))
            }
            Self::Condemned(words) => f.write_str(&localize(words)),
            Self::OpenButNotThere(part) => f.write_str(&tr!(
                "“{part}” is off or eased, but the options say that this unit does not have \
                 it. Correct the options.",
                part
            )),
        }
    }
}

impl std::error::Error for PositionError {}

impl From<SetupError> for PositionError {
    fn from(error: SetupError) -> Self {
        Self::Setup(error)
    }
}

/// Why there is no new plan.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ReplanError {
    /// The job's place cannot be found.
    Position(PositionError),
    /// The planner refuses.
    Refused(Refusal),
}

impl From<PositionError> for ReplanError {
    fn from(error: PositionError) -> Self {
        Self::Position(error)
    }
}

impl From<Refusal> for ReplanError {
    fn from(refusal: Refusal) -> Self {
        Self::Refused(refusal)
    }
}
