//! Ways out and back.

use super::*;
use crate::builder::*;

fn lid_and_fan() -> TestUnit {
    let mut file = unit("two-parts");
    let mut lid = plain("lid", free());
    lid.ease = Some(leg("lid-ease", free()));
    file.parts = vec![lid, plain("fan", off("lid"))];
    TestUnit::new(file)
}

#[test]
fn a_part_in_the_way_comes_off_first() {
    let on = lid_and_fan();
    let lid = on.part("lid");
    let (at, why) = broken(&on, &[], &[out(&on, "fan")]);
    assert_eq!(at, 0);
    assert!(matches!(why, Violation::Needs(_)));
    done(
        &on,
        &[],
        &[
            Op::Ease(lid),
            out(&on, "lid"),
            out(&on, "fan"),
            back(&on, "fan"),
            back(&on, "lid"),
            Op::Settle(lid),
        ],
    );
}

#[test]
fn a_part_that_is_only_eased_is_not_off() {
    let on = lid_and_fan();
    let (at, why) = broken(&on, &[], &[Op::Ease(on.part("lid")), out(&on, "fan")]);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::Needs(_)));
}

#[test]
fn the_way_in_is_the_way_out() {
    let on = lid_and_fan();
    let lid = on.part("lid");
    // The fan cannot go back through a lid that is on again.
    let ops = [
        Op::Ease(lid),
        out(&on, "lid"),
        out(&on, "fan"),
        back(&on, "lid"),
        back(&on, "fan"),
    ];
    let (at, why) = broken(&on, &[], &ops);
    assert_eq!(at, 4);
    assert!(matches!(why, Violation::Needs(_)));
}

#[test]
fn a_part_with_an_easing_leg_is_eased_before_it_comes_off() {
    let on = lid_and_fan();
    let part = on.part("lid");
    let (at, why) = broken(&on, &[], &[out(&on, "lid")]);
    assert_eq!(at, 0);
    let (is, must_be) = (PartState::Fitted, PartState::Eased);
    assert_eq!(why, Violation::WrongState { part, is, must_be });
}

#[test]
fn a_part_put_back_is_eased_and_must_be_settled() {
    let on = lid_and_fan();
    let lid = on.part("lid");
    let ops = [Op::Ease(lid), out(&on, "lid"), back(&on, "lid")];
    assert_eq!(broken(&on, &[], &ops), (3, Violation::StillOpen(lid)));
}

#[test]
fn nothing_is_done_twice_over() {
    let on = lid_and_fan();
    let part = on.part("lid");
    let twice = |ops: &[Op]| broken(&on, &[], ops);
    let wrong = |is, must_be| Violation::WrongState { part, is, must_be };
    use PartState::{Eased, Fitted, Off};
    assert_eq!(
        twice(&[Op::Ease(part), Op::Ease(part)]),
        (1, wrong(Eased, Fitted))
    );
    assert_eq!(twice(&[Op::Settle(part)]), (0, wrong(Fitted, Eased)));
    assert_eq!(twice(&[back(&on, "lid")]), (0, wrong(Fitted, Off)));
    assert_eq!(
        twice(&[Op::Ease(part), out(&on, "lid"), out(&on, "lid")]),
        (2, wrong(Off, Eased))
    );
}

#[test]
fn a_way_that_the_catalog_does_not_give_is_no_way() {
    let on = lid_and_fan();
    let fan = on.part("fan");
    assert_eq!(
        broken(&on, &[], &[Op::Ease(fan)]),
        (0, Violation::NotOffered)
    );
    assert_eq!(
        broken(&on, &[], &[bench_out(&on, "fan")]),
        (0, Violation::NotOffered)
    );
}

#[test]
fn any_one_route_will_do() {
    let mut file = unit("routes");
    file.parts = vec![
        plain("left", free()),
        plain("right", free()),
        plain("core", any([off("left"), off("right")])),
    ];
    let on = TestUnit::new(file);
    for side in ["left", "right"] {
        let ops = [
            out(&on, side),
            out(&on, "core"),
            back(&on, "core"),
            back(&on, side),
        ];
        done(&on, &[], &ops);
    }
    let (at, why) = broken(&on, &[], &[out(&on, "core")]);
    assert_eq!(at, 0);
    assert!(matches!(why, Violation::Needs(_)));
}

