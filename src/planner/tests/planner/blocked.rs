//! Blocked ways: the planner takes another route at the least cost, says so where there is
//! none, and does not close what it will need open.

use lidoff_catalog::format::Swap;
use lidoff_planner::outcome::Blocked;
use lidoff_planner::{
    Limits, Op, PartState, Phase, Plan, Proof, Refusal, Request, Task, UnitState, Way, plan,
};
use lidoff_testkit::brute_force::{BruteForceResult, brute_force_plan_where};
use lidoff_testkit::builder::{self, TestUnit, all, free, in_place, off, plain, service, unit};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases_under_way};
use lidoff_testkit::random_walk::all_ops;
use proptest::prelude::*;

/// Small enough for brute force.
const SMALL: UnitFeatures = UnitFeatures {
    waits: false,
    ..UnitFeatures::ALL.sized(3, 5)
};
/// Small enough to be planned in a moment.
const MEDIUM: UnitFeatures = UnitFeatures::ALL.sized(3, 7);
/// Larger cases are rejected.
const MAX_BRUTE_FORCE_STATES: usize = 6_000;

fn ways_out(job: &PlanningCase) -> Vec<Op> {
    let mut ops = all_ops(&job.catalog, &job.tasks);
    ops.retain(|op| op.phase() == Phase::StripDown);
    ops
}

proptest! {
    #![proptest_config(lidoff_testkit::strict_config(512))]

    #[test]
    fn no_plan_around_blocked_ways_is_cheaper(
        job in random_cases_under_way(SMALL, 2, PriceModel::Any),
        which in proptest::collection::vec(any::<prop::sample::Index>(), 1..4),
    ) {
        let ways = ways_out(&job);
        prop_assume!(!ways.is_empty());
        let blocked: Vec<Op> = which.iter().map(|at| *at.get(&ways)).collect();
        let (found, way) = brute_force_plan_where(&job, MAX_BRUTE_FORCE_STATES, |_, op| !blocked.contains(&op));
        prop_assume!(found != BruteForceResult::TooManyStates);
        let request = Request { blocked: &blocked, ..job.request() };
        match plan(&request) {
            Ok(plan) => {
                let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
                prop_assert!(ops.iter().all(|op| !blocked.contains(op)));
                prop_assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
                prop_assert_eq!(plan.proof, Proof::Cheapest);
                let (total, disturbed) = (plan.cost.total, plan.cost.disturbed);
                prop_assert_eq!(found, BruteForceResult::Cheapest { total, disturbed }, "{:?}", way);
            }
            Err(refusal) => prop_assert_eq!(found, BruteForceResult::NoPlan, "{:?} {:?}", refusal, way),
        }
    }

    /// A technician whose screw will not turn must not wait for a search that has nothing to
    /// find.
    #[test]
    fn an_unreachable_task_is_refused_before_the_search(
        job in random_cases_under_way(MEDIUM, 2, PriceModel::Any)
    ) {
        for way in ways_out(&job) {
            let request = Request { blocked: &[way], ..job.request() };
            let Err(refusal) = plan(&request) else { continue };
            if let Refusal::Unreachable { .. } | Refusal::CannotClose(_) = refusal {
                let hurried = Request { limits: Limits { states: 1 }, ..request };
                prop_assert_eq!(plan(&hurried), Err(refusal));
            }
        }
    }

    /// An open part is put back and opened again only where every plan that leaves it open, or
    /// closes it for good, takes longer.
    #[test]
    fn no_part_is_put_back_only_to_be_taken_off_again(
        job in random_cases_under_way(SMALL, 2, PriceModel::Any)
    ) {
        let planned = plan(&job.request());
        prop_assume!(planned.is_ok());
        let planned = planned.expect("just looked at");
        let ops: Vec<Op> = planned.ops.iter().map(|planned| planned.op).collect();
        let again = |state: &UnitState, op: Op| {
            op.phase() == Phase::StripDown
                && op.part().is_some_and(|part| state.of(part) < job.from.of(part))
        };
        let walk = job.simulate(&ops);
        let walk = walk.map_err(|illegal| TestCaseError::fail(illegal.to_string()))?;
        let before = std::iter::once(&job.from).chain(walk.states.iter().map(|at| &at.state));
        if ops.iter().zip(before).any(|(op, state)| again(state, *op)) {
            let (found, _) = brute_force_plan_where(&job, MAX_BRUTE_FORCE_STATES, |state, op| !again(state, op));
            if let BruteForceResult::Cheapest { total, disturbed } = found {
                let cost = (planned.cost.total, planned.cost.disturbed);
                prop_assert!(cost < (total, disturbed), "{:?}", ops);
            }
        }
    }
}

