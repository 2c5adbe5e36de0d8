//! Fasteners out against fasteners in: the wrap-up says "complete" only when
//! nothing is left over.

use lidoff_job::event::Mishap;
use lidoff_job::{EventKind, Tally, Unaccounted, tally};
use lidoff_report::exchange::report::report;

use lidoff_testkit::visit::{Visit, perch, recorder, replace};

fn mishap(fastening: &str, count: u16) -> Mishap {
    Mishap {
        fastening: fastening.into(),
        count,
        note: String::new(),
    }
}

fn set<'a>(tally: &'a Tally, fastening: &str) -> &'a lidoff_job::SetTally {
    tally.set(&fastening.into()).unwrap()
}

#[test]
fn screws_that_are_out_lie_in_their_well_and_captive_ones_do_not() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w7");
    let tally = tally(&visit.job());
    let wells: Vec<(u16, i64)> = tally
        .wells()
        .iter()
        .map(|(well, set)| (*well, set.in_well()))
        .collect();
    assert_eq!(wells, [(1, 3)]);
    assert_eq!(
        set(&tally, "knob-set").still_out(),
        1,
        "loosened, but it stays with the knob"
    );
}

#[test]
fn an_unplugged_cable_is_open_until_it_is_plugged_in() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w8");
    let owed = tally(&visit.job()).unaccounted();
    assert!(
        owed.iter()
            .any(|one| one.describe() == "Lead A is not plugged into J1.")
    );
    visit.do_all();
    assert_eq!(tally(&visit.job()).cables_out, []);
}

#[test]
fn a_job_that_stops_halfway_names_part_and_well_of_what_is_out() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w7");
    let words: Vec<String> = tally(&visit.job())
        .unaccounted()
        .iter()
        .map(Unaccounted::describe)
        .collect();
    assert_eq!(
        words,
        [
            "Cover, case screw, M4 × 12 (well 1): 3 still out.",
            "Cover, set screw: 1 still out.",
        ]
    );
}

#[test]
fn a_lost_screw_is_reported_as_missing_and_needs_a_reason() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("b3");
    visit.note(EventKind::FastenerLost(mishap("cover-screws", 1)));
    assert_eq!(set(&tally(&visit.job()), "cover-screws").in_well(), 2);
    visit.do_all();
    let before = tally(&visit.job());
    let screws = set(&before, "cover-screws");
    assert_eq!((screws.out, screws.back, screws.lost), (3, 2, 1));
    assert_eq!(
        before.left_empty(),
        ["Cover, case screw, M4 × 12: 1 missing."]
    );
    let owed = before.unaccounted();
    let [gone] = owed.as_slice() else {
        panic!("{owed:?}");
    };
    assert_eq!(
        gone.describe(),
        "Cover, case screw, M4 × 12 (well 1): 1 lost, one position left empty."
    );
    visit.note(gone.because("rolled under the counter".into()));
    assert_eq!(tally(&visit.job()).unaccounted(), []);
    let said = report(&visit.job());
    assert!(
        said.contains("(well 1): rolled under the counter"),
        "{said}"
    );

    // A second one is another matter.
    visit.note(EventKind::FastenerLost(mishap("cover-screws", 1)));
    assert_eq!(tally(&visit.job()).unaccounted().len(), 1);
}

#[test]
fn a_screw_whose_loss_was_explained_when_it_was_noted_is_not_asked_about_again() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("b3");
    let mut lost = mishap("cover-screws", 1);
    lost.note = "fell into the drain".into();
    visit.note(EventKind::FastenerLost(lost));
    visit.do_all();
    assert_eq!(tally(&visit.job()).unaccounted(), []);
    assert!(report(&visit.job()).contains("fell into the drain"));
}

#[test]
fn a_lost_screw_with_a_new_one_in_its_place_may_still_lie_in_the_unit() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("b3");
    visit.note(EventKind::FastenerLost(mishap("cover-screws", 1)));
    visit.note(EventKind::SpareUsed(mishap("cover-screws", 1)));
    visit.do_all();
    let owed = tally(&visit.job()).unaccounted();
    let [Unaccounted::Gone { count: 1, .. }] = owed.as_slice() else {
        panic!("{owed:?}");
    };
}

