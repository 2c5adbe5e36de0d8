//! Fasteners that are missing at refit, and steps that are left half done.

use lidoff_job::event::Mishap;
use lidoff_job::{EventKind, Reason, tally};
use lidoff_testkit::powered_unit::powered_unit;
use lidoff_testkit::visit::{Visit, replace};

fn steps(visit: &Visit<'_>) -> Vec<String> {
    let job = visit.job();
    let left = job.remaining.iter();
    left.map(|step| step.step.to_string()).collect()
}

fn partly(visit: &mut Visit<'_>, count: u16) {
    let step = visit.job().next().expect("a step").number;
    visit.note(EventKind::PartlyDone {
        step,
        fastening: "cover-screws".into(),
        count,
    });
}

fn out(visit: &Visit<'_>) -> i64 {
    let tally = tally(&visit.job());
    tally
        .set(&"cover-screws".into())
        .map_or(0, |set| set.still_out())
}

#[test]
fn a_half_done_step_counts_what_is_out_and_is_whole_once_it_is_done() {
    let catalog = powered_unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("cover-screws-out");
    partly(&mut visit, 1);
    assert_eq!(out(&visit), 1);
    partly(&mut visit, 2);
    assert_eq!(out(&visit), 2);
    partly(&mut visit, 0);
    assert_eq!(out(&visit), 0);
    partly(&mut visit, 9);
    assert_eq!(out(&visit), 4, "there are no more");
    visit.do_one();
    assert_eq!(out(&visit), 4);
    visit.do_all();
    assert_eq!(tally(&visit.job()).unaccounted(), []);
}

#[test]
fn closing_up_reverses_what_was_half_done() {
    let catalog = powered_unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("cover-screws-out");
    partly(&mut visit, 1);
    visit.note(EventKind::TurnedBack);
    visit.plan(Reason::ClosingUp);
    assert_eq!(steps(&visit)[0], "cover-on");
    visit.do_one();
    assert_eq!(out(&visit), 0);
    visit.do_all();
    let job = visit.job();
    assert_eq!(tally(&job).unaccounted(), []);
    assert_eq!(job.findings, []);
}

#[test]
fn a_new_plan_goes_on_with_what_was_half_done() {
    let catalog = powered_unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("cover-screws-out");
    partly(&mut visit, 3);
    visit.add(&replace("board"));
    assert_eq!(steps(&visit)[0], "cover-screws-out");
    visit.do_up_to("cover-on");
    partly(&mut visit, 3);
    assert_eq!(out(&visit), 1);
    visit.do_all();
    assert_eq!(tally(&visit.job()).unaccounted(), []);
}

#[test]
fn a_refit_says_which_fasteners_are_missing() {
    let catalog = powered_unit();
    let mut visit = Visit::begin(&catalog, &[replace("fan")]);
    visit.do_up_to("cover-on");
    let refit = |visit: &Visit<'_>| {
        let tally = tally(&visit.job());
        let set = tally.set(&"cover-screws".into()).expect("four screws");
        set.describe_refit(4)
    };
    let one = || Mishap {
        fastening: "cover-screws".into(),
        count: 1,
        note: String::new(),
    };
    assert_eq!(refit(&visit), None);
    visit.note(EventKind::FastenerLost(one()));
    assert_eq!(refit(&visit).as_deref(), Some("Fit 3 of 4: one is lost."));
    visit.note(EventKind::FastenerStripped(one()));
    let both = "Fit 2 of 4: one is lost, one is stripped.";
    assert_eq!(refit(&visit).as_deref(), Some(both));
    visit.note(EventKind::SpareUsed(one()));
    visit.note(EventKind::SpareUsed(one()));
    assert_eq!(refit(&visit).as_deref(), Some("2 of them are new."));
}
