//! One step of a plan.

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{
    ElementCount, HazardId, OnFailure, QuestionId, Reading, Record, StepId, Text, WaitId,
};
use lidoff_estimate::handbook::TOOL_CHANGE;
use lidoff_estimate::{Basis, Estimate, Sum};
use lidoff_i18n::{localize, torque_setting, tr};

use super::defaults::{is_false, is_none_seen, is_nothing, is_one_person, one_person};
use super::materials::{Cable, Fasteners, HandBackPiece, Used, WaitStarted};
use super::phase::JobPhase;
use crate::refs::OpRef;

/// One step of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedStep {
    /// Its number in the job, from 1; unique over all plans of the job.
    pub number: u32,
    /// The step in the catalog, under which times are gathered.
    pub step: StepId,
    pub phase: JobPhase,
    /// The operation that it belongs to; `None` outside strip-down, fit and refit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub op: Option<OpRef>,
    /// Which step of its operation it is, from 1; of its phase, outside
    /// operations.
    pub nth: u16,
    /// How many steps that operation (or phase) has.
    pub of: u16,
    /// Operations that this step completes, in order. There can be several if the next one
    /// has no step of its own on this unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub completes: Vec<OpRef>,
    /// What it is about: name of the part or service operation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Text>,
    /// What to do.
    pub action: Text,
    /// Instructions.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<Text>,
    /// Name of the tool; `None` for bare hands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<Text>,
    /// Names of the tools that can do the same work.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub tool_instead: Vec<Text>,
    /// How many people it takes.
    #[serde(default = "one_person", skip_serializing_if = "is_one_person")]
    pub people: u8,
    /// Names of what must be at hand besides the tool.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub kit: Vec<Text>,
    /// Name of the face that must be up; `None` if any face will do.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<Text>,
    /// The tool must be fetched first.
    #[serde(default, skip_serializing_if = "is_false")]
    pub tool_change: bool,
    /// The unit must be turned first.
    #[serde(default, skip_serializing_if = "is_false")]
    pub turn: bool,
    /// The step itself, s.
    pub work_s: f64,
    /// Its coefficient of variation.
    pub cv: f64,
    /// Whether its author measured the time; otherwise it is a sum of elements.
    #[serde(default, skip_serializing_if = "is_false")]
    pub measured: bool,
    /// The elements that it is the sum of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elements: Vec<ElementCount>,
    /// The catalog's time, s, if a learned time replaces it; otherwise 0.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub catalog_s: f64,
    /// Number of timings behind a learned time; 0 if the catalog's time is used.
    #[serde(default, skip_serializing_if = "is_none_seen")]
    pub seen: u32,
    /// Fetching the tool and turning the unit before it, s.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub change_s: f64,
    /// Waiting before it, with nothing else to do, s.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub wait_s: f64,
    /// Fasteners that come undone.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub undo: Vec<Fasteners>,
    /// Fasteners that are done up.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub redo: Vec<Fasteners>,
    /// Cables that are unplugged.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unplug: Vec<Cable>,
    /// Cables that are plugged in.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plug: Vec<Cable>,
    /// Its hazards; their texts are in the list of the snapshot.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<HazardId>,
    /// Consumables used.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub uses: Vec<Used>,
    /// The reused piece that this step moves from the old part to the new one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hand_back: Option<HandBackPiece>,
    /// The question that is answered here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub asks: Option<QuestionId>,
    /// What must be seen or measured.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub reading: Option<Reading>,
    /// What a reading that fails means for the work.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub on_failure: Option<OnFailure>,
    /// Values that are written down here.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub records: Vec<Record>,
    /// What must be confirmed before going on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confirm: Option<Text>,
    /// The wait that begins at its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starts_wait: Option<WaitStarted>,
    /// The wait that must be over before it begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_wait: Option<WaitId>,
    /// The time limit that begins at its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starts_limit: Option<WaitStarted>,
    /// The time limit that it must be done within.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends_limit: Option<WaitId>,
}

