//! Parts that come away with others.

use super::*;
use crate::builder::*;
use lidoff_catalog::format::CatalogFile;

/// A board that carries a module, which comes off in place, or on the bench;
/// and a battery that is reached past the module.
fn board(past_module: FileNeeds) -> CatalogFile {
    let mut file = unit("board");
    let mut module = plain("module", free());
    module.rides_on = Some("board".into());
    module.bench_off = Some(leg("module-bench", free()));
    file.parts = vec![
        plain("board", free()),
        module,
        plain("battery", past_module),
    ];
    file
}

#[test]
fn a_rider_that_is_away_counts_as_off_for_others() {
    let mut file = board(all([off("module"), eased("module")]));
    file.parts[1].ease = Some(leg("module-ease", free()));
    let on = TestUnit::new(file);
    let ops = [
        out(&on, "board"),
        out(&on, "battery"),
        back(&on, "battery"),
        back(&on, "board"),
    ];
    let walk = done(&on, &[], &ops);
    assert_eq!(walk.cost.disturbed, 2, "the module never left the board");
}

#[test]
fn being_away_is_not_being_clear() {
    let on = TestUnit::new(board(clear("module")));
    let (at, why) = broken(&on, &[], &[out(&on, "board"), out(&on, "battery")]);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::Needs(_)));
}

#[test]
fn being_away_is_not_being_in_place() {
    let on = TestUnit::new(board(in_place("module")));
    let (at, why) = broken(&on, &[], &[out(&on, "board"), out(&on, "battery")]);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::Needs(_)));
}

#[test]
fn bench_work_wants_the_carrier_off_and_work_in_place_wants_it_on() {
    let on = TestUnit::new(board(free()));
    let module = on.part("module");
    assert_eq!(
        broken(&on, &[], &[bench_out(&on, "module")]),
        (0, Violation::CarrierOn(module))
    );
    assert_eq!(
        broken(&on, &[], &[out(&on, "board"), out(&on, "module")]),
        (1, Violation::Away(module))
    );
    assert_eq!(
        broken(
            &on,
            &[],
            &[out(&on, "module"), out(&on, "board"), back(&on, "module")]
        ),
        (2, Violation::Away(module))
    );
    assert_eq!(
        broken(&on, &[], &[out(&on, "module"), bench_back(&on, "module")]),
        (1, Violation::CarrierOn(module))
    );
}

#[test]
fn a_rider_may_come_off_one_way_and_go_back_the_other() {
    let on = TestUnit::new(board(free()));
    let ops = [
        out(&on, "module"),
        out(&on, "board"),
        bench_back(&on, "module"),
        back(&on, "board"),
    ];
    done(&on, &[], &ops);
    let ops = [
        out(&on, "board"),
        bench_out(&on, "module"),
        back(&on, "board"),
        back(&on, "module"),
    ];
    done(&on, &[], &ops);
}

#[test]
fn a_rider_of_a_rider_is_away_with_the_lowest_carrier() {
    let mut file = board(off("chip"));
    let mut chip = part("chip");
    chip.rides_on = Some("module".into());
    chip.bench_off = Some(leg("chip-bench", free()));
    file.parts.push(chip);
    let on = TestUnit::new(file);
    let ops = [
        out(&on, "board"),
        out(&on, "battery"),
        bench_out(&on, "chip"),
        bench_back(&on, "chip"),
        back(&on, "battery"),
        back(&on, "board"),
    ];
    done(&on, &[], &ops);
}

#[test]
fn an_eased_rider_goes_away_as_it_is_and_is_not_eased_on_the_bench() {
    let mut file = board(free());
    file.parts[1].take_off = None;
    file.parts[1].ease = Some(leg("module-ease", free()));
    let on = TestUnit::new(file);
    let part = on.part("module");
    let is_away = [Op::Ease(part), out(&on, "board")];
    let (is, must_be) = (PartState::Eased, PartState::Fitted);
    assert_eq!(
        broken(
            &on,
            &[],
            &[is_away[0], is_away[1], bench_out(&on, "module")]
        ),
        (2, Violation::WrongState { part, is, must_be })
    );
    assert_eq!(
        broken(&on, &[], &[is_away[0], is_away[1], Op::Settle(part)]),
        (2, Violation::Away(part))
    );
    assert_eq!(
        broken(&on, &[], &[out(&on, "board"), Op::Ease(part)]),
        (1, Violation::Away(part))
    );
    done(
        &on,
        &[],
        &[is_away[0], is_away[1], back(&on, "board"), Op::Settle(part)],
    );
}

#[test]
fn a_part_put_back_on_the_bench_is_fitted_at_once() {
    let mut file = board(free());
    file.parts[1].ease = Some(leg("module-ease", free()));
    let on = TestUnit::new(file);
    let ops = [
        out(&on, "board"),
        bench_out(&on, "module"),
        bench_back(&on, "module"),
        back(&on, "board"),
    ];
    done(&on, &[], &ops);
    // In place it is only eased then.
    let ops = [
        out(&on, "board"),
        bench_out(&on, "module"),
        back(&on, "board"),
        back(&on, "module"),
    ];
    assert_eq!(
        broken(&on, &[], &ops),
        (4, Violation::StillOpen(on.part("module")))
    );
}
