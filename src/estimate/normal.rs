//! The standard normal distribution, used for every quantile and probability in the
//! workspace.
//!
//! The values come from the `statrs` crate, which adds 3 kB to the download; only these
//! two functions use it. They are checked here against printed tables, and against
//! SciPy with the other reference values.

use statrs::function::erf::{erfc, erfc_inv};
use std::f64::consts::SQRT_2;

/// The value that is not exceeded with this probability (0 to 1, exclusive;
/// outside, it is infinite).
pub fn quantile(probability: f64) -> f64 {
    -SQRT_2 * erfc_inv(2.0 * probability)
}

/// The probability that this value is not exceeded.
pub fn probability(z: f64) -> f64 {
    0.5 * erfc(-z / SQRT_2)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn quantiles_are_those_of_the_printed_table() {
        // MIL-HDBK-338, Table 5.3.2.1-1, to the last digit
        // that is printed there.
        let printed = [
            (0.80, 0.8416, 5e-5),
            (0.85, 1.036, 5e-4),
            (0.90, 1.282, 5e-4),
            (0.95, 1.645, 5e-4),
            (0.99, 2.326, 5e-4),
        ];
        for (p, z, half_a_digit) in printed {
            let off = (quantile(p) - z).abs();
            assert!(off <= half_a_digit, "{p}: {}", quantile(p));
        }
    }

    #[test]
    fn a_quantile_is_exceeded_as_often_as_its_name_says() {
        for p in [1e-9, 0.01, 0.2, 0.5, 0.8, 0.95, 0.999_999] {
            assert!((probability(quantile(p)) / p - 1.0).abs() < 1e-9, "{p}");
        }
        assert_eq!(quantile(0.5), 0.0);
        assert_eq!(quantile(1.0), f64::INFINITY);
    }
}
