//! Riders with a way in place and a way on the bench: one way out and the other way back may
//! be the cheapest.

use lidoff_catalog::format::{CatalogFile, Leg, OrderAnchor, Service, Step, Swap};
use lidoff_planner::{Op, PartState, Task, UnitState, Way, plan};
use lidoff_testkit::builder::{
    TestUnit, all, any, clear, free, in_place, leg, off, part, plain, service, step, step_with,
    unit,
};
use lidoff_testkit::planning_case::PlanningCase;

/// A board whose module moves over to the new one. In place and on the bench the module comes
/// off and goes back in these times (s).
fn board(in_place: (f64, f64), on_the_bench: (f64, f64)) -> TestUnit {
    TestUnit::new(board_file(in_place, on_the_bench))
}

fn board_file(in_place: (f64, f64), on_the_bench: (f64, f64)) -> CatalogFile {
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
    file
}

fn cheapest_ways(on: &TestUnit) -> (u32, Vec<Op>) {
    cheapest(on, vec![Task::Replace(on.part("board"))])
}

fn cheapest(on: &TestUnit, tasks: Vec<Task>) -> (u32, Vec<Op>) {
    cheapest_from(on, tasks, UnitState::closed(&on.catalog))
}

fn cheapest_from(on: &TestUnit, tasks: Vec<Task>, from: UnitState) -> (u32, Vec<Op>) {
    let job = PlanningCase::on(on, &tasks).starting_from(from);
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
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

/// On the bench it goes back with the driver, which is not in hand; in place with bare hands.
/// Taking it off with the driver, so that it is in hand, takes longer.
#[test]
fn a_rider_goes_back_by_the_way_that_needs_no_tool_where_fetching_one_takes_longer() {
    let mut file = board_file((0.5, 3.0), (1.0, 1.0));
    let module = &mut file.parts[1];
    let in_place = module.take_off.as_mut().expect("it comes off in place");
    in_place.out = vec![step_with("module-in-place-out", 0.5, "driver", "front")];
    let on_the_bench = module.bench_off.as_mut().expect("and on the bench");
    on_the_bench.back = vec![step_with("module-bench-back", 1.0, "driver", "front")];
    let (total, ops) = cheapest_ways(&TestUnit::new(file));
    assert_eq!(total, 50 + 10 + 30, "{ops:?}");
}

/// Past a cover, a module and its board, or past a base that takes 3 s longer. The module
/// leaves the lever in hand, with which the board comes off: it is not fetched twice.
#[test]
fn a_tool_that_a_rider_leaves_in_hand_is_not_taken_up_again() {
    let with = |id: &str, tools: &[&str], needs| {
        let steps = tools.iter().enumerate();
        let steps = steps.map(|(nth, tool)| step_with(&format!("{id}-{nth}"), 1.0, tool, "front"));
        Leg {
            out: steps.collect(),
            ..leg(id, needs)
        }
    };
    let mut file = unit("two-ways-in");
    let mut cover = part("cover");
    cover.take_off = Some(with("cover", &["driver"], free()));
    let mut board = part("board");
    board.take_off = Some(with("board", &["lever"], off("cover")));
    let mut module = part("module");
    module.rides_on = Some("board".into());
    module.take_off = Some(with("module", &["driver", "lever"], off("cover")));
    module.bench_off = Some(with("bench", &["driver", "lever", "driver"], free()));
    let mut base = part("base");
    base.take_off = Some(Leg {
        out: vec![step("base-out", 11.0)],
        back: vec![step("base-back", 15.0)],
        ..leg("unused", free())
    });
    let inside = any([all([clear("module"), off("board")]), off("base")]);
    let mut fan = plain("fan", inside);
    fan.swap = Some(Swap::default());
    file.parts = vec![cover, board, module, base, fan];
    let on = TestUnit::new(file);
    let (total, ops) = cheapest(&on, vec![Task::Replace(on.part("fan"))]);
    // Four steps out and the fan's 2 s, four parts back 3 s each; driver and lever once.
    assert_eq!(total, 4 * 10 + 20 + 4 * 30 + 2 * 50, "{ops:?}");
}

/// Off its carrier in place, as the carrier needs it, and back on it on the bench: on the
/// carrier's way back the rider is away, and so off.
#[test]
fn a_carrier_that_asks_for_its_rider_to_be_off_goes_back_with_it_on() {
    let mut file = board_file((1.0, 30.0), (40.0, 2.0));
    let off_first = file.parts[0].take_off.as_mut();
    off_first.expect("the board comes off").needs = off("module");
    let (total, ops) = cheapest_ways(&TestUnit::new(file));
    assert_eq!(total, 50 + 10 + 20, "{ops:?}");
}

/// A part that is off already is needed on the way: an eased rider may be taken off in place
/// so that it is refitted on the bench, and need not be settled.
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
    let mut deep = plain("deep", off("board"));
    deep.swap = Some(Swap::default());
    file.parts = vec![plain("board", free()), module, deep];
    let on = TestUnit::new(file);
    let mut from = UnitState::closed(&on.catalog);
    from.parts[on.part("module").index()] = PartState::Eased;
    let (total, ops) = cheapest_from(&on, vec![Task::Replace(on.part("deep"))], from);
    // Module off 2, board off 2, deep off 2 and back 3, module back 3, board 3.
    assert_eq!(total, 150, "{ops:?}");
}

