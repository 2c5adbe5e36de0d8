//! The remaining time of a step that has already lasted some time.
//!
//! For X lognormal (mean m, log standard deviation s, median e^μ) and a time e
//! already past, completing the square gives
//!
//! ```text
//! E[Xᵏ; X > e] = E[Xᵏ] · Φ((μ + k s² − ln e)/s)
//! ```
//!
//! and from k = 0, 1, 2 follow mean and variance of X − e given that X > e
//! (the moments of the truncated lognormal; N. L. Johnson, S. Kotz, N.
//! Balakrishnan, *Continuous Univariate Distributions* 1, chapter 14; from
//! memory; checked against numeric integration among the reference values). The
//! longer a step overruns, the longer it will take: that is what a wide spread
//! means, and it is what happens with a stripped screw.

use crate::Estimate;
use crate::band::log_variance;
use crate::normal::probability;

/// Beyond this, the quotient of two tails loses its precision.
const TAIL: f64 = 1e-9;

/// The remaining time of a step after this many seconds.
pub fn remaining(step: Estimate, past_s: f64) -> Estimate {
    let log_var = log_variance(step.cv);
    if past_s <= 0.0 {
        return step;
    }
    if log_var <= 0.0 || step.seconds <= 0.0 {
        return Estimate {
            seconds: (step.seconds - past_s).max(0.0),
            ..step
        };
    }
    let sd = log_var.sqrt();
    let above = (step.seconds.ln() - log_var / 2.0 - past_s.ln()) / sd;
    let beyond = probability(above);
    let (mean, variance) = if beyond > TAIL {
        let first = step.seconds * probability(above + sd) / beyond;
        let second =
            step.seconds * step.seconds * log_var.exp() * probability(above + 2.0 * sd) / beyond;
        (first - past_s, (second - first * first).max(0.0))
    } else {
        // Far out the hazard is nearly constant: (ln e − μ)/(e s²), and what is
        // left is exponential.
        let mean = past_s * sd / -above;
        (mean, mean * mean)
    };
    Estimate {
        seconds: mean,
        cv: variance.sqrt() / mean,
        ..step
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::Basis;

    const STEP: Estimate = Estimate {
        seconds: 40.0,
        cv: 0.5,
        basis: Basis::Elements,
    };

    #[test]
    fn a_step_that_has_just_begun_has_its_whole_time_left() {
        assert_eq!(remaining(STEP, 0.0), STEP);
        let soon = remaining(STEP, 0.01);
        assert!((soon.seconds - 39.99).abs() < 1e-6);
    }

    #[test]
    fn the_remaining_time_falls_at_first_and_grows_after_an_overrun() {
        let left = |past| remaining(STEP, past).seconds;
        assert!(left(20.0) < left(0.0));
        assert!(left(400.0) > left(60.0));
    }

    #[test]
    fn both_formulas_agree_where_the_tail_begins() {
        // Just before and just after the tail is taken for exponential.
        let past = |z: f64| (40f64.ln() - 0.25f64.ln_1p() / 2.0 + z * 0.25f64.ln_1p().sqrt()).exp();
        let (near, far) = (remaining(STEP, past(5.99)), remaining(STEP, past(6.01)));
        assert!(
            (far.seconds / near.seconds - 1.0).abs() < 0.12,
            "{near:?} {far:?}"
        );
    }

    #[test]
    fn a_time_without_spread_runs_down() {
        let sure = Estimate { cv: 0.0, ..STEP };
        assert_eq!(remaining(sure, 15.0).seconds, 25.0);
        assert_eq!(remaining(sure, 55.0).seconds, 0.0);
    }
}
