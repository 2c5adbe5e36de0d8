//! What the clock shows.

use super::*;
use crate::builder::*;
use lidoff_catalog::format::{CatalogFile, Leg, Step};
use lidoff_planner::{Cost, Prices};

fn with_leg(out: Vec<Step>, back: Vec<Step>) -> CatalogFile {
    let mut file = unit("clock");
    let mut lid = part("lid");
    lid.take_off = Some(Leg {
        out,
        back,
        ..leg("unused", free())
    });
    file.parts = vec![lid];
    file
}

fn there_and_back(on: &TestUnit) -> SimulatedPlan {
    done(on, &[], &[out(on, "lid"), back(on, "lid")])
}

#[test]
fn the_first_tool_is_fetched_and_the_next_is_a_change() {
    // Tool change 5 s, turn 8 s, front up at first.
    let on = TestUnit::new(with_leg(
        vec![
            step_with("a", 1.0, "driver", "front"),
            step_with("b", 1.0, "driver", "back"),
            step_with("c", 1.0, "lever", "back"),
        ],
        vec![step_with("d", 1.0, "lever", "front")],
    ));
    let cost = there_and_back(&on).cost;
    assert_eq!(
        cost,
        Cost {
            work: 40,
            tool_changes: 2,
            face_changes: 2,
            waiting: 0,
            total: 40 + 2 * 50 + 2 * 80,
            disturbed: 1,
        }
    );
}

#[test]
fn bare_hands_cost_no_change_and_lose_no_tool() {
    let on = TestUnit::new(with_leg(
        vec![
            step_with("a", 1.0, "driver", "back"),
            step("b", 1.0),
            step_with("c", 1.0, "driver", "back"),
        ],
        vec![step("d", 1.0)],
    ));
    let walk = there_and_back(&on);
    assert_eq!(walk.cost.tool_changes, 1);
    assert_eq!(walk.cost.face_changes, 1);
    let last = &walk.states[1].state;
    assert_eq!(last.tool, on.catalog.tools().next().map(|(at, _)| at));
    assert_eq!(last.face, on.catalog.faces().nth(1).map(|(at, _)| at));
}

#[test]
fn a_face_that_is_not_known_costs_a_turn() {
    let on = TestUnit::new(with_leg(
        vec![step_with("a", 1.0, "driver", "front")],
        vec![step("b", 1.0)],
    ));
    let mut from = UnitState::closed(&on.catalog);
    from.face = None;
    let ops = [out(&on, "lid"), back(&on, "lid")];
    let walk = walk_from(&on, &from, &[], &ops);
    assert_eq!(walk.map(|walk| walk.cost.face_changes), Ok(1));
}

#[test]
fn a_step_whose_condition_does_not_hold_is_left_out() {
    let mut file = with_leg(vec![step("a", 1.0)], vec![step("b", 1.0)]);
    file.options = vec![option("seal", None, false)];
    let leg = file.parts[0].take_off.as_mut().expect("the leg just made");
    leg.back.push(Step {
        when: Some(fitted("seal")),
        ..step_with("c", 7.0, "driver", "side")
    });
    let without = there_and_back(&TestUnit::with(file.clone(), &[]));
    assert_eq!(without.cost.total, 20);
    assert_eq!(without.states[1].steps.len(), 1);
    let with = there_and_back(&TestUnit::with(file, &["seal"]));
    assert_eq!(with.cost.total, 90 + 50 + 80);
    assert_eq!(with.states[1].steps.len(), 2);
}

/// A lid that is glued on: the glue sets for 60 s before it is pressed; and a
/// foot that can be seen to meanwhile.
fn glued() -> CatalogFile {
    let mut file = with_leg(
        vec![step("part-the-glue", 1.0)],
        vec![
            Step {
                starts_wait: Some(wait("glue-sets", 60)),
                ..step("lay-the-glue", 2.0)
            },
            Step {
                after_wait: Some("glue-sets".into()),
                ..step_with("press-it", 3.0, "driver", "back")
            },
        ],
    );
    let mut foot = part("foot");
    foot.ease = Some(Leg {
        back: vec![Step {
            after_wait: Some("glue-sets".into()),
            ..step("foot-back", 4.0)
        }],
        ..leg("foot", free())
    });
    file.parts.push(foot);
    file
}

