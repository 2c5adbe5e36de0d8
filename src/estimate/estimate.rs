//! The estimate of a step: the sum of its elements, or the time that its author
//! measured.

use std::fmt::Write;

use lidoff_catalog::format::{self, ElementCount, Measured, OnFailure};
use lidoff_catalog::model::{Catalog, LearnedTime, Step};
use lidoff_i18n::{localize, number, tr};
use lidoff_planner::{Prices, Tenths};

use super::handbook::{self, HandbookEntry};

/// An estimate and its uncertainty.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Estimate {
    /// Mean, s.
    pub seconds: f64,
    /// Coefficient of variation (standard deviation over mean).
    pub cv: f64,
    /// Its basis.
    pub basis: Basis,
}

/// The basis of an estimate.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Basis {
    /// The handbook times of its elements.
    Elements,
    /// The catalog author's own measurement.
    Measured,
    /// Either of these, corrected by what finished jobs took.
    Learned,
}

impl Estimate {
    /// Variance, s².
    pub fn variance(&self) -> f64 {
        (self.seconds * self.cv).powi(2)
    }

    /// The estimate of a step: the learned time if one is applied, otherwise that of its
    /// catalog.
    pub fn for_step(step: &Step) -> Self {
        let estimate = Self::from_entry(&step.entry);
        match step.learned {
            Some(LearnedTime { seconds, .. }) => Self {
                seconds,
                basis: Basis::Learned,
                ..estimate
            },
            None => estimate,
        }
    }

    /// The estimate of a step by its catalog: its author's measurement if there is one,
    /// otherwise the sum of its elements, whose variances are added. Zero for a step
    /// without either, which a checked catalog does not contain.
    ///
    /// Adjustments that are to be expected are added, each with one more reading. Their number
    /// is taken to vary as rare events do (Poisson: the variance is the mean; common practice,
    /// no source).
    pub fn from_entry(step: &format::Step) -> Self {
        let once = match step.measured {
            Some(measured) => Self {
                seconds: measured.seconds,
                cv: measured.cv,
                basis: Basis::Measured,
            },
            None => Self::from_elements(&step.elements),
        };
        let Some(OnFailure::Adjust(adjustment)) = &step.on_failure else {
            return once;
        };
        let one_more = Self::from_elements(&adjustment.elements);
        let times = adjustment.expected;
        let round_s = one_more.seconds + once.seconds;
        let seconds = once.seconds + times * round_s;
        let variance = once.variance()
            + times * (one_more.variance() + once.variance())
            + times * round_s.powi(2);
        Self {
            seconds,
            cv: if seconds > 0.0 {
                variance.sqrt() / seconds
            } else {
                0.0
            },
            basis: once.basis,
        }
    }

    /// The time of a list of elements: their means and their variances are added.
    ///
    /// ```
    /// use lidoff_catalog::format::{Element, ElementCount};
    /// use lidoff_estimate::Estimate;
    ///
    /// let four_screws = [ElementCount { element: Element::ScrewOut, count: 4 }];
    /// let estimate = Estimate::from_elements(&four_screws);
    /// assert_eq!(estimate.seconds, 32.0);
    /// // Four screws together vary less, in proportion, than one.
    /// assert!((estimate.cv - 0.35 / 2.0).abs() < 1e-12);
    /// ```
    pub fn from_elements(elements: &[ElementCount]) -> Self {
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

/// The time to put one tool down and pick up another, on this unit.
pub fn tool_change(catalog: &Catalog) -> Estimate {
    change(catalog.tool_change_s(), handbook::TOOL_CHANGE)
}

/// The time to bring another face up, on this unit.
pub fn turn(catalog: &Catalog) -> Estimate {
    change(catalog.turn_s(), handbook::TURN)
}

/// The author's mean if there is one, with the spread of the handbook.
fn change(authors_s: Option<f64>, handbook: HandbookEntry) -> Estimate {
    Estimate {
        seconds: authors_s.unwrap_or(handbook.seconds),
        cv: handbook.cv,
        basis: match authors_s {
            Some(_) => Basis::Measured,
            None => Basis::Elements,
        },
    }
}

/// The prices by which the planner counts: the estimates of all steps and changes.
pub fn prices(catalog: &Catalog) -> Prices {
    let steps = catalog
        .steps()
        .map(|(_, step)| tenths(Estimate::for_step(step).seconds))
        .collect();
    Prices {
        steps,
        tool_change: tenths(tool_change(catalog).seconds),
        face_change: tenths(turn(catalog).seconds),
    }
}

/// Seconds as tenths, rounded.
pub fn tenths(seconds: f64) -> Tenths {
    // A float cast saturates: negative values and NaN become zero.
    (seconds * 10.0).round() as Tenths
}

/// What an estimate is the sum of: "4 × screw out, 1 × plug out", or the measurement used
/// instead.
pub fn describe_basis(step: &format::Step) -> String {
    match step.measured {
        Some(Measured { seconds, cv }) => tr!(
            "measured by the author: {seconds} s ± {percent} %",
            seconds = number(seconds, 1),
            percent = number(cv * 100.0, 0)
        ),
        None => describe_elements(&step.elements),
    }
}

/// Elements as text: "4 × screw out, 1 × plug out".
pub fn describe_elements(elements: &[ElementCount]) -> String {
    let mut words = String::new();
    for ElementCount { element, count } in elements {
        if !words.is_empty() {
            words.push_str(", ");
        }
        // Writing to a string does not fail.
        let _ = write!(words, "{count} × {}", localize(handbook::name(*element)));
    }
    words
}