#[test]
fn refit_may_ask_for_more_than_strip_down() {
    let mut file = unit("refit");
    let mut fan = plain("fan", free());
    let leg = fan.take_off.as_mut().expect("a plain part comes off");
    leg.refit_needs = off("guard");
    file.parts = vec![plain("guard", free()), fan];
    let on = TestUnit::new(file);
    let (at, why) = broken(&on, &[], &[out(&on, "fan"), back(&on, "fan")]);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::RefitNeeds(_)));
    let ops = [
        out(&on, "fan"),
        out(&on, "guard"),
        back(&on, "fan"),
        back(&on, "guard"),
    ];
    done(&on, &[], &ops);
}

#[test]
fn settling_may_ask_for_more_too() {
    let mut file = unit("settle");
    let mut door = part("door");
    let mut ease = leg("door-ease", free());
    ease.refit_needs = in_place("guard");
    door.ease = Some(ease);
    file.parts = vec![plain("guard", free()), door];
    let on = TestUnit::new(file);
    let door = on.part("door");
    let ops = [Op::Ease(door), out(&on, "guard"), Op::Settle(door)];
    let (at, why) = broken(&on, &[], &ops);
    assert_eq!(at, 2);
    assert!(matches!(why, Violation::RefitNeeds(_)));
    let ops = [
        Op::Ease(door),
        out(&on, "guard"),
        back(&on, "guard"),
        Op::Settle(door),
    ];
    done(&on, &[], &ops);
}

#[test]
fn what_must_stay_stays() {
    let mut file = unit("support");
    file.parts = vec![plain("prop", free()), plain("glass", in_place("prop"))];
    let on = TestUnit::new(file);
    let (at, why) = broken(&on, &[], &[out(&on, "prop"), out(&on, "glass")]);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::Needs(_)));
    let (at, _) = broken(
        &on,
        &[],
        &[out(&on, "glass"), out(&on, "prop"), back(&on, "glass")],
    );
    assert_eq!(at, 2);
}

#[test]
fn an_absent_part_is_not_in_the_way() {
    let mut file = unit("option");
    file.options = vec![option("cage", None, false)];
    let mut cage = plain("cage", free());
    cage.ease = Some(leg("cage-ease", free()));
    cage.when = Some(fitted("cage"));
    file.parts = vec![
        cage,
        plain("fan", all([off("cage"), clear("cage"), eased("cage")])),
        plain("foot", in_place("cage")),
    ];
    let with = TestUnit::with(file.clone(), &["cage"]);
    let without = TestUnit::with(file, &[]);
    let fan = [out(&with, "fan"), back(&with, "fan")];
    assert_eq!(broken(&with, &[], &fan).0, 0);
    done(&without, &[], &fan);
    // What must stay, and is not there, stays.
    done(&without, &[], &[out(&with, "foot"), back(&with, "foot")]);
    assert_eq!(
        broken(&without, &[], &[out(&with, "cage")]),
        (0, Violation::NotFitted)
    );
}

#[test]
fn a_need_under_a_condition_is_a_need_only_there() {
    let mut file = unit("condition");
    file.options = vec![option("deep", None, false)];
    let needs = FileNeeds::When {
        condition: fitted("deep"),
        then: Box::new(off("lid")),
    };
    file.parts = vec![plain("lid", free()), plain("fan", needs)];
    let fan = |on: &TestUnit| [out(on, "fan"), back(on, "fan")];
    let deep = TestUnit::with(file.clone(), &["deep"]);
    assert_eq!(broken(&deep, &[], &fan(&deep)).0, 0);
    let shallow = TestUnit::with(file, &[]);
    done(&shallow, &[], &fan(&shallow));
}

#[test]
fn a_broken_rule_is_reported_in_words_of_the_trade() {
    let on = lid_and_fan();
    let said = walk(&on, &[], &[out(&on, "fan")]).map_err(|illegal| illegal.to_string());
    assert_eq!(
        said,
        Err("Operation 1, take off “fan”: it needs “lid” off.".to_owned())
    );
    let said = walk(&on, &[], &[Op::Ease(on.part("lid"))]).map_err(|illegal| illegal.to_string());
    assert_eq!(said, Err("At the end: “lid” is not fitted.".to_owned()));
}