/// A fan behind a lid or behind a base; the lid is quicker.
fn two_ways_in() -> TestUnit {
    let mut file = unit("two-ways-in");
    let mut base = plain("base", free());
    for leg in base.take_off.iter_mut() {
        for step in leg.out.iter_mut().chain(&mut leg.back) {
            step.measured = step.measured.map(|mut time| {
                time.seconds += 10.0;
                time
            });
        }
    }
    let mut fan = plain("fan", builder::any([off("lid"), off("base")]));
    fan.swap = Some(Swap::default());
    file.parts = vec![plain("lid", free()), base, fan];
    TestUnit::new(file)
}

fn asked(on: &TestUnit, tasks: Vec<Task>) -> PlanningCase {
    PlanningCase::on(on, &tasks)
}

fn off_op(on: &TestUnit, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::InPlace)
}

#[test]
fn the_route_around_a_blocked_lid_takes_twenty_seconds_more() {
    let on = two_ways_in();
    let job = asked(&on, vec![Task::Replace(on.part("fan"))]);
    let usual = plan(&job.request()).unwrap();
    let lid = [off_op(&on, "lid")];
    assert!(usual.ops.iter().any(|planned| planned.op == lid[0]));
    let round = plan(&Request {
        blocked: &lid,
        ..job.request()
    })
    .unwrap();
    // 10 s out and 10 s back.
    assert_eq!(round.cost.total, usual.cost.total + 200);
    assert!(
        round
            .ops
            .iter()
            .any(|planned| planned.op == off_op(&on, "base"))
    );
}

#[test]
fn if_every_route_is_blocked_both_are_named() {
    let on = two_ways_in();
    let job = asked(&on, vec![Task::Replace(on.part("fan"))]);
    let both = [off_op(&on, "lid"), off_op(&on, "base")];
    let refusal = plan(&Request {
        blocked: &both,
        ..job.request()
    })
    .unwrap_err();
    let (fan, lid, base) = (on.part("fan"), on.part("lid"), on.part("base"));
    assert_eq!(
        refusal,
        Refusal::Unreachable {
            task: Task::Replace(fan),
            chain: vec![Blocked::Part(fan), Blocked::Shut(lid)],
            besides: vec![Blocked::Shut(base)],
        }
    );
    assert_eq!(
        refusal.words(&on.catalog),
        "Cannot replace “fan”: the route goes through “fan” → “lid”, and “lid” is blocked. The other route \
         is blocked too: “base” is blocked."
    );
}

/// Sixteen independent lids beside it would keep a search busy for a long time.
#[test]
fn a_fan_that_is_stuck_among_many_lids_is_named_at_once() {
    let mut file = unit("lids");
    let mut fan = plain("fan", free());
    fan.swap = Some(Swap::default());
    let lids = (0..16).map(|lid| {
        let mut lid = plain(&format!("lid-{lid}"), free());
        lid.swap = Some(Swap::default());
        lid
    });
    file.parts = lids.chain([fan]).collect();
    let on = TestUnit::new(file);
    let parts = on.catalog.parts().map(|(part, _)| Task::Replace(part));
    let job = asked(&on, parts.collect());
    let refusal = plan(&Request {
        blocked: &[off_op(&on, "fan")],
        limits: Limits { states: 1 },
        ..job.request()
    });
    let fan = on.part("fan");
    assert_eq!(
        refusal,
        Err(Refusal::Unreachable {
            task: Task::Replace(fan),
            chain: vec![Blocked::Shut(fan)],
            besides: Vec::new(),
        })
    );
}

#[test]
fn a_part_that_is_off_can_be_put_back_although_its_way_out_is_blocked() {
    let on = two_ways_in();
    let mut job = asked(&on, Vec::new());
    job.from.parts[on.part("lid").index()] = PartState::Off;
    let lid = [off_op(&on, "lid")];
    let closing = plan(&Request {
        blocked: &lid,
        ..job.request()
    })
    .unwrap();
    let ops: Vec<Op> = closing.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(ops, [Op::PutBack(on.part("lid"), Way::InPlace)]);
}