/// A rider that is replaced goes back before its carrier comes off, where that saves a change:
/// the driver puts one back and takes the other off.
#[test]
fn a_rider_goes_back_before_its_carrier_comes_off_where_that_saves_a_change() {
    let with = |id: &str, out: &str, back: &str| Leg {
        out: vec![step_with(&format!("{id}-out"), 6.0, out, "front")],
        back: vec![step_with(&format!("{id}-back"), 6.0, back, "front")],
        ..leg("unused", free())
    };
    let mut file = unit("carried");
    let mut board = part("board");
    board.take_off = Some(with("board", "driver", "pliers"));
    board.swap = Some(Swap::default());
    let mut chip = part("chip");
    chip.rides_on = Some("board".into());
    chip.take_off = Some(with("chip", "lever", "driver"));
    chip.swap = Some(Swap::default());
    file.parts = vec![board, chip];
    let on = TestUnit::new(file);
    let tasks = vec![
        Task::Replace(on.part("chip")),
        Task::Replace(on.part("board")),
    ];
    // Lever, driver, pliers: no face but the one that is up.
    let (total, ops) = cheapest(&on, tasks);
    assert_eq!(total, 4 * 60 + 3 * 50, "{ops:?}");
}

/// A board that was eased can only be settled with its module off, and the module only comes
/// off in place or on the bench. So the board comes off first, too, though only its own way
/// back needs that.
#[test]
fn an_eased_carrier_comes_off_so_that_its_rider_can_and_it_can_be_settled() {
    let mut file = unit("eased-carrier");
    let mut board = part("board");
    board.ease = Some(Leg {
        refit_needs: off("module"),
        ..leg("board-ease", free())
    });
    board.take_off = Some(leg("board-off", free()));
    let mut module = part("module");
    module.rides_on = Some("board".into());
    module.take_off = Some(leg("module-off", in_place("board")));
    module.bench_off = Some(leg("module-bench", free()));
    file.parts = vec![board, module];
    let on = TestUnit::new(file);
    let mut from = UnitState::closed(&on.catalog);
    from.parts[on.part("board").index()] = PartState::Eased;
    // Board and module off 2 each and back 3 each, board settled 3.
    let (total, ops) = cheapest_from(&on, vec![], from);
    assert_eq!(total, 20 + 20 + 30 + 30 + 30, "{ops:?}");
}

/// Testing first, with the driver that is in hand, would save a change. What moves over to the
/// new board comes off for that and is tested after it; a clip stays on.
#[test]
fn a_service_after_a_rider_is_back_waits_for_its_carrier_to_be_replaced() {
    for (after, tests_first) in [("module", false), ("clip", true)] {
        let mut file = board_file((2.0, 2.0), (2.0, 2.0));
        for part in &mut file.parts {
            for leg in part.take_off.iter_mut().chain(&mut part.bench_off) {
                let steps = leg.out.iter_mut().chain(&mut leg.back);
                steps.for_each(|step| step.tool = Some("lever".into()));
            }
        }
        file.parts.push(plain("clip", free()));
        file.services = vec![Service {
            steps: vec![step_with("test-it", 1.0, "driver", "front")],
            after: vec![OrderAnchor::PutBack(after.into())],
            ..service("test", free())
        }];
        let on = TestUnit::new(file);
        let [test, replace] = [
            Task::Serve(on.service("test")),
            Task::Replace(on.part("board")),
        ];
        let mut from = UnitState::closed(&on.catalog);
        let mut tools = on.catalog.tools();
        from.tool = tools
            .find(|(_, tool)| tool.id.0 == "driver")
            .map(|(at, _)| at);
        let (_, ops) = cheapest_from(&on, vec![test, replace], from);
        let at = |task: Task| ops.iter().position(|op| *op == task.op());
        assert_eq!(at(test) < at(replace), tests_first, "{ops:?}");
    }
}
