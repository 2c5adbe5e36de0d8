//! Ways that are blocked: the planner goes round them at the least cost, says so
//! where it cannot, and does not close what it will need open.

#![allow(clippy::unwrap_used)]

mod common;

use common::brute::{Found, cheapest_way_where};
use common::build::{self, OnBench, all, free, in_place, off, plain, service, unit};
use common::job::{Job, Priced, jobs_under_way};
use common::random::Ingredients;
use common::walks::every_op;
use lidoff::catalog::format::Swap;
use lidoff::plan::outcome::Blocked;
use lidoff::plan::{Op, PartState, Phase, Proof, Refusal, Request, Task, UnitState, Way, plan};
use proptest::prelude::*;

/// Small enough to try everything.
const SMALL: Ingredients = Ingredients {
    waits: false,
    ..Ingredients::ALL.sized(3, 5)
};
/// Most states that trying everything may take.
const MOST_TRIED: usize = 6_000;

fn ways_out(job: &Job) -> Vec<Op> {
    let mut ops = every_op(&job.catalog, &job.tasks);
    ops.retain(|op| op.phase() == Phase::StripDown);
    ops
}

proptest! {
    #![proptest_config(common::cases(256))]

    #[test]
    fn round_what_is_blocked_no_way_is_cheaper(
        job in jobs_under_way(SMALL, 2, Priced::Anyhow),
        which in proptest::collection::vec(any::<prop::sample::Index>(), 1..4),
    ) {
        let ways = ways_out(&job);
        prop_assume!(!ways.is_empty());
        let blocked: Vec<Op> = which.iter().map(|at| *at.get(&ways)).collect();
        let (found, way) = cheapest_way_where(&job, MOST_TRIED, |_, op| !blocked.contains(&op));
        prop_assume!(found != Found::TooBig);
        let request = Request { blocked: &blocked, ..job.request() };
        match plan(&request) {
            Ok(plan) => {
                let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
                prop_assert!(ops.iter().all(|op| !blocked.contains(op)));
                prop_assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
                prop_assert_eq!(plan.proof, Proof::Cheapest);
                let (total, disturbed) = (plan.cost.total, plan.cost.disturbed);
                prop_assert_eq!(found, Found::Cheapest { total, disturbed }, "{:?}", way);
            }
            Err(refusal) => prop_assert_eq!(found, Found::NoWay, "{:?} {:?}", refusal, way),
        }
    }

    /// What is open now is put back and opened again only where every plan that
    /// leaves it open, or closes it for good, takes longer.
    #[test]
    fn nothing_is_put_back_only_to_be_taken_off_again(
        job in jobs_under_way(SMALL, 2, Priced::Anyhow)
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
        let before = std::iter::once(&job.from).chain(walk.moments.iter().map(|at| &at.state));
        if ops.iter().zip(before).any(|(op, state)| again(state, *op)) {
            let (found, _) = cheapest_way_where(&job, MOST_TRIED, |state, op| !again(state, op));
            if let Found::Cheapest { total, disturbed } = found {
                let cost = (planned.cost.total, planned.cost.disturbed);
                prop_assert!(cost < (total, disturbed), "{:?}", ops);
            }
        }
    }
}

/// A fan behind a lid or behind a base, the lid quicker.
fn two_ways_in() -> OnBench {
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
    let mut fan = plain("fan", build::any([off("lid"), off("base")]));
    fan.swap = Some(Swap::default());
    file.parts = vec![plain("lid", free()), base, fan];
    OnBench::new(file)
}

fn asked(on: &OnBench, tasks: Vec<Task>) -> Job {
    Job {
        catalog: std::sync::Arc::new(on.catalog.clone()),
        setup: on.setup.clone(),
        tasks,
        from: UnitState::closed(&on.catalog),
        prices: on.prices.clone(),
    }
}

fn off_op(on: &OnBench, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::InPlace)
}

#[test]
fn a_blocked_lid_is_gone_round_by_the_base_for_twenty_seconds_more() {
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
fn where_every_route_is_blocked_both_are_named() {
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
        "Cannot replace “fan”: it goes through “fan” → “lid”, and “lid” is blocked. The other way \
         is shut too: “base” is blocked."
    );
}

#[test]
fn what_is_off_already_can_be_put_back_though_its_way_out_is_blocked() {
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
fn what_is_off_already_and_blocked_still_opens_the_way() {
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
fn two_tasks_that_cannot_be_done_in_one_visit_are_named_with_what_must_stay() {
    // Flushing wants the valve in place, behind which the pump is off; and the
    // valve does not go in before the pump.
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
    let on = OnBench::new(file);
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

#[test]
fn a_service_that_must_come_before_what_it_needs_is_said_to_wait_for_itself() {
    use lidoff::catalog::format::OpRef;
    let mut file = unit("order");
    file.parts = vec![plain("lid", free())];
    let mut save = service("save", off("lid"));
    save.before = vec![OpRef::TakeOff("lid".into())];
    file.services = vec![save];
    let on = OnBench::new(file);
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