impl PlannedStep {
    /// Whether it starts an operation or belongs to none, so that it has its own reason.
    /// `before` is the previous step.
    pub fn has_own_reason(&self, before: Option<&Self>) -> bool {
        self.op.is_none() || self.nth == 1 || before.is_none_or(|before| before.op != self.op)
    }

    /// The total clock time that it should take: changes, waiting and the work, s.
    pub fn expected_s(&self) -> f64 {
        self.work_s + self.change_s + self.wait_s
    }

    /// What the tool is set to: "Set 0.60 N·m (5.3 in·lbf)", each torque once, in order.
    pub fn describe_settings(&self) -> Option<String> {
        let mut settings: Vec<String> = Vec::new();
        for torque in self.redo.iter().filter_map(|set| set.torque) {
            let setting = torque_setting(torque.nm);
            if !settings.contains(&setting) {
                settings.push(setting);
            }
        }
        let first = settings.first()?;
        Some(match settings.as_slice() {
            [_] => tr!("Set {torque}", torque = first),
            all => tr!("Set in turn: {torques}", torques = all.join("; ")),
        })
    }

    /// The tool, and those that can do the same work: "Driver T10 (or: bit T10)".
    pub fn describe_tool(&self) -> Option<String> {
        let tool = localize(self.tool.as_deref()?);
        if self.tool_instead.is_empty() {
            return Some(tool.into_owned());
        }
        let instead = self.tool_instead.iter().map(|tool| localize(tool));
        let instead = instead.collect::<Vec<_>>().join(", ");
        Some(tr!("{tool} (or: {instead})", tool, instead))
    }

    /// The cables plugged in here that would not be noticed on the wrong port.
    pub fn swappable(&self) -> impl Iterator<Item = &Cable> {
        self.plug.iter().filter(|cable| cable.unseen_swap.is_some())
    }

    /// Whether something must be confirmed before it is done.
    pub fn wants_confirming(&self) -> bool {
        self.confirm.is_some() || self.swappable().next().is_some()
    }

    /// Whether the work stops here until the reading passes: it verifies an isolation, or
    /// its author says so.
    pub const fn stops_on_failure(&self) -> bool {
        matches!(
            self.on_failure,
            Some(OnFailure::Stop(_) | OnFailure::Isolate(_))
        ) || matches!(self.phase, JobPhase::Isolate)
    }

    /// Whether its operation is complete once it is done.
    pub const fn is_last_of_op(&self) -> bool {
        !self.completes.is_empty()
    }

    /// The estimates that make up its clock time: the work, the changes, the waiting.
    pub const fn estimates(&self) -> [Estimate; 3] {
        let basis = Basis::Elements;
        let change = Estimate {
            seconds: self.change_s,
            cv: TOOL_CHANGE.cv,
            basis,
        };
        let wait = Estimate {
            seconds: self.wait_s,
            cv: 0.0,
            basis,
        };
        [self.estimate(), change, wait]
    }

    /// The step itself, without changes and waiting.
    pub const fn estimate(&self) -> Estimate {
        Estimate {
            seconds: self.work_s,
            cv: self.cv,
            basis: match (self.seen, self.measured) {
                (1.., _) => Basis::Learned,
                (0, true) => Basis::Measured,
                (0, false) => Basis::Elements,
            },
        }
    }

    /// The catalog's time for the work, s.
    pub const fn catalog_work_s(&self) -> f64 {
        if self.seen > 0 {
            self.catalog_s
        } else {
            self.work_s
        }
    }

    /// The catalog's estimate of the work and the changes, without waiting and without
    /// learned times: learning starts from this.
    pub fn catalog_estimate(&self) -> Sum {
        let mut work = self.estimate();
        work.seconds = self.catalog_work_s();
        let [_, change, _] = self.estimates();
        Sum::from_estimates([work, change])
    }
}
