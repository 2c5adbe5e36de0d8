//! A plan as it stood, in words: enough to read, time and tally the job without
//! its catalog.
//!
//! A snapshot lists what was *still to be done* when it was made; steps are
//! numbered from 1 through the whole job, and a later snapshot goes on counting,
//! so that a number means one step for good.

use std::borrow::Cow;

use serde::{Deserialize, Serialize};

use lidoff_catalog::format::{
    AnswerId, ConnectionId, ConsumableId, ElementCount, FastenerId, FasteningId, HandBackId,
    Hazard, HazardId, PartId, QuestionId, Reading, StepId, Text, Torque, WaitId,
};
use lidoff_estimate::handbook::TOOL_CHANGE;
use lidoff_estimate::{Band, Basis, Estimate, Sum};
use lidoff_i18n::{localize, sized, torque, tr, tr_noop};

use super::refs::OpRef;

/// The six phases of a job.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum JobPhase {
    /// Shut down, unplug, discharge, protect.
    MakeSafe,
    /// Take off what stands in the way.
    StripDown,
    /// Swap, reseat, inspect, serve.
    Fit,
    /// Close in a legal order.
    Refit,
    /// Show that it works.
    Prove,
    /// Record, and what is still open.
    HandOver,
}

impl JobPhase {
    /// All of them, in order.
    pub const ALL: [Self; 6] = [
        Self::MakeSafe,
        Self::StripDown,
        Self::Fit,
        Self::Refit,
        Self::Prove,
        Self::HandOver,
    ];

    /// What it is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::MakeSafe => tr_noop!("make safe"),
            Self::StripDown => tr_noop!("strip down"),
            Self::Fit => tr_noop!("fit"),
            Self::Refit => tr_noop!("refit"),
            Self::Prove => tr_noop!("prove"),
            Self::HandOver => tr_noop!("hand over"),
        }
    }

    /// Why the steps of this phase are there; `None` where each of them has a reason
    /// of its own.
    pub fn reason(self) -> Option<Text> {
        match self {
            Self::MakeSafe => Some(tr!(
                "The unit is made safe before anything is opened. This comes first in every \
                 plan and is never left out."
            )),
            Self::Prove => Some(tr!(
                "Every plan ends with these checks. They show whether the unit works before \
                 it is handed back."
            )),
            Self::HandOver => Some(tr!(
                "Every plan ends with the hand-over, so that the next person knows the \
                 state of the unit."
            )),
            Self::StripDown | Self::Fit | Self::Refit => None,
        }
    }
}

/// What is still to be done, in order, and how long it should take.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlanSnapshot {
    /// The steps, in order.
    pub steps: Vec<PlannedStep>,
    /// Expected time of all of them: work, changes and waiting, s.
    pub total_s: f64,
    /// `None` where no legal plan is cheaper; else the search met its limit, and
    /// no legal plan takes less than this, s.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub at_least_s: Option<f64>,
    /// The same total as a band.
    pub band: Band,
    /// The hazards that its steps name.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<Hazard>,
    /// The answers that it rests on, given or assumed.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rests_on: Vec<RestsOn>,
}

/// An answer that a plan rests on.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RestsOn {
    /// The question.
    pub question: QuestionId,
    /// The question in words.
    pub text: Text,
    /// The answer.
    pub answer: AnswerId,
    /// The answer in words.
    pub answer_text: Text,
    /// Somebody gave it; else it is assumed.
    pub given: bool,
}

impl PlanSnapshot {
    /// Whether no legal plan is cheaper.
    pub const fn is_proven(&self) -> bool {
        self.at_least_s.is_none()
    }

    /// The hazard of that name, if a step of this plan names it.
    pub fn hazard(&self, id: &HazardId) -> Option<&Hazard> {
        self.hazards.iter().find(|hazard| hazard.id == *id)
    }
}

/// One step of a plan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PlannedStep {
    /// Its number in the job, from 1; unique over all plans of the job.
    pub number: u32,
    /// The step in the catalog, under which times are gathered.
    pub step: StepId,
    /// The phase.
    pub phase: JobPhase,
    /// The operation that it is a piece of; `None` outside strip-down, fit and
    /// refit.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub op: Option<OpRef>,
    /// Which step of its operation it is, from 1; of its phase, outside
    /// operations.
    pub nth: u16,
    /// How many steps that operation (or phase) has.
    pub of: u16,
    /// Operations that are complete once this step is done, in order. More than
    /// one where the next has no step of its own on this unit.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub completes: Vec<OpRef>,
    /// What it is about: name of the part or service operation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub about: Option<Text>,
    /// What to do.
    pub action: Text,
    /// How it goes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub how: Option<Text>,
    /// Name of the tool; `None` for bare hands.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tool: Option<Text>,
    /// Name of the face that must be up; `None` where any will do.
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
    /// The author measured it; else it is a sum of elements.
    #[serde(default, skip_serializing_if = "is_false")]
    pub measured: bool,
    /// The elements that it is the sum of.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub elements: Vec<ElementCount>,
    /// What its catalog says, s, where times that were seen at the desk stand in
    /// its place; 0 where none do.
    #[serde(default, skip_serializing_if = "is_nothing")]
    pub catalog_s: f64,
    /// How often the step was seen; 0 where its catalog's time stands.
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
    /// Cables that are parted.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub unplug: Vec<Cable>,
    /// Cables that are joined.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plug: Vec<Cable>,
    /// What can hurt; the words are in the snapshot's list.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub hazards: Vec<HazardId>,
    /// What is used up.
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
    /// What must be confirmed before going on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub confirm: Option<Text>,
    /// The wait that begins at its end.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub starts_wait: Option<WaitStarted>,
    /// The wait that must be over before it begins.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after_wait: Option<WaitId>,
}