#[test]
fn a_part_that_is_off_and_blocked_still_opens_the_way() {
    let on = two_ways_in();
    let mut job = asked(&on, vec![Task::Replace(on.part("fan"))]);
    job.from.parts[on.part("lid").index()] = PartState::Off;
    let lid = [off_op(&on, "lid")];
    let blocked = plan(&Request {
        blocked: &lid,
        ..job.request()
    })
    .unwrap();
    assert_eq!(blocked.cost, plan(&job.request()).unwrap().cost);
    assert!(
        blocked
            .ops
            .iter()
            .all(|planned| planned.op != off_op(&on, "base"))
    );
}

#[test]
fn a_door_that_is_open_still_opens_the_way_when_it_is_blocked() {
    let mut file = unit("door");
    let mut door = builder::part("door");
    door.ease = Some(builder::leg("door-ease", free()));
    door.take_off = Some(builder::leg("door-off", free()));
    let mut fan = plain("fan", builder::eased("door"));
    fan.swap = Some(Swap::default());
    file.parts = vec![door, fan];
    let on = TestUnit::new(file);
    let (door, fan) = (on.part("door"), on.part("fan"));
    let mut job = asked(&on, vec![Task::Replace(fan)]);
    let easing = [Op::Ease(door)];
    let blocked = |job: &PlanningCase| {
        plan(&Request {
            blocked: &easing,
            ..job.request()
        })
    };
    assert!(matches!(blocked(&job), Err(Refusal::Unreachable { .. })));
    for open in [PartState::Eased, PartState::Off] {
        job.from.parts[door.index()] = open;
        let usual = plan(&job.request()).unwrap();
        assert_eq!(blocked(&job).unwrap().cost, usual.cost);
    }
}

#[test]
fn two_tasks_in_conflict_are_named_with_the_part_that_must_remain() {
    // Flushing needs the valve in place, behind which the pump is off; and the valve does not
    // go in before the pump.
    let mut file = unit("valve");
    let mut pump = plain("pump", off("valve"));
    pump.swap = Some(Swap::default());
    let mut valve = plain("valve", off("lid"));
    valve.take_off.as_mut().unwrap().refit_needs = in_place("pump");
    file.parts = vec![plain("lid", free()), valve, pump];
    file.services = vec![
        service("flush", all([in_place("valve"), off("pump")])),
        service("look", off("lid")),
    ];
    let on = TestUnit::new(file);
    let (flush, look) = (on.service("flush"), on.service("look"));
    let pump = Task::Replace(on.part("pump"));
    let job = asked(&on, vec![Task::Serve(look), pump, Task::Serve(flush)]);
    let refusal = plan(&job.request()).unwrap_err();
    assert_eq!(
        refusal,
        Refusal::Conflict {
            tasks: vec![Task::Serve(flush)],
            stays: vec![on.part("valve"), on.part("pump")],
        }
    );
    let words = refusal.words(&on.catalog);
    assert!(
        words.contains("“valve” and “pump” must stay in place"),
        "{words}"
    );
}

/// As above, with a relay that comes off while its bar stays, and the bar: these are in no
/// conflict.
#[test]
fn tasks_and_parts_outside_a_conflict_are_not_named() {
    let mut file = unit("valve");
    let replaced = |id: &str, needs| {
        let mut part = plain(id, needs);
        part.swap = Some(Swap::default());
        part
    };
    let pump = plain("pump", off("valve"));
    let mut valve = plain("valve", free());
    valve.take_off.as_mut().unwrap().refit_needs = in_place("pump");
    let (relay, bar) = (replaced("relay", in_place("bar")), replaced("bar", free()));
    file.parts = vec![valve, pump, relay, bar];
    file.services = vec![service("flush", all([in_place("valve"), off("pump")]))];
    let on = TestUnit::new(file);
    let [relay, bar] = ["relay", "bar"].map(|part| Task::Replace(on.part(part)));
    let flush = Task::Serve(on.service("flush"));
    let refused = |tasks: &[Task]| plan(&asked(&on, tasks.to_vec()).request()).unwrap_err();
    assert!(plan(&asked(&on, vec![relay, bar]).request()).is_ok());
    assert_eq!(
        refused(&[relay, flush, bar]),
        Refusal::Conflict {
            tasks: vec![flush],
            stays: vec![on.part("valve"), on.part("pump")],
        }
    );
}

