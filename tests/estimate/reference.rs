//! Against SciPy and a million draws: `reference/time_reference.json`, made by the
//! script beside it (`make reference-time`).

use serde_json::Value;

use lidoff_catalog::format::Element;
use lidoff_estimate::band::{JOB_LOG_SD, Lognormal, log_variance};
use lidoff_estimate::forecast::remaining;
use lidoff_estimate::learn::{Row, between_sd, elements, step};
use lidoff_estimate::robust::{Observed, posterior};
use lidoff_estimate::{Basis, Estimate, Pace, Sum, normal};

fn reference() -> Value {
    let text = include_str!("../reference/time_reference.json");
    serde_json::from_str(text).expect("the reference values")
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn list(value: &Value) -> &[Value] {
    value.as_array().expect("a list")
}

fn near(is: f64, should: f64, relative: f64, what: &str) {
    let off = (is - should).abs() / should.abs().max(1e-12);
    assert!(off <= relative, "{what}: {is} is not {should}");
}

fn estimate(seconds: f64, cv: f64) -> Estimate {
    Estimate {
        seconds,
        cv,
        basis: Basis::Elements,
    }
}

#[test]
fn normal_quantiles_and_probabilities_are_scipy_s() {
    let all = reference();
    for pair in list(&all["normal"]) {
        let (p, z) = (number(&pair[0]), number(&pair[1]));
        let off = (normal::quantile(p) - z).abs();
        assert!(off < 1e-7, "quantile of {p}: off by {off}");
    }
    for pair in list(&all["probability"]) {
        let (z, p) = (number(&pair[0]), number(&pair[1]));
        near(normal::probability(z), p, 1e-8, &format!("below {z}"));
    }
}

#[test]
fn lognormal_quantiles_are_scipy_s() {
    for row in list(&reference()["lognormal"]) {
        let [mean, cv, p, value] = [0, 1, 2, 3].map(|at| number(&row[at]));
        let variance = (mean * cv).powi(2);
        let it = Lognormal::with_moments(mean, variance).expect("a mean above zero");
        near(it.at(normal::quantile(p)), value, 1e-8, &row.to_string());
        near(
            it.sigma * it.sigma,
            log_variance(cv),
            1e-9,
            "its log variance",
        );
    }
}

#[test]
fn a_sum_of_steps_is_matched_as_scipy_has_it_and_as_a_million_draws_have_it() {
    for case in list(&reference()["sums"]) {
        let steps = list(&case["steps"]).iter();
        let sum = Sum::from_estimates(steps.map(|one| estimate(number(&one[0]), number(&one[1]))));
        for (at, certainty) in [0.5, 0.8, 0.95].into_iter().enumerate() {
            let is = sum.at(Pace::UNKNOWN, normal::quantile(certainty));
            let what = format!("{} at {certainty}", case["name"]);
            near(is, number(&case["matched"][at]), 1e-8, &what);
            // Matching two moments is an approximation; for three steps it is at
            // its worst.
            near(
                is,
                number(&case["drawn"][at]),
                0.015,
                &format!("{what}, drawn"),
            );
        }
    }
}

#[test]
fn the_remaining_time_of_a_step_agrees_with_numeric_integration() {
    for row in list(&reference()["remaining"]) {
        let [mean, cv, past, left, sd] = [0, 1, 2, 3, 4].map(|at| number(&row[at]));
        let is = remaining(estimate(mean, cv), past);
        near(is.seconds, left, 1e-5, &format!("{row}"));
        near(is.seconds * is.cv, sd, 1e-5, &format!("{row}, deviation"));
    }
}

fn observed(pair: &Value) -> Observed {
    Observed {
        log_ratio: number(&pair[0]),
        variance: number(&pair[1]),
    }
}

#[test]
fn a_pace_agrees_with_scipy_s_root_finder_with_and_without_outliers() {
    for case in list(&reference()["paces"]) {
        let seen: Vec<Observed> = list(&case["seen"]).iter().map(observed).collect();
        let is = posterior(JOB_LOG_SD, &seen);
        near(is.mean, number(&case["mean"]), 1e-8, "pace");
        near(is.sd, number(&case["sd"]), 1e-8, "its deviation");
    }
}

#[test]
fn shrinkage_agrees_with_its_formula() {
    let all = reference();
    let steps: Vec<(Vec<Observed>, f64)> = list(&all["shrinkage"]["steps"])
        .iter()
        .map(|one| {
            let seen = list(&one["seen"]).iter().map(|y| Observed {
                log_ratio: number(y),
                variance: number(&one["spread"]),
            });
            (seen.collect(), number(&one["log_ratio"]))
        })
        .collect();
    let between = between_sd(steps.iter().map(|(seen, _)| seen.as_slice()));
    near(
        between,
        number(&all["shrinkage"]["between_sd"]),
        1e-9,
        "the handbook's error",
    );
    for (seen, log_ratio) in steps {
        near(step(between, &seen).log_ratio, log_ratio, 1e-7, "a step");
    }
}

#[test]
fn effects_of_elements_and_jobs_agree_with_least_squares() {
    let all = &reference()["elements"];
    let names = list(&all["elements"]);
    let element =
        |at: usize| -> Element { serde_json::from_value(names[at].clone()).expect("an element") };
    let rows: Vec<Row> = list(&all["rows"])
        .iter()
        .map(|row| Row {
            job: usize::try_from(row["job"].as_u64().expect("a count")).expect("a few jobs"),
            seen: Observed {
                log_ratio: number(&row["seen"]),
                variance: number(&all["variance"]),
            },
            shares: list(&row["shares"])
                .iter()
                .enumerate()
                .map(|(at, share)| (element(at), number(share)))
                .collect(),
        })
        .collect();
    let learned = elements(number(&all["between_sd"]), &rows);
    assert_eq!(learned.len(), names.len());
    for at in 0..names.len() {
        let found = learned.iter().find(|(one, _)| *one == element(at));
        let (_, is) = found.expect("it was seen");
        near(
            is.log_ratio,
            number(&all["log_ratios"][at]),
            1e-8,
            "its effect",
        );
        near(is.sd, number(&all["sds"][at]), 1e-8, "its deviation");
    }
}
