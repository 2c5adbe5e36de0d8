//! What a step takes: the sum of its elements, or what its author measured.

use crate::catalog::format::{ElementCount, Step as SaidStep};
use crate::catalog::model::Catalog;
use crate::plan::{Prices, Tenths};

use super::handbook::{self, Entry};

/// What something takes, and how sure that is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Mean, s.
    pub seconds: f64,
    /// Coefficient of variation (standard deviation over mean).
    pub cv: f64,
    /// What it rests on.
    pub basis: Basis,
}

/// What an estimate rests on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The handbook times of its elements.
    Elements,
    /// The catalog author's own measurement.
    Measured,
}

impl Estimate {
    /// Variance, s².
    pub fn variance(&self) -> f64 {
        (self.seconds * self.cv).powi(2)
    }

    /// What a step takes: its author's measurement where there is one, else the
    /// sum of its elements, whose variances are added. Zero for a step without
    /// either, which a checked catalog does not contain.
    pub fn of_step(step: &SaidStep) -> Self {
        match step.measured {
            Some(measured) => Self {
                seconds: measured.seconds,
                cv: measured.cv,
                basis: Basis::Measured,
            },
            None => Self::of_elements(&step.elements),
        }
    }

    /// What a list of elements takes.
    pub fn of_elements(elements: &[ElementCount]) -> Self {
        let mut seconds = 0.0;
        let mut variance = 0.0;
        for ElementCount { element, count } in elements {
            let one = handbook::entry(*element);
            seconds += f64::from(*count) * one.seconds;
            variance += f64::from(*count) * (one.seconds * one.cv).powi(2);
        }
        let cv = if seconds > 0.0 {
            variance.sqrt() / seconds
        } else {
            0.0
        };
        Self {
            seconds,
            cv,
            basis: Basis::Elements,
        }
    }
}

/// Laying one tool down and taking up another, on this unit.
pub fn tool_change(catalog: &Catalog) -> Estimate {
    change(catalog.tool_change_s(), handbook::TOOL_CHANGE)
}

/// Bringing another face up, on this unit.
pub fn turn(catalog: &Catalog) -> Estimate {
    change(catalog.turn_s(), handbook::TURN)
}

/// The author's mean, where there is one; the spread is the handbook's.
fn change(authors_s: Option<f64>, handbook: Entry) -> Estimate {
    Estimate {
        seconds: authors_s.unwrap_or(handbook.seconds),
        cv: handbook.cv,
        basis: match authors_s {
            Some(_) => Basis::Measured,
            None => Basis::Elements,
        },
    }
}

/// What the planner is told that everything costs.
pub fn prices(catalog: &Catalog) -> Prices {
    let steps = catalog
        .steps()
        .map(|(_, step)| tenths(Estimate::of_step(&step.said).seconds))
        .collect();
    Prices {
        steps,
        tool_change: tenths(tool_change(catalog).seconds),
        face_change: tenths(turn(catalog).seconds),
    }
}

/// Seconds in whole tenths, to the nearest.
pub fn tenths(seconds: f64) -> Tenths {
    // A float cast saturates: what is below zero or not a number is zero.
    (seconds * 10.0).round() as Tenths
}

/// What an estimate was added up from: "4 × screw out, 1 × plug out", or the
/// measurement that stands in its place.
pub fn elements_line(step: &SaidStep) -> String {
    if let Some(measured) = step.measured {
        return format!(
            "measured by the author: {:.1} s, give or take {:.0} %",
            measured.seconds,
            measured.cv * 100.0
        );
    }
    let words: Vec<String> = step
        .elements
        .iter()
        .map(|ElementCount { element, count }| format!("{count} × {}", handbook::name(*element)))
        .collect();
    words.join(", ")
}
