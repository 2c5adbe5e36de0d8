//! Which jobs are looked at.

use proptest::prelude::*;
use proptest::strategy::ValueTree;
use proptest::test_runner::{Config, RngAlgorithm, TestCaseResult, TestRng, TestRunner};

use crate::common::job::Job;
use crate::common::random::Ingredients;

use super::promises::Sums;

pub const SMALL: Ingredients = Ingredients::NO_WAITS.sized(3, 6);
pub const TANGLED: Ingredients = Ingredients {
    tangled: true,
    ..SMALL
};
/// How long each wait still runs tells states apart, too: there are more of them.
pub const WAITING: Ingredients = Ingredients::ALL.sized(3, 5);

/// Looks at so many of these jobs, the same ones every time.
pub fn same_jobs(
    jobs: impl Strategy<Value = Job>,
    many: usize,
    look: impl Fn(&Job, &mut Sums) -> TestCaseResult,
) -> Sums {
    let rng = TestRng::deterministic_rng(RngAlgorithm::ChaCha);
    let mut runner = TestRunner::new_with_rng(Config::default(), rng);
    let mut sums = Sums::default();
    for _ in 0..many {
        let drawn = jobs.new_tree(&mut runner);
        let job = drawn.unwrap_or_else(|why| panic!("{why}")).current();
        look(&job, &mut sums).unwrap_or_else(|why| panic!("{why}\n{job:?}"));
    }
    sums
}
