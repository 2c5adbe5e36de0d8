//! Steps that only a replaced part needs.

use lidoff_catalog::format::{Condition, Formula, Swap};
use lidoff_catalog::setup::Configuration;
use lidoff_job::TaskRef;
use lidoff_testkit::builder;

use crate::jobs::{Outcome, Unit};

/// A part whose way back has one step for a new part and one for the old one.
fn unit() -> Unit {
    let mut file = builder::unit("tray");
    let mut part = builder::plain("tray", Formula::nothing());
    let replaced = || Condition::Replaced("tray".into());
    let leg = part.take_off.as_mut().expect("a leg");
    for (id, when) in [
        ("new", replaced()),
        ("old", Condition::Not(Box::new(replaced()))),
    ] {
        let mut step = builder::step(id, 1.0);
        step.when = Some(when);
        leg.back.push(step);
    }
    part.swap = Some(Swap {
        steps: vec![builder::step("unpack", 1.0), builder::step("ready", 1.0)],
        ..Swap::default()
    });
    file.parts = vec![part];
    Unit::new(&file).expect("a sound catalog")
}

#[test]
fn a_part_goes_back_as_a_new_one_from_wherever_the_job_is_closed_up() {
    let unit = unit();
    let mut outcome = Outcome::new(|_, _| false);
    let shares: Vec<usize> = (0..20).collect();
    let tasks = [TaskRef::Replace("tray".into())];
    unit.audit_job(
        &Configuration::default(),
        &tasks,
        (&shares, 20),
        &mut outcome,
    );
    assert!(outcome.broken.is_empty(), "{:#?}", outcome.broken);
}
