//! Fasteners and cables.

use super::*;
use crate::builder::*;
use crate::simulate::Simulation;
use crate::simulate::ledger::Ledger;
use lidoff_catalog::format::{CatalogFile, Connection, Leg, Step};
use lidoff_catalog::model::StepIx;

/// A lid held by four of these, with one cable.
fn held_by(fastener: &str) -> CatalogFile {
    let mut file = unit("tally");
    let mut lid = part("lid");
    let well = (fastener != "captive").then_some(1);
    lid.fastenings = vec![fastening("lid-held", fastener, 4, well)];
    lid.connections = vec![Connection {
        id: "lid-cable".into(),
        cable: "J1".to_owned(),
        port: "P1".to_owned(),
        unseen_swap: None,
    }];
    lid.take_off = Some(Leg {
        out: vec![Step {
            undo: vec!["lid-held".into()],
            unplug: vec!["lid-cable".into()],
            ..step("lid-out", 1.0)
        }],
        back: vec![Step {
            redo: vec!["lid-held".into()],
            plug: vec!["lid-cable".into()],
            ..step("lid-back", 1.0)
        }],
        ..leg("unused", free())
    });
    file.parts = vec![lid];
    file
}

/// The tally with the lid off, and with the lid back on; each as fasteners out, back,
/// discarded, drawn, and in the tray.
fn off_and_on(fastener: &str) -> [[u32; 5]; 2] {
    let on = TestUnit::new(held_by(fastener));
    let closed = UnitState::closed(&on.catalog);
    let mut simulation = Simulation::new(&on.catalog, &on.setup, &[], &closed, &on.prices)
        .expect("the unit's own state and prices");
    [out(&on, "lid"), back(&on, "lid")].map(|op| {
        simulation
            .perform(op)
            .unwrap_or_else(|illegal| panic!("{illegal}"));
        let line = simulation.tally()[0];
        [
            line.out,
            line.back,
            line.discarded,
            line.drawn,
            line.in_tray,
        ]
    })
}

#[test]
fn fasteners_that_come_out_go_back_in() {
    assert_eq!(off_and_on("screw"), [[4, 0, 0, 0, 4], [4, 4, 0, 0, 0]]);
}

#[test]
fn captive_ones_never_lie_in_the_tray() {
    assert_eq!(off_and_on("captive"), [[4, 0, 0, 0, 0], [4, 4, 0, 0, 0]]);
}

#[test]
fn single_use_ones_are_thrown_away_and_new_ones_drawn() {
    assert_eq!(off_and_on("seal"), [[4, 0, 4, 0, 0], [4, 0, 4, 4, 0]]);
}

#[test]
fn a_part_that_is_off_at_the_start_is_unfastened_at_the_start() {
    let on = TestUnit::new(held_by("screw"));
    let from = with_part(&on, "lid", PartState::Off);
    let walk = walk_from(&on, &from, &[], &[back(&on, "lid")]);
    let line = walk.map(|walk| walk.tally[0]);
    assert_eq!(
        line.map(|line| (line.out, line.back, line.in_tray)),
        Ok((4, 4, 0))
    );
}

#[test]
fn a_fastening_that_is_not_there_is_not_undone() {
    let mut file = held_by("screw");
    file.options = vec![option("screwed", None, false)];
    file.parts[0].fastenings[0].when = Some(fitted("screwed"));
    let on = TestUnit::with(file, &[]);
    let walk = done(&on, &[], &[out(&on, "lid"), back(&on, "lid")]);
    assert_eq!(walk.tally[0].out, 0);
}

/// A checked catalog undoes nothing twice; the ledger must still notice it.
fn books(on: &TestUnit) -> (Ledger, StepIx, StepIx) {
    let step = |id| on.catalog.find_step(id).expect("a step of the lid");
    (Ledger::new(&on.catalog), step("lid-out"), step("lid-back"))
}

#[test]
fn nothing_is_undone_twice_and_nothing_done_up_that_is_not_undone() {
    let on = TestUnit::new(held_by("screw"));
    let (fastening, _) = on.catalog.fastenings().next().expect("one fastening");
    let (mut books, out, back) = books(&on);
    let mut enter = |step| books.enter(&on.catalog, &on.setup, step);
    assert_eq!(enter(back), Err(Violation::NotUndone(fastening)));
    assert_eq!(enter(out), Ok(()));
    assert_eq!(enter(out), Err(Violation::AlreadyUndone(fastening)));
    assert_eq!(enter(back), Ok(()));
}

#[test]
fn no_cable_is_parted_twice_and_none_joined_that_is_not_parted() {
    let mut file = held_by("screw");
    let leg = file.parts[0].take_off.as_mut().expect("the lid comes off");
    leg.out[0].undo.clear();
    leg.back[0].redo.clear();
    file.parts[0].fastenings.clear();
    let on = TestUnit::new(file);
    let (cable, _) = on.catalog.connections().next().expect("one cable");
    let (mut books, out, back) = books(&on);
    let mut enter = |step| books.enter(&on.catalog, &on.setup, step);
    assert_eq!(enter(back), Err(Violation::NotUnplugged(cable)));
    assert_eq!(enter(out), Ok(()));
    assert_eq!(enter(out), Err(Violation::AlreadyUnplugged(cable)));
    assert_eq!(
        books.first_open_end(&on.catalog, |_| true),
        Some(Violation::CableOpen(cable))
    );
    assert_eq!(books.enter(&on.catalog, &on.setup, back), Ok(()));
    assert_eq!(books.first_open_end(&on.catalog, |_| true), None);
}

#[test]
fn every_fastener_must_be_accounted_for_at_the_end() {
    for fastener in ["screw", "captive", "seal"] {
        let on = TestUnit::new(held_by(fastener));
        let (fastening, _) = on.catalog.fastenings().next().expect("one fastening");
        let (mut books, out, back) = books(&on);
        assert_eq!(books.first_open_end(&on.catalog, |_| true), None);
        assert_eq!(books.enter(&on.catalog, &on.setup, out), Ok(()));
        let open = Some(Violation::TallyOpen(fastening));
        assert_eq!(
            books.first_open_end(&on.catalog, |_| true),
            open,
            "{fastener}"
        );
        assert_eq!(books.enter(&on.catalog, &on.setup, back), Ok(()));
        assert_eq!(
            books.first_open_end(&on.catalog, |_| true),
            None,
            "{fastener}"
        );
    }
}