#[test]
fn a_cable_left_unplugged_keeps_the_wrap_up_open_until_there_is_a_reason() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w8");
    let cable = |visit: &Visit| {
        let all = tally(&visit.job()).unaccounted();
        all.into_iter()
            .find(|one| matches!(one, Unaccounted::Cable(_)))
    };
    let owed = cable(&visit).unwrap();
    visit.note(owed.because("port broken off, cable taped back".into()));
    assert_eq!(cable(&visit), None);
    assert!(report(&visit.job()).contains("Lead A: port broken off, cable taped back"));
}

#[test]
fn an_entry_for_fasteners_that_no_step_touches_can_be_explained() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::FastenerLost(mishap("no-such", 1)));
    visit.do_all();
    for one in tally(&visit.job()).unaccounted() {
        visit.note(one.because("entered on the wrong unit".into()));
    }
    assert_eq!(tally(&visit.job()).unaccounted(), []);
}

#[test]
fn a_stripped_screw_with_a_new_one_in_its_place_leaves_nothing_open() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("b3");
    visit.note(EventKind::FastenerStripped(mishap("cover-screws", 1)));
    visit.note(EventKind::SpareUsed(mishap("cover-screws", 1)));
    visit.do_all();
    let tally = tally(&visit.job());
    let screws = set(&tally, "cover-screws");
    assert_eq!(
        screws.out + screws.spares,
        screws.back + screws.lost + screws.stripped
    );
    assert_eq!((tally.unaccounted(), tally.left_empty()), (vec![], vec![]));
}

#[test]
fn a_screw_left_over_keeps_the_wrap_up_open_until_it_is_explained() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("b3");
    let mut lost = mishap("cover-screws", 1);
    lost.note = "on the floor somewhere".into();
    visit.note(EventKind::FastenerLost(lost));
    visit.note(EventKind::SpareUsed(mishap("cover-screws", 2)));
    visit.do_all();
    let owed = tally(&visit.job()).unaccounted();
    let [
        Unaccounted::Set {
            fastening,
            difference: 1,
            words,
        },
    ] = owed.as_slice()
    else {
        panic!("{owed:?}");
    };
    assert!(words.ends_with("(well 1): 1 left over."), "{words}");
    let fastening = fastening.clone();
    let note = "back in the van's box".to_owned();
    visit.note(EventKind::Explained {
        fastening: fastening.clone(),
        difference: 2,
        note: note.clone(),
    });
    assert_eq!(
        tally(&visit.job()).unaccounted().len(),
        1,
        "that explains another difference"
    );
    visit.note(EventKind::Explained {
        fastening,
        difference: 1,
        note,
    });
    assert_eq!(tally(&visit.job()).unaccounted(), []);
}

#[test]
fn a_hand_back_is_open_until_it_is_on_the_new_part() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    let owed = tally(&visit.job()).hand_backs;
    assert!(!owed.is_empty());
    visit.do_all();
    assert_eq!(tally(&visit.job()).hand_backs, []);
}

#[test]
fn an_entry_for_fasteners_that_no_step_touches_is_reported() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::FastenerLost(mishap("no-such", 1)));
    visit.do_all();
    let owed = tally(&visit.job()).unaccounted();
    assert_eq!(owed, [Unaccounted::NoSuchSet("no-such".into())]);
}

#[test]
fn single_use_fasteners_never_lie_in_a_well() {
    let catalog = perch();
    let once = |(_, one): &(_, &lidoff_catalog::model::PlacedFastening)| {
        catalog.fastener(one.fastener).single_use
    };
    let part = catalog
        .fastenings()
        .find(once)
        .map(|(_, one)| catalog.part(one.part).id.clone());
    let part = part.expect("the demo unit has a seal that is used once");
    let tasks = [lidoff_job::TaskRef::Replace(part)];
    let mut visit = Visit::begin(&catalog, &tasks);
    while visit.job().next().is_some() {
        let tally = tally(&visit.job());
        assert!(
            tally
                .wells()
                .iter()
                .all(|(_, set)| !set.fasteners.single_use)
        );
        visit.do_one();
    }
    let tally = tally(&visit.job());
    let used: u32 = tally.sets.iter().map(|set| set.used_once).sum();
    assert!(used > 0);
}
