//! What tests share: units made by hand, units made at random, random jobs on
//! them, and an outside search over the simulator. Included both by the tests
//! beside this folder and by the tests inside the crate.
// Every test binary uses its own share of this.
#![allow(dead_code, unused_imports)]

pub mod brute;
pub mod build;
pub mod draw;
pub mod job;
pub mod random;
pub mod show;
pub mod walks;

/// So many random cases a property, or as many as `PROPTEST_CASES` says. A
/// failing one is kept beside its test, to be tried first the next time.
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
