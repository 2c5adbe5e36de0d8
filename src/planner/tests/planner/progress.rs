//! Planning with a progress handler: resting changes nothing, and a planner that is stopped
//! still returns a plan with a valid bound.

use std::task::{Context, Poll};

use lidoff_catalog::model::Step;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::progress::{Control, Progress, ProgressHandler, block_on};
use lidoff_planner::{
    Limits, Op, Plan, Prices, Proof, Refusal, Request, Task, Tenths, UnitState, plan, plan_async,
};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases_under_way};
use proptest::prelude::*;

const MANY: UnitFeatures = UnitFeatures::ALL.sized(5, 9);

/// Rests before each answer, asks for a plan to show, and stops after `stop_after` answers.
struct Fidget {
    stop_after: usize,
    rested: bool,
    asked: Vec<Progress>,
}

impl Fidget {
    fn new(stop_after: usize) -> Self {
        Self {
            stop_after,
            rested: false,
            asked: Vec::new(),
        }
    }
}

impl ProgressHandler for Fidget {
    fn ask(&mut self, progress: &Progress, context: &mut Context<'_>) -> Poll<Control> {
        self.rested = !self.rested;
        if self.rested {
            context.waker().wake_by_ref();
            return Poll::Pending;
        }
        self.asked.push(*progress);
        Poll::Ready(if self.asked.len() > self.stop_after {
            Control::Stop
        } else {
            Control::FindPlan
        })
    }
}

fn ops(plan: &Plan) -> Vec<Op> {
    plan.ops.iter().map(|planned| planned.op).collect()
}

fn fidgeting(job: &PlanningCase, stop_after: usize) -> (Result<Plan, Refusal>, Vec<Progress>) {
    let mut fidget = Fidget::new(stop_after);
    let found = block_on(plan_async(&job.request(), &mut fidget));
    (found, fidget.asked)
}

proptest! {
    #![proptest_config(lidoff_testkit::strict_config(128))]

    #[test]
    fn pausing_and_showing_plans_change_nothing(job in random_cases_under_way(MANY, 2, PriceModel::Any)) {
        let straight = plan(&job.request());
        let (found, asked) = fidgeting(&job, usize::MAX);
        prop_assert_eq!(&found, &straight);
        if let Ok(plan) = straight && plan.proof == Proof::Cheapest {
            for progress in asked {
                prop_assert!(progress.at_least <= plan.cost.total, "{:?}", progress);
                prop_assert!(progress.best.is_none_or(|best| best >= plan.cost.total), "{:?}", progress);
            }
        }
    }

    #[test]
    fn a_planner_that_is_stopped_returns_a_legal_plan_and_a_valid_bound(
        job in random_cases_under_way(MANY, 2, PriceModel::Any),
        stop_after in 0..12_usize,
    ) {
        let best = plan(&job.request()).map_err(|refusal| TestCaseError::fail(format!("{refusal:?}")))?;
        match fidgeting(&job, stop_after).0 {
            Ok(found) => {
                prop_assert_eq!(job.simulate(&ops(&found)).map(|walk| walk.cost), Ok(found.cost));
                prop_assert!(found.cost.total >= best.cost.total || best.proof != Proof::Cheapest);
                match found.proof {
                    Proof::Cheapest => prop_assert_eq!(found.cost.total, best.cost.total),
                    Proof::AtLeast(bound) => prop_assert!(bound <= best.cost.total),
                }
            }
            // Greedy completion may end in a dead end.
            Err(refusal) => prop_assert!(matches!(refusal, Refusal::Limit { .. }), "{:?}", refusal),
        }
    }
}

/// Half of the laptop at once keeps the planner busy for long enough to stop it anywhere.
#[test]
fn a_long_search_can_be_stopped_at_any_time_and_comes_with_a_plan() {
    let text = lidoff_testkit::demo::CATALOGS[1].1;
    let catalog = lidoff_catalog::read("sorrel-14.json", text).unwrap();
    let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).unwrap();
    // Any times would do.
    let actions = |step: &Step| -> Tenths {
        let counts = step.entry.elements.iter().map(|it| u32::from(it.count));
        counts.sum()
    };
    let steps = catalog.steps().map(|(_, step)| 60 * actions(step));
    let prices = Prices {
        steps: steps.collect(),
        tool_change: 150,
        face_change: 80,
    };
    let from = UnitState::closed(&catalog);
    let parts = [
        "main-board",
        "panel",
        "hinge-left",
        "camera-board",
        "base-cover",
    ];
    let tasks = parts.map(|part| Task::Replace(catalog.find_part(part).unwrap()));
    let tasks = lidoff_planner::request::with_services(&catalog, &setup, &tasks);
    let request = Request {
        catalog: &catalog,
        setup: &setup,
        tasks: &tasks,
        from: &from,
        prices: &prices,
        blocked: &[],
        limits: Limits { states: 100_000 },
    };
    let best = plan(&request).unwrap();
    assert_eq!(best.proof, Proof::Cheapest);
    // The plan shown at one poll is the one returned when stopped at the poll before.
    let mut patient = Fidget::new(101);
    let _stopped = block_on(plan_async(&request, &mut patient)).unwrap();
    let shown: Vec<_> = patient.asked.iter().map(|progress| progress.best).collect();
    assert_eq!(shown[0], None);
    assert!(shown[1] > shown[101], "{shown:?}");
    let mut least = 0;
    for stop_after in [0, 1, 10, 100] {
        let mut fidget = Fidget::new(stop_after);
        let found = block_on(plan_async(&request, &mut fidget)).unwrap();
        assert_eq!(fidget.asked.len(), stop_after + 1);
        let Proof::AtLeast(bound) = found.proof else {
            panic!("the search is longer than that");
        };
        assert!(least <= bound && bound <= best.cost.total, "{bound}");
        assert!(best.cost.total <= found.cost.total);
        assert_eq!(shown[stop_after + 1], Some(found.cost.total));
        // A plan is shown before it is returned, and the plans shown never get worse.
        let shown = fidget.asked.iter().filter_map(|progress| progress.best);
        assert!(shown.is_sorted_by(|one, next| one >= next));
        least = bound;
    }
}
