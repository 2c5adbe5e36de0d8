//! Support for tests. Production code never uses this crate.
//!
//! | module | what it gives a test |
//! | --- | --- |
//! | [`baseline`] | figures that may improve but must not get worse |
//! | [`builder`] | small units made by hand |
//! | [`powered_unit`] | a small unit with energy sources and hazards that last |
//! | [`random`], [`random_cases`] | random units, and random planning cases on them |
//! | [`scale_unit`] | synthetic units of any size |
//! | [`demo`], [`demo_plans`], [`planning_times`] | the demo units, their expected plans, and how long planning takes |
//! | [`simulate`] | a simulator of plans that shares no code with the planner |
//! | [`brute_force`] | the cheapest plan by exhaustive search over the simulator |
//! | [`cp_sat`] | cases with optima that OR-Tools' CP-SAT solver proved |
//! | [`visit`], [`forecast_trial`] | simulated visits, and thousands of simulated jobs for the forecast |
#![allow(clippy::unwrap_used)]

pub mod baseline;
#[cfg(not(target_arch = "wasm32"))]
pub mod brute_force;
#[cfg(not(target_arch = "wasm32"))]
pub mod builder;
#[cfg(not(target_arch = "wasm32"))]
mod byte_draw;
#[cfg(not(target_arch = "wasm32"))]
pub mod cp_sat;
pub mod demo;
pub mod demo_plans;
#[cfg(not(target_arch = "wasm32"))]
pub mod forecast_trial;
#[cfg(not(target_arch = "wasm32"))]
pub mod planning_case;
#[cfg(not(target_arch = "wasm32"))]
mod planning_case_debug;
pub mod planning_times;
#[cfg(not(target_arch = "wasm32"))]
pub mod powered_unit;
#[cfg(not(target_arch = "wasm32"))]
pub mod random;
#[cfg(not(target_arch = "wasm32"))]
pub mod random_cases;
#[cfg(not(target_arch = "wasm32"))]
pub mod random_walk;
#[cfg(not(target_arch = "wasm32"))]
pub mod scale_unit;
pub mod simulate;
#[cfg(not(target_arch = "wasm32"))]
pub mod split_mix;
#[cfg(not(target_arch = "wasm32"))]
pub mod visit;

/// A path below the top of the repository.
pub fn repository(path: &str) -> std::path::PathBuf {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    std::path::Path::new(root).join(path)
}

/// Runs each property on `cases` random cases, or on as many as `PROPTEST_CASES` says. The
/// seed of a failing case is kept beside its test and tried first the next time.
#[cfg(not(target_arch = "wasm32"))]
pub fn proptest_config(cases: u32) -> proptest::test_runner::Config {
    use proptest::test_runner::{Config, FileFailurePersistence};
    let kept = FileFailurePersistence::WithSource("failed");
    let defaults = Config::default();
    let is_set = std::env::var_os("PROPTEST_CASES").is_some();
    Config {
        cases: if is_set { defaults.cases } else { cases },
        failure_persistence: Some(Box::new(kept)),
        // Shrinking may take at most this many milliseconds.
        max_shrink_time: 20_000,
        ..defaults
    }
}

/// As [`proptest_config`], for properties that must be checked on nearly every case: it fails
/// where more than one case in twenty, and more than eight, are rejected.
#[cfg(not(target_arch = "wasm32"))]
pub fn strict_config(cases: u32) -> proptest::test_runner::Config {
    let config = proptest_config(cases);
    proptest::test_runner::Config {
        max_global_rejects: (config.cases / 20).max(8),
        ..config
    }
}

/// Draws `count` values of this strategy, the same ones in every run.
#[cfg(not(target_arch = "wasm32"))]
pub fn deterministic_samples<S: proptest::strategy::Strategy>(
    strategy: S,
    count: usize,
) -> impl Iterator<Item = S::Value> {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    (0..count).map(move |_| {
        let drawn = strategy.new_tree(&mut runner);
        drawn.unwrap_or_else(|why| panic!("{why}")).current()
    })
}
