//! Individuals control charts: has a step changed?
//!
//! For single values x₁ … xₙ in the order of time, with moving ranges |xᵢ − xᵢ₋₁|
//! and their mean MR̄, the limits are x̄ ± 3 MR̄/d₂ with d₂ = 1.128, and D₄ MR̄ with
//! D₄ = 3.267 for the moving ranges (NIST/SEMATECH e-Handbook of Statistical
//! Methods, 6.3.2.2). Times are skewed, so the desk charts the *logs* of a step's
//! paces: limits that are as far above as below would lie below zero otherwise.

use super::stats::mean;

/// d₂ for ranges of two.
const D2: f64 = 1.128;
/// D₄ for ranges of two.
const D4: f64 = 3.267;

/// The limits of an individuals chart.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ControlLimits {
    /// Mean of the values.
    pub centre: f64,
    /// Lower natural limit.
    pub low: f64,
    /// Upper natural limit.
    pub high: f64,
    /// Mean moving range.
    pub mean_range: f64,
    /// Upper limit of the moving ranges.
    pub range_high: f64,
}

impl ControlLimits {
    /// The limits from values in order of time; `None` for fewer than two.
    pub fn from_values(values: &[f64]) -> Option<Self> {
        let ranges: Vec<f64> = values
            .windows(2)
            .map(|pair| (pair[1] - pair[0]).abs())
            .collect();
        let (centre, mean_range) = (mean(values)?, mean(&ranges)?);
        let reach = 3.0 * mean_range / D2;
        Some(Self {
            centre,
            low: centre - reach,
            high: centre + reach,
            mean_range,
            range_high: D4 * mean_range,
        })
    }

    /// Whether a value is outside the limits, so that it has a special cause.
    pub fn is_outside(&self, value: f64) -> bool {
        value < self.low || value > self.high
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_handbook_s_ten_values_give_the_handbook_s_limits() {
        // NIST/SEMATECH e-Handbook, 6.3.2.2 (flow rates of ten batches).
        let values = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1];
        let limits = ControlLimits::from_values(&values).expect("ten values");
        let near = |is: f64, should: f64| assert!((is - should).abs() < 5e-5, "{is}, {should}");
        near(limits.centre, 50.81);
        near(limits.mean_range, 1.8778);
        near(limits.high, 55.8041);
        near(limits.low, 45.8159);
        assert!(!values.iter().any(|value| limits.is_outside(*value)));
        assert!(limits.is_outside(56.0));
    }

    #[test]
    fn one_value_has_no_limits() {
        assert_eq!(ControlLimits::from_values(&[1.0]), None);
        assert_eq!(ControlLimits::from_values(&[]), None);
    }
}
