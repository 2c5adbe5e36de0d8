//! How a job begins and ends.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::Text;
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::tr_noop;

use crate::job_id::JobId;
use crate::refs::NamedTask;

/// How a job begins.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Opened {
    pub unit: UnitRef,
    /// Job reference.
    pub reference: Text,
    /// Customer and site, as the technician notes them.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub site: Text,
    /// Who does the job.
    #[serde(default, skip_serializing_if = "String::is_empty")]
    pub technician: Text,
    /// How this unit is fitted.
    pub setup: Configuration,
    /// The tasks.
    pub tasks: Vec<NamedTask>,
    /// When the technician must leave: wall clock, ms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leave_by_ms: Option<i64>,
    /// The earlier visit whose open tasks this one takes over.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub follows: Option<JobId>,
}

/// The reference by which a job names its unit.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct UnitRef {
    /// Id of its catalog.
    pub id: String,
    /// Its name.
    pub name: Text,
    /// Revision of the catalog.
    pub revision: Text,
}

/// How a job ended.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Outcome {
    /// Every task done, the unit proven.
    Complete,
    /// The unit is closed, but another visit is needed.
    AnotherVisit,
    /// The unit was left open or out of use.
    LeftOpen,
    /// Nothing was done.
    CalledOff,
}

impl Outcome {
    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Complete => tr_noop!("complete"),
            Self::AnotherVisit => tr_noop!("another visit needed"),
            Self::LeftOpen => tr_noop!("unit left open or out of use"),
            Self::CalledOff => tr_noop!("cancelled"),
        }
    }
}
