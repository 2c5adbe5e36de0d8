//! A plan that no technician could carry out.

use std::fmt;

use lidoff_catalog::model::Catalog;
use lidoff_planner::Op;

use super::violation::Violation;
use super::violation_messages::{describe_op, describe_violation};

/// A plan that breaks a rule, with the place and the rule.
#[derive(Clone, Debug, PartialEq)]
pub struct IllegalPlan {
    /// The index of the operation; the plan's length where the end is at fault.
    pub index: usize,
    /// `None` where the start or the end is at fault.
    pub op: Option<Op>,
    pub violation: Violation,
    message: String,
}

impl IllegalPlan {
    pub(super) fn new(
        catalog: &Catalog,
        index: usize,
        op: Option<Op>,
        violation: Violation,
    ) -> Self {
        let message = match op {
            Some(op) => format!(
                "Operation {}, {}: {}.",
                index + 1,
                describe_op(catalog, op),
                describe_violation(catalog, &violation)
            ),
            None if violation == Violation::AnotherUnit => {
                format!("{}.", describe_violation(catalog, &violation))
            }
            None => format!("At the end: {}.", describe_violation(catalog, &violation)),
        };
        Self {
            index,
            op,
            violation,
            message,
        }
    }
}

impl fmt::Display for IllegalPlan {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.message)
    }
}

impl std::error::Error for IllegalPlan {}
