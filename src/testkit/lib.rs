//! Support for tests: hand-made and random units, random jobs on them, exhaustive
//! search, a simulator that shares no code with the planner, and simulated visits.
//! Production code never uses this crate.
#![allow(clippy::unwrap_used)]

#[cfg(not(target_arch = "wasm32"))]
pub mod brute;
#[cfg(not(target_arch = "wasm32"))]
pub mod builder;
#[cfg(not(target_arch = "wasm32"))]
pub mod cp_sat;
pub mod demo;
pub mod demo_plans;
#[cfg(not(target_arch = "wasm32"))]
pub mod draw;
#[cfg(not(target_arch = "wasm32"))]
pub mod forecast_trial;
#[cfg(not(target_arch = "wasm32"))]
pub mod job;
pub mod planning_times;
#[cfg(not(target_arch = "wasm32"))]
pub mod random;
#[cfg(not(target_arch = "wasm32"))]
pub mod scale_unit;
#[cfg(not(target_arch = "wasm32"))]
pub mod show;
pub mod simulate;
#[cfg(not(target_arch = "wasm32"))]
pub mod visit;
#[cfg(not(target_arch = "wasm32"))]
pub mod walks;

/// A path below the top of the repository.
pub fn repository(path: &str) -> std::path::PathBuf {
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    std::path::Path::new(root).join(path)
}

/// So many random cases a property, or as many as `PROPTEST_CASES` says. A
/// failing one is kept beside its test, to be tried first the next time.
#[cfg(not(target_arch = "wasm32"))]
pub fn cases(cases: u32) -> proptest::test_runner::Config {
    use proptest::test_runner::{Config, FileFailurePersistence};
    let kept = FileFailurePersistence::WithSource("failed");
    let said = Config::default();
    let is_said = std::env::var_os("PROPTEST_CASES").is_some();
    Config {
        cases: if is_said { said.cases } else { cases },
        failure_persistence: Some(Box::new(kept)),
        // A plainer case is worth some seconds, and no more.
        max_shrink_time: 20_000,
        ..said
    }
}

/// So many of these, the same ones every time.
#[cfg(not(target_arch = "wasm32"))]
pub fn the_same<S: proptest::strategy::Strategy>(
    these: S,
    many: usize,
) -> impl Iterator<Item = S::Value> {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::{Config, RngAlgorithm, TestRng, TestRunner};
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    (0..many).map(move |_| {
        let drawn = these.new_tree(&mut runner);
        drawn.unwrap_or_else(|why| panic!("{why}")).current()
    })
}
