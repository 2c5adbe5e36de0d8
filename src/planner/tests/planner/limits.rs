//! Plans on units too large to be proven within a low limit: such a plan is legal, no better
//! than what more states find, and no cheaper than the bound. What all of them cost has a
//! baseline, because a search that has become worse at this finds plans, too.

use lidoff_planner::{Limits, Op, Plan, Proof, Refusal, plan};
use lidoff_testkit::baseline::{at_least, at_most};
use lidoff_testkit::deterministic_samples;
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases, random_cases_under_way};
use proptest::strategy::Strategy;

const LARGE: UnitFeatures = UnitFeatures::ALL.sized(14, 22);
const LARGE_WITHOUT_WAITS: UnitFeatures = UnitFeatures::NO_WAITS.sized(14, 22);

/// States, from hardly any to more than most of these cases need.
const LIMITS: [usize; 4] = [1, 6, 30, 200];
const CASES: usize = 20;

/// What came of all cases at one limit.
#[derive(Default)]
struct Totals {
    proven: u64,
    unproven: u64,
    without_plan: u64,
    /// Expanded states.
    states: u64,
    /// The time of all plans, and the bounds below which there are none; tenths.
    time: u64,
    bound: u64,
}

impl Totals {
    /// `[proven, unproven, without plan, states, time, bound]`
    const fn new(figures: [u64; 6]) -> Self {
        let [proven, unproven, without_plan, states, time, bound] = figures;
        Self {
            proven,
            unproven,
            without_plan,
            states,
            time,
            bound,
        }
    }

    fn compare_with(&self, baseline: &Self, limit: usize) {
        let of = |what: &str| format!("{what} with {limit} states");
        at_least(&of("proven plans"), self.proven, baseline.proven);
        at_most(
            &of("cases without a plan"),
            self.without_plan,
            baseline.without_plan,
        );
        at_most(&of("expanded states"), self.states, baseline.states);
        // Times and bounds can be compared only where as many cases have a plan.
        if self.without_plan == baseline.without_plan {
            at_most(&of("time of all plans"), self.time, baseline.time);
            at_least(&of("bound of all plans"), self.bound, baseline.bound);
        }
        let cases = self.proven + self.unproven + self.without_plan;
        assert_eq!(cases, CASES as u64, "every case counts once");
    }
}

fn plan_within(case: &PlanningCase, states: usize) -> Result<Plan, Refusal> {
    let mut request = case.request();
    request.limits = Limits { states };
    plan(&request)
}

fn totals(cases: impl Iterator<Item = PlanningCase>) -> [Totals; LIMITS.len()] {
    let mut totals: [Totals; LIMITS.len()] = Default::default();
    for case in cases {
        let mut bound_so_far = 0;
        for (states, totals) in LIMITS.into_iter().zip(&mut totals) {
            match plan_within(&case, states) {
                Ok(plan) => {
                    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
                    let simulated = case.simulate(&ops).map(|simulated| simulated.cost);
                    assert_eq!(simulated, Ok(plan.cost), "{case:?}");
                    let bound = match plan.proof {
                        Proof::Cheapest => plan.cost.total,
                        Proof::AtLeast(bound) => bound,
                    };
                    assert!(
                        bound_so_far <= bound && bound <= plan.cost.total,
                        "{case:?}"
                    );
                    bound_so_far = bound;
                    match plan.proof {
                        Proof::Cheapest => totals.proven += 1,
                        Proof::AtLeast(_) => totals.unproven += 1,
                    }
                    totals.states += plan.states as u64;
                    totals.time += u64::from(plan.cost.total);
                    totals.bound += u64::from(bound);
                }
                Err(Refusal::Limit { states }) => {
                    totals.without_plan += 1;
                    totals.states += states as u64;
                }
                Err(refusal) => panic!("{refusal:?}\n{case:?}"),
            }
        }
    }
    totals
}

fn compare(cases: impl Strategy<Value = PlanningCase>, baselines: [[u64; 6]; LIMITS.len()]) {
    let totals = totals(deterministic_samples(cases, CASES));
    for ((totals, baseline), limit) in totals.iter().zip(baselines).zip(LIMITS) {
        totals.compare_with(&Totals::new(baseline), limit);
    }
}

#[test]
fn plans_within_a_limit_are_no_worse_than_the_baseline() {
    compare(
        random_cases(LARGE_WITHOUT_WAITS, 5, PriceModel::Any),
        [
            [8, 9, 3, 32, 76_222, 48_744],
            [9, 9, 2, 180, 79_155, 52_279],
            [15, 5, 0, 405, 80_933, 61_784],
            [19, 1, 0, 611, 66_663, 62_126],
        ],
    );
}

#[test]
fn plans_within_a_limit_are_no_worse_where_changes_are_dear() {
    compare(
        random_cases(LARGE_WITHOUT_WAITS, 5, PriceModel::DearChanges),
        [
            [7, 9, 4, 32, 35_769, 22_522],
            [8, 9, 3, 180, 37_017, 24_489],
            [12, 7, 1, 515, 36_161, 30_304],
            [18, 2, 0, 1230, 35_879, 32_546],
        ],
    );
}

#[test]
fn plans_within_a_limit_are_no_worse_with_waits() {
    compare(
        random_cases_under_way(LARGE, 4, PriceModel::Any),
        [
            [5, 13, 2, 39, 73_139, 53_156],
            [5, 13, 2, 215, 73_545, 53_274],
            [9, 9, 2, 648, 73_115, 53_517],
            [14, 4, 2, 2291, 60_046, 54_027],
        ],
    );
}
