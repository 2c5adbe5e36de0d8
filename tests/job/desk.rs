//! At the desk: several visits to one kind of unit, compared; and what goes out
//! as a file.

use lidoff_job::{EventKind, JobPhase, Log, Outcome, PauseReason, RunId, Taken};
use lidoff_report::desk::compare::{ENOUGH, compare};
use lidoff_report::desk::gather;
use lidoff_report::exchange::job_document::job_document;
use lidoff_report::exchange::report::{file_name, report};
use lidoff_report::exchange::{describe, jobs_table, steps_table};

use lidoff_testkit::visit::{MINUTE, Visit, recorder, replace};

/// A visit in which every step takes so many times what was planned, but one.
fn visit(
    catalog: &lidoff_catalog::model::Catalog,
    nth: u32,
    pace: f64,
    odd: Option<(&str, f64)>,
) -> Log {
    let mut visit = Visit::begin_as(catalog, nth, &[replace("board")]);
    for step in visit.job().remaining {
        let pace = match odd {
            Some((name, pace)) if step.step.as_str() == name => pace,
            _ => pace,
        };
        visit.pass_ms((step.expected_s() * 1000.0 * pace).round() as i64);
        visit.note(EventKind::Done { step: step.number });
    }
    visit.note(EventKind::Closed {
        outcome: Outcome::Complete,
        note: String::new(),
    });
    visit.log
}

#[test]
fn no_jobs_says_how_to_get_some() {
    let text = describe(&compare(&[]));
    assert!(text.starts_with("No jobs yet."), "{text}");
}

#[test]
fn a_job_at_half_again_the_planned_time_has_a_pace_of_one_and_a_half() {
    let catalog = recorder();
    let (jobs, _) = gather([visit(&catalog, 1, 1.5, None)]);
    let all = compare(&jobs);
    assert!((all.jobs[0].pace().unwrap() - 1.5).abs() < 1e-3);
    let strip = all
        .phases
        .iter()
        .find(|line| line.phase == JobPhase::StripDown)
        .unwrap();
    assert!(
        (strip.expected_s - 104.3).abs() < 1e-9,
        "the published worksheet again"
    );
    assert!((strip.pace().unwrap() - 1.5).abs() < 1e-3);
}

#[test]
fn the_median_of_a_step_is_not_moved_by_one_wild_visit() {
    let catalog = recorder();
    let logs = (0..7).map(|nth| {
        let odd = (nth == 3).then_some(("w8", 12.0));
        visit(&catalog, nth, 1.2, odd)
    });
    let (jobs, _) = gather(logs);
    let all = compare(&jobs);
    let step = all
        .steps
        .iter()
        .find(|line| line.step.as_str() == "w8")
        .unwrap();
    assert!(step.times.len() == 7 && step.times.len() >= ENOUGH);
    assert!((step.median_s.unwrap() - 23.0 * 1.2).abs() < 0.01);
    assert_eq!(
        all.steps[0].step.as_str(),
        "w8",
        "the dearest against its estimate is first"
    );
    let odd: Vec<&str> = all.odd().map(|(_, one)| one.reference.as_str()).collect();
    assert_eq!(odd, ["TM-0003"], "and the one wild visit is named");
}

#[test]
fn a_wait_that_took_a_little_longer_is_no_outlier() {
    let catalog = lidoff_testkit::visit::perch();
    let mut visit = Visit::begin(&catalog, &[replace("psu")]);
    for step in visit.job().remaining {
        visit.pass_ms((step.expected_s() * 1300.0).round() as i64);
        visit.note(EventKind::Done { step: step.number });
    }
    let waited = |done: &lidoff_job::DoneStep| done.step.wait_s > 60.0;
    assert!(
        visit.job().done.iter().any(waited),
        "something must discharge"
    );
    let (jobs, _) = gather([visit.log]);
    assert_eq!(compare(&jobs).odd().count(), 0);
}

#[test]
fn two_files_of_one_job_are_one_job() {
    let catalog = recorder();
    let log = visit(&catalog, 1, 1.0, None);
    let (jobs, aside) = gather([log.clone(), visit(&catalog, 2, 1.0, None), log]);
    assert_eq!((jobs.len(), aside.len()), (2, 0));
}

#[test]
fn a_time_with_a_closed_app_in_it_is_counted_as_left_out() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.now.run = RunId(2);
    visit.now.wall_ms += 20 * MINUTE;
    visit.do_in_ms(0);
    visit.do_all();
    let (jobs, _) = gather([visit.log]);
    let all = compare(&jobs);
    let step = all
        .steps
        .iter()
        .find(|line| line.step.as_str() == "unplug")
        .unwrap();
    assert_eq!(
        (step.times.len(), step.left_out, step.median_s),
        (0, 1, None)
    );
    assert!(describe(&all).contains("Left out: 1 step times"));
}

#[test]
fn the_tables_have_a_row_a_job_and_a_row_a_step() {
    let catalog = recorder();
    let (jobs, _) = gather([visit(&catalog, 1, 1.0, None), visit(&catalog, 2, 1.0, None)]);
    let all = compare(&jobs);
    let table = jobs_table(&all);
    assert_eq!(table.matches("\r\n").count(), 1 + 2);
    let row = table.lines().nth(1).unwrap();
    assert!(row.contains("TM-0001,Pressure recorder,"), "{row}");
    assert!(row.ends_with(",1.000"), "{row}");
    assert_eq!(steps_table(&all).matches("\r\n").count(), 1 + 2 * 18);
}

#[test]
fn a_job_document_is_named_after_reference_and_unit() {
    let catalog = recorder();
    let (name, text) = job_document(&visit(&catalog, 7, 1.0, None));
    assert_eq!(name, "TM-0007-recorder.lidoff-job.json");
    assert!(lidoff_job::from_json(&text).is_ok());
}

#[test]
fn the_visit_report_says_what_happened() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w7");
    let reason = PauseReason::CustomerNeedsUnit;
    visit.note(EventKind::Paused {
        part: None,
        reason,
        note: "returns desk".into(),
    });
    visit.pass_ms(12 * MINUTE);
    visit.note(EventKind::Resumed);
    visit.note(EventKind::Note {
        text: "Lead A is frayed.".into(),
        step: visit.job().next().map(|s| s.number),
    });
    visit.do_up_to("p1");
    visit.read(Taken::Value(0.8));
    visit.do_all();
    visit.note(EventKind::HandedOver {
        to: "the librarian".into(),
        note: String::new(),
    });
    visit.note(EventKind::Closed {
        outcome: Outcome::AnotherVisit,
        note: "bring lead A".into(),
    });
    assert_eq!(file_name(&visit.job()), "TM-0001-recorder.txt");
    let text = report(&visit.job());
    for line in [
        "Job         TM-0001",
        "Unit        Pressure recorder",
        "Outcome     another visit needed: bring lead A",
        "Handed to   the librarian",
        "- Replace: Circuit board (done)",
        "- planned 6 min (8 in 10 within 8 min)",
        "- strip down: 2 min (planned 2 min)",
        "- paused 12 min: customer needs the unit, returns desk",
        "- Pressure at rest: 0.8 kPa (-0.5 to 0.5), FAILED",
        "- 6 removed, 6 refitted",
        "- check failed: Pressure at rest: 0.8 kPa (-0.5 to 0.5), FAILED",
        "Lead A is frayed. (at “Unscrew the plug.”)",
    ] {
        assert!(text.contains(line), "{line:?} is not in:\n{text}");
    }
    assert!(!text.contains("IRREGULARITIES"), "there were none:\n{text}");
}
