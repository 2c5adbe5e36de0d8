//! Plans that meet a limit, on units too large to be proven at once: what there is
//! then is legal, no better than what more states find, and no cheaper than the bound.
//! What it comes to is known to the tenth: a search that has become worse at this finds
//! plans, too.

use lidoff_planner::{Limits, Op, Plan, Proof, Refusal, plan};
use lidoff_testkit::job::{Job, Priced, jobs, jobs_under_way};
use lidoff_testkit::random::Ingredients;
use lidoff_testkit::the_same;

const LARGE: Ingredients = Ingredients::ALL.sized(14, 22);
const IDLE_NEVER: Ingredients = Ingredients::NO_WAITS.sized(14, 22);

/// States, from hardly any to more than most of these jobs need.
const LIMITS: [usize; 4] = [1, 6, 30, 200];

/// What came of all jobs at one limit: how many plans are proven, how many are not, how
/// often there is none; states; what all plans take, and what none takes less than.
type Sums = [u64; 6];

fn limited(job: &Job, states: usize) -> Result<Plan, Refusal> {
    let mut request = job.request();
    request.limits = Limits { states };
    plan(&request)
}

fn sums(jobs: &[Job]) -> Vec<Sums> {
    let mut sums = vec![Sums::default(); LIMITS.len()];
    for job in jobs {
        let mut least = 0;
        for (states, sums) in LIMITS.into_iter().zip(&mut sums) {
            match limited(job, states) {
                Ok(plan) => {
                    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
                    let walked = job.simulate(&ops).map(|walk| walk.cost);
                    assert_eq!(walked, Ok(plan.cost), "{job:?}");
                    let bound = match plan.proof {
                        Proof::Cheapest => plan.cost.total,
                        Proof::AtLeast(bound) => bound,
                    };
                    assert!(least <= bound && bound <= plan.cost.total, "{job:?}");
                    least = bound;
                    sums[usize::from(plan.proof != Proof::Cheapest)] += 1;
                    sums[3] += plan.states as u64;
                    sums[4] += u64::from(plan.cost.total);
                    sums[5] += u64::from(bound);
                }
                Err(Refusal::Limit { states }) => {
                    sums[2] += 1;
                    sums[3] += states as u64;
                }
                Err(refusal) => panic!("{refusal:?}\n{job:?}"),
            }
        }
    }
    sums
}

#[test]
fn what_is_found_within_a_limit_is_known_to_the_tenth() {
    let jobs: Vec<Job> = the_same(jobs(IDLE_NEVER, 5, Priced::Anyhow), 20).collect();
    assert_eq!(
        sums(&jobs),
        [
            [8, 9, 3, 32, 76_222, 48_744],
            [9, 9, 2, 180, 79_155, 52_279],
            [15, 5, 0, 405, 80_933, 61_784],
            [19, 1, 0, 611, 66_663, 62_126]
        ]
    );
}

#[test]
fn what_is_found_within_a_limit_with_dear_changes_is_known_to_the_tenth() {
    let jobs: Vec<Job> = the_same(jobs(IDLE_NEVER, 5, Priced::DearChanges), 20).collect();
    assert_eq!(
        sums(&jobs),
        [
            [7, 9, 4, 32, 35_769, 22_522],
            [8, 9, 3, 180, 37_017, 24_489],
            [12, 7, 1, 515, 36_161, 30_304],
            [18, 2, 0, 1230, 35_879, 32_546]
        ]
    );
}

#[test]
fn what_is_found_within_a_limit_with_waits_is_known_to_the_tenth() {
    let jobs: Vec<Job> = the_same(jobs_under_way(LARGE, 4, Priced::Anyhow), 20).collect();
    assert_eq!(
        sums(&jobs),
        [
            [5, 13, 2, 39, 73_139, 53_156],
            [5, 13, 2, 215, 73_545, 53_274],
            [9, 9, 2, 648, 73_115, 53_517],
            [14, 4, 2, 2291, 60_046, 54_027]
        ]
    );
}
