//! The doors: job files, records of the stores, learned times, catalogs, links.

use lidoff_app_core::route::Route;
use lidoff_catalog::check::{examine_text, read};
use lidoff_catalog::model::Catalog;
use lidoff_estimate::LearnedTimes;
use lidoff_estimate::learned_times::{LearnedElement, LearnedStep};
use lidoff_job::{
    EventKind, Job, JobId, Log, Mishap, PauseReason, Photo, RecordedValue, Stamp, Taken,
    closing_up, fold, from_json, outlook, position, tally, to_json,
};
use lidoff_report::desk::{compare, learn};
use lidoff_report::exchange::page::page;
use lidoff_report::exchange::report::report;
use lidoff_report::exchange::{jobs_table, steps_table, values_table};
use lidoff_testkit::visit::{Visit, recorder, replace};

use crate::run::{Answer, run};

/// A job with events of many kinds.
fn job(catalog: &Catalog) -> Log {
    let mut visit = Visit::begin(catalog, &[replace("board")]);
    visit.do_one();
    let step = Some(1);
    for kind in [
        EventKind::Note {
            text: "tight".into(),
            step,
        },
        EventKind::Paused {
            reason: PauseReason::Break,
            part: None,
            note: String::new(),
        },
        EventKind::Resumed,
        EventKind::Gap {
            from_ms: 0,
            to_ms: 1_000,
            work_ms: 500,
        },
        EventKind::Recorded {
            step: 1,
            record: "serial".into(),
            value: RecordedValue::Number(7),
        },
        EventKind::Read {
            step: 1,
            taken: Taken::Value(1.5),
        },
        EventKind::FastenerLost(Mishap {
            fastening: "cover-screws".into(),
            count: 1,
            note: String::new(),
        }),
        EventKind::PhotoTaken(Photo {
            name: "photo-1".into(),
            step,
            bytes: 1_000,
        }),
        EventKind::LeaveBy { at_ms: Some(0) },
    ] {
        let undone = visit.note(kind);
        visit.note(EventKind::Undone { event: undone });
    }
    visit.do_all();
    visit.log
}

/// Does everything with a log that the app and the desk do with it.
fn use_log(mut log: Log, catalog: &Catalog) {
    let (job, now) = (
        fold(&log),
        log.head().map(|head| head.at).unwrap_or_default(),
    );
    show(&log, &job, &now);
    let _ = position(&job, catalog, &now);
    let _ = closing_up(&job, catalog, &now);

    let (again, aside) = from_json(&to_json(&log)).expect("what is written can be read");
    assert_eq!((&again, aside.len()), (&log, 0), "and is the same");
    let (stored, aside) = Log::from_records(log.job().clone(), log.records());
    assert_eq!((&stored, aside.len()), (&log, 0), "by the stores, too");
    for _ in 0..2 {
        let next = log.draft(now, EventKind::Resumed);
        log.append(next).expect("the job goes on");
    }
}

fn show(log: &Log, job: &Job, now: &Stamp) {
    let _ = (report(job), page(job, &[]), tally(job));
    let _ = outlook::forecast(job, now);
    let jobs = [(log.job().clone(), job.clone())];
    let comparison = compare(&jobs);
    let _ = (
        jobs_table(&comparison),
        steps_table(&comparison),
        values_table(&comparison),
    );
    let times = learn(&jobs, "2026-11-25 14:00".to_owned());
    let read = LearnedTimes::from_json(&times.to_json());
    assert_eq!(read, Ok(times), "learned times can be read again");
}

#[test]
fn a_changed_job_file_is_read_or_refused() {
    let catalog = recorder();
    let good = to_json(&job(&catalog));
    run("job files", &[good], |text| match from_json(text) {
        Ok((log, aside)) => {
            assert!(
                aside
                    .iter()
                    .all(|one| !one.why.is_empty() && !one.key.is_empty())
            );
            use_log(log, &catalog);
            Answer::Read
        }
        Err(error) => {
            assert!(!error.to_string().is_empty());
            Answer::Refused
        }
    });
}

#[test]
fn a_changed_record_of_a_store_is_read_or_set_aside() {
    let catalog = recorder();
    let log = job(&catalog);
    let records: Vec<(String, String)> = log.records().collect();
    let good: Vec<String> = records.iter().map(|(_, text)| text.clone()).collect();
    run("stored records", &good, |text| {
        // The changed record is where one of the good ones was, under the key that it names.
        let key = serde_json::from_str::<serde_json::Value>(text)
            .ok()
            .map(|json| {
                let part = |name: &str| json["id"][name].as_u64().unwrap_or_default();
                format!("{:010}-{:08x}", part("seq"), part("run"))
            });
        let key = key.unwrap_or_default();
        let mut changed = records.clone();
        changed.retain(|(one, _)| *one != key);
        changed.push((key, text.to_owned()));
        let job = JobId::new(&Stamp::default());
        let (read, aside) = Log::from_records(job, changed);
        let is_refused = !aside.is_empty();
        use_log(read, &catalog);
        if is_refused {
            Answer::Refused
        } else {
            Answer::Read
        }
    });
}

#[test]
fn changed_learned_times_are_read_or_refused() {
    let catalog = recorder();
    let times = LearnedTimes {
        made: "2026-11-25 14:00".into(),
        jobs: 12,
        steps: catalog
            .steps()
            .map(|(_, step)| LearnedStep {
                unit: "recorder".into(),
                step: step.entry.id.clone(),
                action: step.entry.action.clone(),
                handbook_s: 18.8,
                actual_s: 28.2,
                n: 12,
            })
            .collect(),
        elements: vec![LearnedElement {
            element: lidoff_catalog::format::Element::ScrewOut,
            handbook_s: 8.0,
            actual_s: 10.0,
            n: 40,
        }],
    };
    run(
        "learned times",
        &[times.to_json()],
        |text| match LearnedTimes::from_json(text) {
            Ok(times) => {
                times.apply_to(&mut catalog.clone());
                assert_eq!(LearnedTimes::from_json(&times.to_json()), Ok(times));
                Answer::Read
            }
            Err(error) => {
                assert!(!error.to_string().is_empty());
                Answer::Refused
            }
        },
    );
}

#[test]
fn a_changed_catalog_is_read_or_refused() {
    let good = include_str!("../../src/testkit/recorder.json").to_owned();
    run("catalogs", &[good], |text| {
        match examine_text("recorder.json", text) {
            Ok(checked) => {
                assert!(!checked.warnings.has_errors());
                assert!(read("recorder.json", text).is_ok());
                Answer::Read
            }
            Err(faults) => {
                assert!(faults.has_errors() && !faults.to_string().is_empty());
                Answer::Refused
            }
        }
    });
}

#[test]
fn a_changed_link_leads_to_a_screen_or_to_none() {
    let good = [
        "#/new/perch-22",
        "#/job/1793692200000-000a11ce/wrap-up",
        "#/desk",
        "#/",
    ];
    run("links", &good.map(str::to_owned), |link| {
        let route = Route::parse(link);
        assert!(route.href().len() <= link.len().max(300) + 300);
        match route {
            Route::Lost(_) => Answer::Refused,
            _ => {
                assert_eq!(Route::parse(&route.href()), route);
                Answer::Read
            }
        }
    });
}
