//! Riders that can be worked on both in place and on the bench: one way out and
//! the other way back may be the cheapest.

mod common;

use common::brute::{Found, cheapest};
use common::build::{OnBench, all, free, leg, off, part, plain, step, unit};
use common::job::Job;
use lidoff::catalog::format::{Leg, Step, Swap};
use lidoff::plan::{Op, Task, UnitState, Way, plan};

/// A board whose module moves over to the new one. In place the module comes off
/// and goes back in these times (s), on the bench in those.
fn board(in_place: (f64, f64), on_the_bench: (f64, f64)) -> OnBench {
    let timed = |name: &str, (out, back): (f64, f64)| Leg {
        out: vec![step(&format!("{name}-out"), out)],
        back: vec![step(&format!("{name}-back"), back)],
        ..leg("unused", free())
    };
    let mut file = unit("board");
    let mut board = plain("board", free());
    board.swap = Some(Swap {
        moves_over: vec!["module".into()],
        ..Swap::default()
    });
    let mut module = part("module");
    module.rides_on = Some("board".into());
    module.take_off = Some(timed("module-in-place", in_place));
    module.bench_off = Some(timed("module-on-the-bench", on_the_bench));
    file.parts = vec![board, module];
    OnBench::new(file)
}

fn cheapest_ways(on: &OnBench) -> (u32, Vec<Op>) {
    let job = Job {
        catalog: std::sync::Arc::new(on.catalog.clone()),
        setup: on.setup.clone(),
        tasks: vec![Task::Replace(on.part("board"))],
        from: UnitState::closed(&on.catalog),
        prices: on.prices.clone(),
    };
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    let walk = job.simulate(&ops);
    let walk = walk.unwrap_or_else(|illegal| panic!("{illegal}"));
    assert_eq!(walk.cost, plan.cost);
    let Found::Cheapest { total, .. } = cheapest(&job, 1_000) else {
        panic!("the board can be replaced");
    };
    assert!(total <= plan.cost.total);
    (plan.cost.total, ops)
}

/// The board out and back takes 5 s.
#[test]
fn a_rider_that_came_off_on_the_bench_may_go_back_in_place() {
    let on = board((30.0, 1.0), (2.0, 40.0));
    let (total, ops) = cheapest_ways(&on);
    let module = on.part("module");
    assert!(ops.contains(&Op::TakeOff(module, Way::Bench)), "{ops:?}");
    assert!(ops.contains(&Op::PutBack(module, Way::InPlace)), "{ops:?}");
    assert_eq!(total, 50 + 20 + 10);
}

#[test]
fn a_rider_that_came_off_in_place_may_go_back_on_the_bench() {
    let on = board((1.0, 30.0), (40.0, 2.0));
    let (total, ops) = cheapest_ways(&on);
    let module = on.part("module");
    assert!(ops.contains(&Op::TakeOff(module, Way::InPlace)), "{ops:?}");
    assert!(ops.contains(&Op::PutBack(module, Way::Bench)), "{ops:?}");
    assert_eq!(total, 50 + 10 + 20);
}

#[test]
fn a_rider_that_is_cheaper_one_way_both_ways_goes_that_way_both_ways() {
    let on = board((1.0, 2.0), (30.0, 40.0));
    assert_eq!(cheapest_ways(&on).0, 50 + 10 + 20);
    let on = board((30.0, 40.0), (1.0, 2.0));
    assert_eq!(cheapest_ways(&on).0, 50 + 10 + 20);
}

/// A part that is out already comes in on the way: an eased rider may be taken
/// off in place so that it is fitted on the bench, and need not be settled.
#[test]
fn an_eased_rider_may_be_finished_on_the_bench() {
    let mut file = unit("eased-rider");
    let mut module = part("module");
    module.rides_on = Some("board".into());
    module.ease = Some(Leg {
        back: vec![Step {
            face: Some("side".into()),
            ..step("module-settle", 20.0)
        }],
        ..leg("module-ease", free())
    });
    module.take_off = Some(leg("module-off", free()));
    module.bench_off = Some(leg("module-bench", free()));
    let mut deep = plain("deep", all([off("board")]));
    deep.swap = Some(Swap::default());
    file.parts = vec![plain("board", free()), module, deep];
    let on = OnBench::new(file);
    let mut from = UnitState::closed(&on.catalog);
    from.parts[on.part("module").index()] = lidoff::plan::PartState::Eased;
    let job = Job {
        catalog: std::sync::Arc::new(on.catalog.clone()),
        setup: on.setup.clone(),
        tasks: vec![Task::Replace(on.part("deep"))],
        from,
        prices: on.prices.clone(),
    };
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    // Module off 2, board off 2, deep off 2 and back 3, module back 3, board 3.
    assert_eq!(plan.cost.total, 150, "{plan:?}");
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
}