/// A blocked cover before it makes no difference.
#[test]
fn the_inner_one_of_two_blocked_covers_is_named() {
    let mut file = unit("two-covers");
    let mut fan = plain("fan", off("inner"));
    fan.swap = Some(Swap::default());
    file.parts = vec![plain("outer", free()), plain("inner", off("outer")), fan];
    let on = TestUnit::new(file);
    let task = Task::Replace(on.part("fan"));
    let job = asked(&on, vec![task]);
    let [fan, inner, outer] = ["fan", "inner", "outer"].map(|part| on.part(part));
    for (blocked, chain) in [
        (
            &[off_op(&on, "inner"), off_op(&on, "outer")][..],
            &[Blocked::Part(fan), Blocked::Shut(inner)][..],
        ),
        (
            &[off_op(&on, "outer")],
            &[
                Blocked::Part(fan),
                Blocked::Part(inner),
                Blocked::Shut(outer),
            ],
        ),
    ] {
        let refused = plan(&Request {
            blocked,
            ..job.request()
        });
        assert_eq!(refused, cannot_reach(task, chain));
    }
}

fn cannot_reach(task: Task, chain: &[Blocked]) -> Result<Plan, Refusal> {
    Err(Refusal::Unreachable {
        task,
        chain: chain.to_vec(),
        besides: Vec::new(),
    })
}

/// The fan lies behind a grille that comes off and a guard that does not. The pump lies behind
/// a hatch that does not come off either, which does not matter to the fan.
#[test]
fn only_obstacles_to_the_refused_task_are_named() {
    let mut file = unit("fan-and-pump");
    let mut fan = plain("fan", all([off("grille"), off("guard")]));
    fan.swap = Some(Swap::default());
    let mut pump = plain("pump", off("hatch"));
    pump.swap = Some(Swap::default());
    let open = ["grille", "guard", "hatch"].map(|id| plain(id, free()));
    file.parts = open.into_iter().chain([fan, pump]).collect();
    let on = TestUnit::new(file);
    let both = ["fan", "pump"].map(|part| Task::Replace(on.part(part)));
    let job = asked(&on, both.to_vec());
    let refused = plan(&Request {
        blocked: &[off_op(&on, "guard"), off_op(&on, "hatch")],
        ..job.request()
    });
    let chain = [
        Blocked::Part(on.part("fan")),
        Blocked::Shut(on.part("guard")),
    ];
    assert_eq!(refused, cannot_reach(both[0], &chain));
}

/// In place the module no longer comes off. On the bench it would, if its board came off.
#[test]
fn a_part_that_is_blocked_one_way_is_named_with_the_obstacle_of_the_other() {
    let mut file = unit("module");
    let mut module = plain("module", free());
    module.rides_on = Some("board".into());
    module.bench_off = Some(builder::leg("module-bench", free()));
    module.swap = Some(Swap::default());
    file.parts = vec![plain("board", free()), module];
    let on = TestUnit::new(file);
    let (board, module) = (on.part("board"), on.part("module"));
    let task = Task::Replace(module);
    let job = asked(&on, vec![task]);
    let with = |blocked: &[Op]| {
        plan(&Request {
            blocked,
            ..job.request()
        })
    };
    let refused = with(&[off_op(&on, "module"), off_op(&on, "board")]);
    let chain = [Blocked::Part(module), Blocked::Shut(board)];
    assert_eq!(refused, cannot_reach(task, &chain));
    let ops = with(&[off_op(&on, "module")]).unwrap().ops;
    assert!(
        ops.iter()
            .any(|planned| planned.op == Op::TakeOff(module, Way::Bench))
    );
}

#[test]
fn a_service_that_must_come_before_what_it_needs_waits_for_itself() {
    use lidoff_catalog::format::OrderAnchor;
    let mut file = unit("order");
    file.parts = vec![plain("lid", free())];
    let mut save = service("save", off("lid"));
    save.before = vec![OrderAnchor::TakeOff("lid".into())];
    file.services = vec![save];
    let on = TestUnit::new(file);
    let save = Task::Serve(on.service("save"));
    let refusal = plan(&asked(&on, vec![save]).request()).unwrap_err();
    let lid = Blocked::Part(on.part("lid"));
    assert_eq!(
        refusal,
        Refusal::Unreachable {
            task: save,
            chain: vec![lid, Blocked::Task(save), lid],
            besides: Vec::new(),
        }
    );
    assert_eq!(
        refusal.words(&on.catalog),
        "Cannot run “save”: “lid” cannot be reached, because “lid” needs “save” done first, and \
         “save” needs “lid” open."
    );
}
