//! Time limits against the estimates of the steps within them.

use lidoff_catalog::format::{CatalogFile, StartsWait, Swap};
use lidoff_estimate::limits::{ShortLimit, short_limits};
use lidoff_testkit::{builder, demo};

/// A pad is laid on in the swap; the part must be in 3 s later, and takes 4 s with a
/// step that is done on all units.
fn padded(seconds: u32, file: impl FnOnce(&mut CatalogFile)) -> Vec<ShortLimit> {
    let mut unit = builder::unit("pads");
    let mut board = builder::plain("board", builder::free());
    let mut lay = builder::step("lay-pad", 20.0);
    lay.starts_limit = Some(StartsWait {
        id: "pad".into(),
        text: "Fit the board before the pad dries".to_owned(),
        seconds,
    });
    board.swap = Some(Swap {
        steps: vec![lay, builder::step("lift", 1.0)],
        ..Swap::default()
    });
    let leg = board.take_off.as_mut().expect("a leg");
    leg.back[0].ends_limit = Some("pad".into());
    unit.parts = vec![board];
    file(&mut unit);
    short_limits(&lidoff_catalog::check(unit).expect("a good unit"))
}

#[test]
fn a_limit_that_the_estimates_keep_is_none_that_is_short() {
    assert_eq!(padded(4, |_| ()), []);
}

#[test]
fn a_limit_shorter_than_the_steps_within_it_is_short() {
    let short = padded(3, |_| ());
    assert_eq!(short[0].needed_s, 4.0);
    assert_eq!(short[0].step.as_str(), "lay-pad");
}

#[test]
fn a_step_that_only_some_units_have_is_not_counted() {
    let short = padded(3, |unit| {
        unit.options = vec![builder::option("clip", None, true)];
        let swap = unit.parts[0].swap.as_mut().expect("a swap");
        swap.steps[1].when = Some(builder::fitted("clip"));
    });
    assert_eq!(short, []);
}

#[test]
fn the_limits_of_the_demo_units_can_be_kept() {
    for catalog in [demo::perch(), demo::sorrel()] {
        assert_eq!(short_limits(&catalog), []);
    }
}
