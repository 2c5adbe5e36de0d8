//! What holds for every random unit, before any planner is asked: the units are worth planning
//! for, no legal way contradicts its own tally, and every task can be done and every state
//! closed.

use lidoff_testkit::brute_force::{BruteForceResult, brute_force};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases, random_cases_under_way};
use lidoff_testkit::random_walk::all_ops;
use lidoff_testkit::simulate::Violation;
use proptest::prelude::*;

/// Small enough for brute force.
const SMALL: UnitFeatures = UnitFeatures::ALL.sized(3, 4);
const MAX_BRUTE_FORCE_STATES: usize = 4_000;

/// Faults of the catalog's own accounts, not of the order.
fn is_of_the_books(why: &Violation) -> bool {
    matches!(
        why,
        Violation::AlreadyUndone(_)
            | Violation::NotUndone(_)
            | Violation::AlreadyUnplugged(_)
            | Violation::NotUnplugged(_)
            | Violation::TallyOpen(_)
            | Violation::CableOpen(_)
    )
}

proptest! {
    #![proptest_config(lidoff_testkit::strict_config(384))]

    #[test]
    fn no_legal_order_undoes_or_redoes_a_fastening_twice(
        job in random_cases_under_way(UnitFeatures::ALL, 3, PriceModel::Any)
    ) {
        let simulation = job.simulation();
        for op in all_ops(&job.catalog, &job.tasks) {
            if let Err(illegal) = simulation.clone().perform(op) {
                prop_assert!(!is_of_the_books(&illegal.violation), "{illegal}");
            }
        }
    }

    #[test]
    fn a_job_in_two_halves_is_the_same_as_in_one(
        job in random_cases(UnitFeatures::ALL, 3, PriceModel::Any),
        bytes in proptest::collection::vec(any::<u8>(), 0..60),
        more in proptest::collection::vec(any::<u8>(), 0..20),
    ) {
        let ops = all_ops(&job.catalog, &job.tasks);
        let mut through = job.simulation();
        lidoff_testkit::random_walk::walk_randomly(&mut through, &ops, &bytes);
        let half = through.current_state();
        let then = lidoff_testkit::random_walk::walk_randomly(&mut through, &ops, &more);
        let whole = through.current_state();
        let later = PlanningCase { from: half.state, tasks: half.left, ..job.clone() };
        let mut again = later.simulation();
        for op in then {
            let walked = again.perform(op);
            prop_assert!(walked.is_ok(), "{walked:?}");
        }
        let second = again.current_state();
        prop_assert_eq!(&second.state, &whole.state);
        prop_assert_eq!(&second.left, &whole.left);
        prop_assert_eq!(second.cost.total, whole.cost.total - half.cost.total);
    }

    #[test]
    fn every_task_can_be_done_and_every_state_closed(
        job in random_cases_under_way(SMALL, 2, PriceModel::Any)
    ) {
        for tasks in [job.tasks.clone(), Vec::new()] {
            let found = brute_force(&job.with_tasks(tasks), MAX_BRUTE_FORCE_STATES);
            prop_assert_ne!(found, BruteForceResult::NoPlan);
        }
    }
}

/// How many of 100 random values have a property.
fn share<T: std::fmt::Debug>(of: impl Strategy<Value = T>, is: impl Fn(&T) -> bool) -> usize {
    use proptest::strategy::ValueTree;
    use proptest::test_runner::TestRunner;
    let mut runner = TestRunner::deterministic();
    let tree = |_| of.new_tree(&mut runner).map(|tree| tree.current());
    let drawn: Result<Vec<T>, _> = (0..100).map(tree).collect();
    let drawn = drawn.unwrap_or_else(|reason| panic!("{reason}"));
    drawn.iter().filter(|one| is(one)).count()
}

/// Properties of trivial units would prove little.
#[test]
fn random_cases_are_worth_planning() {
    let with = UnitFeatures::ALL;
    let has = |is: fn(&PlanningCase) -> bool| share(random_cases(with, 3, PriceModel::Any), is);
    let under_way =
        |is: fn(&PlanningCase) -> bool| share(random_cases_under_way(with, 3, PriceModel::Any), is);
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
