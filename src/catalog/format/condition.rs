//! Conditions (on how a unit is fitted) and formulas (on which parts are open).

use serde::{Deserialize, Serialize};

use super::id::{AnswerId, OptionId, PartId, QuestionId};

/// A condition as a file says it.
pub type ConditionEntry = Condition<OptionId, QuestionId, AnswerId, PartId>;
/// A formula as a file says it.
pub type FormulaEntry = Formula<PartId, ConditionEntry>;

/// When something applies: by options, answers, and what this job replaces.
///
/// `O` names an option, `Q` a question, `A` an answer, `P` a part.
///
/// ```
/// use lidoff_catalog::format::{Condition, ConditionEntry};
/// let condition: ConditionEntry =
///     serde_json::from_str(r#"{"not": {"fitted": "wall-mount"}}"#).unwrap();
/// assert_eq!(condition, Condition::Not(Box::new(Condition::Fitted("wall-mount".into()))));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Condition<O, Q, A, P> {
    /// Every one of these holds; true when empty.
    All(Vec<Condition<O, Q, A, P>>),
    /// At least one of these holds; false when empty.
    Any(Vec<Condition<O, Q, A, P>>),
    /// This does not hold.
    Not(Box<Condition<O, Q, A, P>>),
    /// The unit is fitted with this option.
    Fitted(O),
    /// The technician gave this answer to this question.
    Answer {
        /// The question.
        question: Q,
        /// The answer that makes the condition true.
        is: A,
    },
    /// This job replaces the part.
    Replaced(P),
}

/// What must be open (or still in place) before something can be done.
///
/// `P` names a part or an energy source, `C` is a condition. Every atom but `in-place` and
/// `closed` is monotone: opening more never makes it false. An atom about a part that this
/// unit is not fitted with is true. A source is `off` (or `isolated`) while it is isolated
/// and `in-place` (or `live`) while it is not.
///
/// ```
/// use lidoff_catalog::format::{Formula, FormulaEntry};
/// let needs: FormulaEntry = serde_json::from_str(r#"{"all": [{"off": "lid"}, {"any": [
///     {"eased": "fan"}, {"off": "heatsink"}]}]}"#).unwrap();
/// assert!(matches!(needs, Formula::All(parts) if parts.len() == 2));
/// ```
#[derive(Clone, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[cfg_attr(not(target_arch = "wasm32"), derive(schemars::JsonSchema))]
#[serde(rename_all = "kebab-case", deny_unknown_fields)]
pub enum Formula<P, C> {
    /// Every one of these; true when empty.
    All(Vec<Formula<P, C>>),
    /// At least one of these (each is a route); false when empty.
    Any(Vec<Formula<P, C>>),
    /// The part is at least eased, or off, or away with its carrier.
    Eased(P),
    /// The part is off, or away with its carrier; the source is isolated.
    #[serde(alias = "isolated")]
    Off(P),
    /// The part itself has been taken off; being away with its carrier is not
    /// enough.
    Clear(P),
    /// Something must *stay*: the part is fitted (a support, say); the source is live. Rare.
    #[serde(alias = "live")]
    InPlace(P),
    /// Every part is fitted. Says nothing about sources.
    Closed,
    /// `then` is asked for only where `condition` holds.
    When {
        /// Where it is asked for.
        condition: C,
        /// What is asked for there.
        then: Box<Formula<P, C>>,
    },
}

impl<P, C> Formula<P, C> {
    /// The formula that asks for nothing.
    pub const fn nothing() -> Self {
        Self::All(Vec::new())
    }
}

impl<P, C> Default for Formula<P, C> {
    fn default() -> Self {
        Self::nothing()
    }
}
