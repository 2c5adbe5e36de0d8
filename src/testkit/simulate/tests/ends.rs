//! How a plan begins and how it may end.

use super::*;
use crate::builder::*;
use crate::simulate::Simulation;
use lidoff_catalog::format::Inspect;

fn one_lid() -> TestUnit {
    let mut file = unit("ends");
    file.options = vec![option("hood", None, false)];
    let mut lid = plain("lid", free());
    lid.inspect = Some(Inspect {
        needs: free(),
        steps: vec![step("look", 1.0)],
    });
    let mut hood = plain("hood", free());
    hood.when = Some(fitted("hood"));
    hood.fastenings = vec![fastening("hood-held", "screw", 2, Some(1))];
    let leg = hood.take_off.as_mut().expect("a plain part comes off");
    leg.out[0].undo = vec!["hood-held".into()];
    leg.back[0].redo = vec!["hood-held".into()];
    file.parts = vec![lid, hood];
    TestUnit::new(file)
}

#[test]
fn no_task_is_left_and_no_part_is_out_at_the_end() {
    let on = one_lid();
    let task = Task::Inspect(on.part("lid"));
    assert_eq!(broken(&on, &[task], &[]), (0, Violation::TaskLeft(task)));
    assert_eq!(
        broken(&on, &[], &[out(&on, "lid")]),
        (1, Violation::StillOpen(on.part("lid")))
    );
    done(&on, &[], &[]);
}

#[test]
fn a_part_that_is_not_there_is_of_no_consequence() {
    let on = one_lid();
    let from = with_part(&on, "hood", PartState::Off);
    let walk = walk_from(&on, &from, &[], &[]);
    assert_eq!(walk.map(|walk| walk.cost.total), Ok(0));
}

#[test]
fn a_task_that_is_named_twice_is_one_task() {
    let on = one_lid();
    let lid = on.part("lid");
    let task = Task::Inspect(lid);
    done(&on, &[task, task], &[Op::Inspect(lid)]);
}

#[test]
fn a_state_or_prices_of_another_unit_are_refused() {
    let on = one_lid();
    let mut from = UnitState::closed(&on.catalog);
    from.parts.pop();
    let why = walk_from(&on, &from, &[], &[]).map_err(|illegal| illegal.violation);
    assert_eq!(why, Err(Violation::AnotherUnit));
    let mut on = one_lid();
    on.prices.steps.push(1);
    let said = walk(&on, &[], &[]).map_err(|illegal| illegal.to_string());
    assert_eq!(
        said,
        Err("The state or the prices are of another unit.".to_owned())
    );
}

#[test]
fn an_operation_that_was_refused_changes_nothing() {
    let on = one_lid();
    let from = UnitState::closed(&on.catalog);
    let mut simulation = Simulation::new(&on.catalog, &on.setup, &[], &from, &on.prices)
        .expect("the unit's own state and prices");
    let before = simulation.current_state();
    assert!(simulation.perform(back(&on, "lid")).is_err());
    assert_eq!(simulation.current_state(), before);
    assert!(simulation.perform(out(&on, "lid")).is_ok());
}

#[test]
fn a_part_that_leaves_its_place_twice_is_disturbed_twice_and_in_two_legs_once() {
    let on = one_lid();
    let twice = [
        out(&on, "lid"),
        back(&on, "lid"),
        out(&on, "lid"),
        back(&on, "lid"),
    ];
    assert_eq!(done(&on, &[], &twice).cost.disturbed, 2);
    let mut file = unit("legs");
    let mut lid = plain("lid", free());
    lid.ease = Some(leg("lid-ease", free()));
    file.parts = vec![lid];
    let on = TestUnit::new(file);
    let lid = on.part("lid");
    let legs = [
        Op::Ease(lid),
        out(&on, "lid"),
        back(&on, "lid"),
        Op::Settle(lid),
    ];
    assert_eq!(done(&on, &[], &legs).cost.disturbed, 1);
}
