//! Conditions and formulas over indices.

use super::index::{AnswerIx, OptionIx, PartIx, QuestionIx};
use crate::format::{Condition, Formula};

/// A checked condition.
pub type ResolvedCondition = Condition<OptionIx, QuestionIx, AnswerIx, PartIx>;
/// A checked formula.
pub type ResolvedFormula = Formula<PartIx, ResolvedCondition>;