impl PlannedStep {
    /// Whether it begins an operation or is in none: then it has a reason of its own.
    /// `before` is the step before it.
    pub fn has_own_reason(&self, before: Option<&Self>) -> bool {
        self.op.is_none() || self.nth == 1 || before.is_none_or(|before| before.op != self.op)
    }

    /// What the clock should show for it: changes, waiting and the work, s.
    pub fn expected_s(&self) -> f64 {
        self.work_s + self.change_s + self.wait_s
    }

    /// The cables joined here that would go unnoticed on the wrong port.
    pub fn swappable(&self) -> impl Iterator<Item = &Cable> {
        self.plug.iter().filter(|cable| cable.unseen_swap.is_some())
    }

    /// Whether something must be confirmed before it is done.
    pub fn wants_confirming(&self) -> bool {
        self.confirm.is_some() || self.swappable().next().is_some()
    }

    /// Whether its operation is complete once it is done.
    pub const fn is_last_of_op(&self) -> bool {
        !self.completes.is_empty()
    }

    /// All that the clock should show for it: the work, the changes, the waiting.
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
                (1.., _) => Basis::Seen,
                (0, true) => Basis::Measured,
                (0, false) => Basis::Elements,
            },
        }
    }

    /// The step itself as the catalog has it, s.
    pub const fn catalog_work_s(&self) -> f64 {
        if self.seen > 0 {
            self.catalog_s
        } else {
            self.work_s
        }
    }

    /// The work and the changes as the catalog has them, without waiting and
    /// without what was laid over: what learning starts from.
    pub fn by_the_catalog(&self) -> Sum {
        let mut work = self.estimate();
        work.seconds = self.catalog_work_s();
        let [_, change, _] = self.estimates();
        Sum::of([work, change])
    }
}

/// Like fasteners that are undone or done up together.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Fasteners {
    /// The set.
    pub fastening: FasteningId,
    /// The kind.
    pub kind: FastenerId,
    /// The kind in words ("black countersunk screw, M3 × 8").
    pub name: Text,
    /// The part that they hold.
    pub part: PartId,
    /// Its name.
    pub part_name: Text,
    /// How many.
    pub count: u16,
    /// The well that they lie in while out; `None` for captive ones.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub well: Option<u16>,
    /// They stay with their part when undone.
    #[serde(default, skip_serializing_if = "is_false")]
    pub captive: bool,
    /// The old ones are discarded, new ones go in.
    #[serde(default, skip_serializing_if = "is_false")]
    pub single_use: bool,
    /// Torque to which they are tightened, where the catalog gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub torque: Option<Torque>,
}

impl Fasteners {
    /// The kind in words, in the language and the units chosen.
    pub fn kind_words(&self) -> Cow<'_, str> {
        sized(localize(&self.name))
    }

    /// The torque in both units, with its tolerance.
    pub fn torque_words(&self) -> Option<String> {
        let Torque { nm, tolerance_nm } = self.torque?;
        Some(torque(nm, tolerance_nm))
    }
}

/// One cable on one port.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cable {
    /// The connection.
    pub connection: ConnectionId,
    /// What is printed on the cable, or how to know it.
    pub cable: Text,
    /// What is printed by the port.
    pub port: Text,
    /// Where a swap would go unseen: with what, and what happens then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub unseen_swap: Option<Text>,
}

/// So much of a consumable.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Used {
    /// Which.
    pub consumable: ConsumableId,
    /// Its name.
    pub name: Text,
    /// How much.
    pub quantity: f64,
    /// What a quantity of one is.
    pub unit: Text,
}

/// A reused piece that moves from the old part to the new one.
#[derive(Clone, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct HandBackPiece {
    /// The piece.
    pub id: HandBackId,
    /// Its name.
    pub name: Text,
}

/// A wait that a step starts.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct WaitStarted {
    /// The wait.
    pub id: WaitId,
    /// What is waited for.
    pub text: Text,
    /// How long, s.
    pub seconds: u32,
}

fn is_none_seen(times: &u32) -> bool {
    *times == 0
}

fn is_false(it: &bool) -> bool {
    !it
}

fn is_nothing(seconds: &f64) -> bool {
    *seconds == 0.0
}

#[cfg(test)]
mod tests {
    use super::*;

    /// 0.6 N·m by the factor of NIST SP 811:2008, B.8 (from memory): 0.6 / 0.112 984 8
    /// = 5.310 in·lbf; and 0.1 / 0.112 984 8 = 0.885.
    #[test]
    fn a_torque_is_said_in_both_units_with_its_tolerance() {
        let set: Fasteners = serde_json::from_value(serde_json::json!({
            "fastening": "cover", "kind": "m3", "name": "M3", "part": "cover",
            "part_name": "Cover", "count": 4, "torque": { "nm": 0.6, "tolerance_nm": 0.1 },
        }))
        .expect("a set");
        assert_eq!(
            set.torque_words().as_deref(),
            Some("0.60 ± 0.10 N·m (5.3 ± 0.9 in·lbf)")
        );
    }
}
