//! What holds for every random unit, before any planner is asked: the units are
//! worth planning for, no legal way contradicts its own tally, and there is
//! always a way to do the tasks and a way to close.

use lidoff_testkit::brute::{Found, cheapest};
use lidoff_testkit::job::{Job, Priced, jobs, jobs_under_way};
use lidoff_testkit::random::Ingredients;
use lidoff_testkit::simulate::Why;
use lidoff_testkit::walks::every_op;
use proptest::prelude::*;

/// Small enough to try everything.
const SMALL: Ingredients = Ingredients::ALL.sized(3, 4);
const MOST_STATES: usize = 4_000;

/// Faults that lie in the catalog's own books, and not in the order.
fn is_of_the_books(why: &Why) -> bool {
    matches!(
        why,
        Why::AlreadyUndone(_)
            | Why::NotUndone(_)
            | Why::AlreadyParted(_)
            | Why::NotParted(_)
            | Why::TallyOpen(_)
            | Why::CableOpen(_)
    )
}

proptest! {
    #![proptest_config(lidoff_testkit::cases(192))]

    #[test]
    fn no_legal_order_undoes_what_is_undone_or_does_up_what_is_done_up(
        job in jobs_under_way(Ingredients::ALL, 3, Priced::Anyhow)
    ) {
        let walker = job.walker();
        for op in every_op(&job.catalog, &job.tasks) {
            if let Err(illegal) = walker.clone().walk(op) {
                prop_assert!(!is_of_the_books(&illegal.why), "{illegal}");
            }
        }
    }

    #[test]
    fn a_job_that_stops_half_way_is_the_same_walk_in_two(
        job in jobs(Ingredients::ALL, 3, Priced::Anyhow),
        bytes in proptest::collection::vec(any::<u8>(), 0..60),
        more in proptest::collection::vec(any::<u8>(), 0..20),
    ) {
        let ops = every_op(&job.catalog, &job.tasks);
        let mut through = job.walker();
        lidoff_testkit::walks::wander(&mut through, &ops, &bytes);
        let half = through.moment();
        let then = lidoff_testkit::walks::wander(&mut through, &ops, &more);
        let whole = through.moment();
        let later = Job { from: half.state, tasks: half.left, ..job.clone() };
        let mut again = later.walker();
        for op in then {
            let walked = again.walk(op);
            prop_assert!(walked.is_ok(), "{walked:?}");
        }
        let second = again.moment();
        prop_assert_eq!(&second.state, &whole.state);
        prop_assert_eq!(&second.left, &whole.left);
        prop_assert_eq!(second.cost.total, whole.cost.total - half.cost.total);
    }

    #[test]
    fn every_task_can_be_done_and_every_state_closed(
        job in jobs_under_way(SMALL, 2, Priced::Anyhow)
    ) {
        for tasks in [job.tasks.clone(), Vec::new()] {
            let found = cheapest(&job.asking(tasks), MOST_STATES);
            prop_assert_ne!(found, Found::NoWay);
        }
    }
}

/// Of so many random things, how many are so.
fn share<T: std::fmt::Debug>(of: impl Strategy<Value = T>, is: impl Fn(&T) -> bool) -> usize {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let tree = |_| of.new_tree(&mut runner).map(|tree| tree.current());
    let drawn: Result<Vec<T>, _> = (0..100).map(tree).collect();
    let drawn = drawn.unwrap_or_else(|reason| panic!("{reason}"));
    drawn.iter().filter(|one| is(one)).count()
}

/// Properties that hold of dull units only would prove little.
#[test]
fn random_jobs_are_worth_planning() {
    let with = Ingredients::ALL;
    let has = |is: fn(&Job) -> bool| share(jobs(with, 3, Priced::Anyhow), is);
    let under_way = |is: fn(&Job) -> bool| share(jobs_under_way(with, 3, Priced::Anyhow), is);
    let shares = [
        ("a task", has(|job| !job.tasks.is_empty())),
        (
            "a rider",
            has(|job| job.catalog.parts().any(|(_, part)| part.rides_on.is_some())),
        ),
        (
            "a part that is not there",
            has(|job| {
                let mut parts = job.catalog.parts();
                parts.any(|(_, part)| !job.setup.holds(&part.when))
            }),
        ),
        (
            "a wait that something comes after",
            has(|job| {
                let mut steps = job.catalog.steps();
                steps.any(|(_, step)| step.after_wait.is_some())
            }),
        ),
        (
            "a service among the tasks",
            has(|job| {
                let mut tasks = job.tasks.iter();
                tasks.any(|task| matches!(task, lidoff_planner::Task::Serve(_)))
            }),
        ),
        ("a part out already", under_way(|job| !job.from.is_closed())),
        (
            "two parts out already",
            under_way(|job| job.from.depth(&job.catalog, &job.setup) >= 2),
        ),
        (
            "a wait under way",
            under_way(|job| !job.from.waits.is_empty()),
        ),
    ];
    for (what, share) in shares {
        println!("{share} in 100 jobs have {what}");
        assert!(share >= 10, "only {share} in 100 jobs have {what}");
    }
}
