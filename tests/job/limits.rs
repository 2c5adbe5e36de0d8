//! Time limits: counted down between two steps, noted when exceeded, never in the way.

use lidoff_catalog::format::StartsWait;
use lidoff_catalog::model::Catalog;
use lidoff_job::{EventKind, Irregularity, PauseReason, TaskRef};
use lidoff_report::exchange::report::report;
use lidoff_testkit::powered_unit::powered_file;
use lidoff_testkit::visit::{MINUTE, Visit, replace};

/// The fan must be back in ten minutes after the new one was unpacked.
fn limited() -> Catalog {
    let mut file = powered_file();
    let fan = file.parts.iter_mut().find(|part| part.id.as_str() == "fan");
    let fan = fan.expect("a fan");
    let swap = fan.swap.as_mut().expect("a swap");
    swap.steps[0].starts_limit = Some(StartsWait {
        id: "pad".into(),
        text: "Fit the fan before the pad dries".to_owned(),
        seconds: 600,
    });
    let leg = fan.take_off.as_mut().expect("a leg");
    leg.back.last_mut().expect("a step").ends_limit = Some("pad".into());
    lidoff_catalog::check(file).expect("a good unit")
}

fn left_ms(visit: &Visit<'_>) -> Vec<i64> {
    let limits = visit.job().limits_running(&visit.now);
    limits.iter().map(|limit| limit.left_ms).collect()
}

fn until_limit_runs<'a>(catalog: &'a Catalog, tasks: &[TaskRef]) -> Visit<'a> {
    let mut visit = Visit::begin(catalog, tasks);
    visit.do_up_to("fan-new");
    assert_eq!(left_ms(&visit), [0i64; 0]);
    visit.do_one();
    assert_eq!(left_ms(&visit), [10 * MINUTE]);
    visit
}

fn overruns(visit: &Visit<'_>) -> Vec<i64> {
    let findings = visit.job().findings.into_iter();
    let by = findings.filter_map(|finding| match finding.irregularity {
        Irregularity::LimitExceeded { by_ms, .. } => Some(by_ms),
        _ => None,
    });
    by.collect()
}

#[test]
fn a_limit_runs_from_the_end_of_one_step_to_the_end_of_the_other_pauses_included() {
    let catalog = limited();
    let mut visit = until_limit_runs(&catalog, &[replace("fan")]);
    let reason = PauseReason::Break;
    visit.note(EventKind::Paused {
        reason,
        part: None,
        note: String::new(),
    });
    visit.pass_ms(4 * MINUTE);
    visit.note(EventKind::Resumed);
    assert_eq!(left_ms(&visit), [6 * MINUTE]);
    let ends = visit.job().limits_running(&visit.now)[0].until;
    let job = visit.job();
    assert_eq!(job.step(ends).expect("a step").step.as_str(), "fan-back");
    visit.do_up_to("fan-back");
    visit.do_one();
    assert_eq!(left_ms(&visit), [0i64; 0]);
    assert_eq!(overruns(&visit), [0i64; 0]);
}

#[test]
fn an_exceeded_limit_stops_nothing_and_is_in_the_report() {
    let catalog = limited();
    let mut visit = until_limit_runs(&catalog, &[replace("fan")]);
    visit.do_up_to("fan-back");
    visit.pass_ms(12 * MINUTE);
    let over = -left_ms(&visit)[0];
    assert!(over >= 2 * MINUTE);
    let done = visit.do_in_ms(0);
    assert_eq!(overruns(&visit), [over]);
    let job = visit.job();
    assert!(job.findings.iter().any(|finding| finding.event == done));
    let text = report(&job);
    let line = "Time limit exceeded by 2.0 min: Fit the fan before the pad dries.";
    assert!(text.contains(line), "{text}");
    // Undone, it runs again; done again, it is exceeded by more.
    visit.note(EventKind::Undone { event: done });
    assert_eq!(left_ms(&visit), [-over]);
}

#[test]
fn a_limit_that_nothing_ends_any_more_is_not_exceeded() {
    let catalog = limited();
    let mut visit = until_limit_runs(&catalog, &[replace("fan")]);
    visit.pass_ms(11 * MINUTE);
    visit.note(EventKind::Note {
        text: "the customer calls".to_owned(),
        step: None,
    });
    assert_eq!(overruns(&visit), [MINUTE], "it is still to be ended");
    visit.note(EventKind::Closed {
        outcome: lidoff_job::Outcome::LeftOpen,
        note: String::new(),
    });
    assert_eq!(
        left_ms(&visit),
        [0i64; 0],
        "a closed job counts nothing down"
    );
}
