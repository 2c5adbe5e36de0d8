//! Units with more parts than a machine word has bits, made so that the cheapest plan can be
//! worked out on paper.

use lidoff_catalog::format::{CatalogFile, Leg, Swap};
use lidoff_planner::{MAX_TASKS, Op, PartState, Plan, Proof, Refusal, Task, UnitState, plan};
use lidoff_testkit::builder::{
    TestUnit, all, eased, free, in_place, leg, off, part, plain, step_with, unit,
};
use lidoff_testkit::planning_case::PlanningCase;

/// More than two words of bits, at one, two and three bits for each part.
const PARTS: usize = 150;

fn name(nth: usize) -> String {
    format!("p{nth}")
}

fn planned(on: TestUnit, tasks: Vec<Task>, from: UnitState) -> Plan {
    let job = PlanningCase::on(&on, &tasks).starting_from(from);
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    assert_eq!(plan.proof, Proof::Cheapest);
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
    plan
}

/// Each part lies behind the previous one and comes off with one of two tools in turn: 2 s out
/// and 3 s back.
fn chain() -> TestUnit {
    TestUnit::new(chain_file())
}

fn chain_file() -> CatalogFile {
    let mut file = unit("chain");
    for nth in 0..PARTS {
        let needs = if nth == 0 {
            free()
        } else {
            off(&name(nth - 1))
        };
        let id = name(nth);
        let tool = ["driver", "lever"][nth % 2];
        let mut link = part(&id);
        link.take_off = Some(Leg {
            out: vec![step_with(&format!("{id}-out"), 2.0, tool, "front")],
            back: vec![step_with(&format!("{id}-back"), 3.0, tool, "front")],
            ..leg("unused", needs)
        });
        link.swap = Some(Swap::default());
        file.parts.push(link);
    }
    file
}

/// There is only one order: all the way in, and all the way out. One tool for each part on the
/// way in, and for each but the last on the way back.
#[test]
fn the_innermost_of_a_chain_is_reached_through_all_the_others() {
    let on = chain();
    let task = Task::Replace(on.part(&name(PARTS - 1)));
    let from = UnitState::closed(&on.catalog);
    let plan = planned(on, vec![task], from);
    assert_eq!(plan.ops.len(), 2 * PARTS + 1);
    assert_eq!(plan.cost.disturbed as usize, PARTS);
    assert_eq!(plan.cost.work as usize, PARTS * 50);
    assert_eq!(plan.cost.tool_changes as usize, 2 * PARTS - 1);
    assert_eq!(plan.cost.total as usize, PARTS * 50 + (2 * PARTS - 1) * 50);
}

/// Both tools for each part on the way in, one after the other; none on the way back.
#[test]
fn a_chain_that_asks_for_two_tools_at_each_link_has_them_changed_at_each() {
    let mut file = chain_file();
    for link in &mut file.parts {
        let id = link.id.clone();
        let out = link.take_off.as_mut().expect("a link comes off");
        let step = |tool| step_with(&format!("{id}-{tool}"), 1.0, tool, "front");
        out.out = ["driver", "lever"].map(step).to_vec();
        out.back = vec![lidoff_testkit::builder::step(&format!("{id}-back"), 3.0)];
    }
    let on = TestUnit::new(file);
    let task = Task::Replace(on.part(&name(PARTS - 1)));
    let from = UnitState::closed(&on.catalog);
    let plan = planned(on, vec![task], from);
    assert_eq!(plan.ops.len(), 2 * PARTS + 1);
    assert_eq!(plan.cost.total as usize, PARTS * 50 + 2 * PARTS * 50);
}

/// As many tasks as a request can hold cost no more than the deepest one alone.
#[test]
fn tasks_on_the_way_cost_nothing_more() {
    let on = chain();
    let tasks: Vec<Task> = (PARTS - MAX_TASKS..PARTS)
        .map(|nth| Task::Replace(on.part(&name(nth))))
        .collect();
    let from = UnitState::closed(&on.catalog);
    let plan = planned(on, tasks, from);
    assert_eq!(plan.ops.len(), 2 * PARTS + MAX_TASKS);
    assert_eq!(plan.cost.total as usize, PARTS * 50 + (2 * PARTS - 1) * 50);
}