#[test]
fn changes_run_while_the_wait_does_and_only_the_rest_is_waited_out() {
    let on = TestUnit::new(glued());
    let cost = there_and_back(&on).cost;
    assert_eq!(cost.work, 60);
    assert_eq!(cost.waiting, 600 - 50 - 80);
    assert_eq!(cost.total, 10 + 20 + 600 + 30);
}

#[test]
fn work_during_a_wait_shortens_the_waiting() {
    let mut file = glued();
    let mut lid = file.parts.remove(0);
    let mut legs = lid.take_off.take().into_iter();
    let leg = legs.next().expect("the lid comes off");
    // The same in two legs, so that something fits between them.
    let [glue, press] = leg.back.try_into().expect("two steps");
    lid.ease = Some(Leg {
        out: vec![step("unpress", 0.5)],
        back: vec![press],
        ..crate::builder::leg("unused", free())
    });
    lid.take_off = Some(Leg {
        out: leg.out,
        back: vec![glue],
        ..crate::builder::leg("unused-too", free())
    });
    file.parts.insert(0, lid);
    file.parts[1].ease = Some(crate::builder::leg("foot", free()));
    let on = TestUnit::new(file);
    let (lid, foot) = (on.part("lid"), on.part("foot"));
    let open = [Op::Ease(lid), out(&on, "lid")];
    let meanwhile = [
        open[0],
        open[1],
        back(&on, "lid"),
        Op::Ease(foot),
        Op::Settle(foot),
        Op::Settle(lid),
    ];
    let walk = done(&on, &[], &meanwhile);
    assert_eq!(walk.cost.waiting, 600 - 50 - 130);
    // The wait as it stands when the foot is eased: 2 s of its 60 are over.
    let (wait, _) = on.catalog.waits().next().expect("one wait");
    assert_eq!(walk.states[2].state.waits, [(wait, 600)]);
    assert_eq!(walk.states[3].state.waits, [(wait, 580)]);
    assert_eq!(walk.states[5].state.waits, []);
    let before = [
        open[0],
        open[1],
        Op::Ease(foot),
        Op::Settle(foot),
        back(&on, "lid"),
        Op::Settle(lid),
    ];
    let before = done(&on, &[], &before);
    assert_eq!(before.cost.total, walk.cost.total + 50);
}

#[test]
fn a_wait_that_was_never_started_is_no_wait() {
    let on = TestUnit::new(glued());
    let foot = on.part("foot");
    let walk = done(&on, &[], &[Op::Ease(foot), Op::Settle(foot)]);
    assert_eq!(walk.cost.waiting, 0);
}

#[test]
fn a_wait_that_is_running_at_the_start_is_waited_out() {
    let on = TestUnit::new(glued());
    let foot = on.part("foot");
    let (wait, _) = on.catalog.waits().next().expect("one wait");
    let mut from = with_part(&on, "foot", PartState::Eased);
    from.waits = vec![(wait, 75)];
    let walk = walk_from(&on, &from, &[], &[Op::Settle(foot)]);
    let cost = walk.map(|walk| (walk.cost.waiting, walk.cost.total));
    assert_eq!(cost, Ok((75, 75 + 40)));
}

#[test]
fn a_wait_that_is_started_again_runs_its_full_length() {
    let on = TestUnit::new(glued());
    let foot = on.part("foot");
    let twice = [
        Op::Ease(foot),
        out(&on, "lid"),
        back(&on, "lid"),
        out(&on, "lid"),
        back(&on, "lid"),
        Op::Settle(foot),
    ];
    // Ease 2; off 1, glue 2, wait 60, press 3; all that again; foot 4.
    assert_eq!(
        done(&on, &[], &twice).cost.total,
        20 + 2 * (10 + 20 + 600 + 30) + 40
    );
}

#[test]
fn a_wait_that_no_step_comes_after_costs_nothing() {
    let mut file = glued();
    let leg = file.parts[0].take_off.as_mut().expect("the lid comes off");
    leg.back.pop();
    let on = TestUnit::new(file);
    assert_eq!(there_and_back(&on).cost.total, 30);
}

#[test]
fn the_clock_says_when_it_cannot_count_that_far() {
    let on = TestUnit::new(with_leg(vec![step("a", 1.0)], vec![step("b", 1.0)]));
    let prices = Prices {
        steps: vec![u32::MAX; on.prices.steps.len()],
        ..on.prices.clone()
    };
    let on = TestUnit { prices, ..on };
    let ops = [out(&on, "lid"), back(&on, "lid")];
    assert_eq!(broken(&on, &[], &ops), (1, Violation::TooLong));
}
