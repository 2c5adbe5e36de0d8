//! Which jobs are looked at.

use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

use lidoff_testkit::job::Job;
use lidoff_testkit::random::Ingredients;
use lidoff_testkit::the_same;

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
    let mut sums = Sums::default();
    for job in the_same(jobs, many) {
        look(&job, &mut sums).unwrap_or_else(|why| panic!("{why}\n{job:?}"));
    }
    sums
}