/// One more is refused at once.
#[test]
fn a_request_with_one_task_too_many_is_refused() {
    let on = chain();
    let tasks: Vec<Task> = (PARTS - MAX_TASKS - 1..PARTS)
        .map(|nth| Task::Replace(on.part(&name(nth))))
        .collect();
    let job = PlanningCase::on(&on, &tasks);
    let most = MAX_TASKS;
    assert_eq!(plan(&job.request()), Err(Refusal::TooManyTasks { most }));
}

/// Behind the chain lies a latch that must stay while the last link comes off and while it
/// goes back. One is finished before the other begins, and only the latch itself costs more.
#[test]
fn a_part_that_must_remain_at_the_far_end_of_a_chain_remains() {
    let mut on_file = chain_file();
    let last = name(PARTS - 1);
    let take_off = on_file.parts[PARTS - 1].take_off.as_mut();
    take_off.expect("a link comes off").needs = all([off(&name(PARTS - 2)), in_place("latch")]);
    let mut latch = plain("latch", off(&name(PARTS - 2)));
    latch.swap = Some(Swap::default());
    on_file.parts.push(latch);
    let on = TestUnit::new(on_file);
    let tasks = ["latch", &last].map(|part| Task::Replace(on.part(part)));
    let from = UnitState::closed(&on.catalog);
    let plan = planned(on, tasks.to_vec(), from);
    assert_eq!(plan.ops.len(), 2 * PARTS + 4);
    assert_eq!(
        plan.cost.total as usize,
        PARTS * 50 + (2 * PARTS - 1) * 50 + 50
    );
}

/// What is off already goes back the way it came, and nothing else is done.
#[test]
fn a_chain_that_is_open_half_way_is_closed_from_there() {
    let on = chain();
    let mut from = UnitState::closed(&on.catalog);
    for nth in 0..PARTS / 2 {
        from.parts[on.part(&name(nth)).index()] = PartState::Off;
    }
    let plan = planned(on, Vec::new(), from);
    assert_eq!(plan.ops.len(), PARTS / 2);
    assert_eq!(plan.cost.disturbed, 0);
    assert_eq!(plan.cost.total as usize, PARTS / 2 * (30 + 50));
}

/// Two ways to the last part: past a row of doors that only swing open (1 s each way), or past
/// one cover that takes a little longer than all of them, or than all but one.
#[test]
fn the_cheaper_of_two_ways_is_taken_however_many_parts_it_has() {
    for (cover_s, doors) in [(71.0, true), (69.0, false)] {
        let mut file = unit("two-ways");
        let row = 70;
        for nth in 0..row {
            let id = name(nth);
            let mut door = part(&id);
            let needs = if nth == 0 {
                free()
            } else {
                eased(&name(nth - 1))
            };
            door.ease = Some(Leg {
                out: vec![lidoff_testkit::builder::step(&format!("{id}-open"), 1.0)],
                back: vec![lidoff_testkit::builder::step(&format!("{id}-shut"), 1.0)],
                ..leg("unused", needs)
            });
            file.parts.push(door);
        }
        let mut cover = plain("cover", free());
        cover.take_off = Some(Leg {
            out: vec![lidoff_testkit::builder::step("cover-out", cover_s)],
            back: vec![lidoff_testkit::builder::step("cover-back", cover_s)],
            ..leg("unused", free())
        });
        let either = lidoff_testkit::builder::any([eased(&name(row - 1)), off("cover")]);
        let mut last = plain("last", either);
        last.swap = Some(Swap::default());
        file.parts.extend([cover, last]);
        let on = TestUnit::new(file);
        let task = Task::Replace(on.part("last"));
        let from = UnitState::closed(&on.catalog);
        let (cover, first) = (on.part("cover"), on.part("p0"));
        let plan = planned(on, vec![task], from);
        let least = if doors { 70 * 20 } else { 69 * 20 };
        assert_eq!(plan.cost.total, least + 50);
        let moved = |part| plan.ops.iter().any(|op| op.op.part() == Some(part));
        assert_eq!((moved(first), moved(cover)), (doors, !doors));
    }
}
