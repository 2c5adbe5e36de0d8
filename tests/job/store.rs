//! Two stores, one truth; and a file that others can read.

use lidoff_job::document::{DocumentError, from_json, to_json};
use lidoff_job::log::{json, record_key};
use lidoff_job::{AppendError, Event, EventKind, Log, fold};
use proptest::prelude::*;

use crate::total::events;
use lidoff_testkit::visit::{Visit, recorder, replace};

#[test]
fn a_job_file_from_before_steps_had_elements_is_still_read() {
    let catalog = lidoff_testkit::visit::recorder();
    let mut visit =
        lidoff_testkit::visit::Visit::begin(&catalog, &[lidoff_testkit::visit::replace("board")]);
    visit.do_one();
    let text = lidoff_job::to_json(&visit.log);
    let mut old: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut stripped = 0;
    let events = old["events"].as_array_mut().unwrap();
    for plan in events
        .iter_mut()
        .filter_map(|one| one["what"].get_mut("planned"))
    {
        for step in plan["plan"]["steps"].as_array_mut().unwrap() {
            let had = step.as_object_mut().unwrap().remove("elements");
            stripped += usize::from(had.is_some());
        }
    }
    assert!(stripped > 10, "{stripped}");
    let (log, aside) = lidoff_job::from_json(&old.to_string()).unwrap();
    assert!(aside.is_empty(), "{aside:?}");
    let (job, before) = (lidoff_job::fold(&log), visit.job());
    assert_eq!(job.remaining.len(), before.remaining.len());
    assert_eq!(job.left_s(), before.left_s());
}

#[test]
fn a_job_file_from_before_fasteners_had_a_size_is_still_read() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    let text = to_json(&visit.log);
    let mut old: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut sized = 0;
    for event in old["events"].as_array_mut().unwrap() {
        let Some(plan) = event["what"].get_mut("planned") else {
            continue;
        };
        for step in plan["plan"]["steps"].as_array_mut().unwrap() {
            for field in ["undo", "redo"] {
                let Some(sets) = step.get_mut(field) else {
                    continue;
                };
                // Older versions wrote "case screw, M4 × 12" as the name.
                for set in sets.as_array_mut().unwrap() {
                    let set = set.as_object_mut().unwrap();
                    let Some(size) = set.remove("size") else {
                        continue;
                    };
                    let name = set["name"].as_str().unwrap();
                    let thread = size["thread"].as_str().unwrap();
                    let name = format!("{name}, {thread} × {}", size["length_mm"]);
                    set.insert("name".into(), name.into());
                    sized += 1;
                }
            }
        }
    }
    assert!(sized > 3, "{sized}");
    let (log, quarantined) = from_json(&old.to_string()).unwrap();
    assert!(quarantined.is_empty(), "{quarantined:?}");
    let kinds = |log: &Log| {
        let job = fold(log);
        let steps = job.done.iter().map(|done| &done.step).chain(&job.remaining);
        let sets = steps.flat_map(|step| step.undo.iter().chain(&step.redo));
        let kinds = sets.map(|set| set.describe_kind().replace(".0", ""));
        kinds.collect::<Vec<String>>()
    };
    assert_eq!(kinds(&log), kinds(&visit.log));
}

#[test]
fn a_log_that_is_cut_in_two_and_merged_is_the_log_again() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_all();
    let (mut here, mut there) = (
        Log::new(visit.log.job().clone()),
        Log::new(visit.log.job().clone()),
    );
    for (nth, event) in visit.log.events().iter().enumerate() {
        // What one store lost the other has; some are in both.
        if nth % 3 != 0 {
            here.append(event.clone()).unwrap();
        }
        if nth % 3 != 1 {
            there.append(event.clone()).unwrap();
        }
    }
    assert_eq!(here.merge(there), []);
    assert_eq!(here, visit.log);
}

#[test]
fn an_event_is_appended_once_and_never_overwritten() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let event = visit.log.draft(visit.now, EventKind::Done { step: 1 });
    visit.log.append(event.clone()).unwrap();
    visit.log.append(event.clone()).unwrap();
    assert_eq!(visit.log.events().len(), 3);
    let other = Event {
        kind: EventKind::Resumed,
        ..event
    };
    assert_eq!(visit.log.append(other), Err(AppendError::Taken(event.id)));
    assert_eq!(visit.log.head(), Some(&event));
}

#[test]
fn a_damaged_record_is_quarantined_with_its_text_and_the_rest_is_read() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    let mut records: Vec<(String, String)> = visit.log.records().collect();
    let torn = records[1].1.split_at(40).0.to_owned();
    records[1].1.clone_from(&torn);
    records.push(("0000000009-000a11ce".into(), records[2].1.clone()));
    let (log, aside) = Log::from_records(visit.log.job().clone(), records);
    assert_eq!(log.events().len(), 2);
    assert_eq!(aside.len(), 2);
    assert_eq!(aside[0].text, torn);
    assert!(
        aside[1].why.contains("does not match its key"),
        "{}",
        aside[1].why
    );
    fold(&log);
}

#[test]
fn record_keys_sort_as_events_do() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    for _ in 0..12 {
        visit.note(EventKind::Resumed);
    }
    let keys: Vec<String> = visit
        .log
        .events()
        .iter()
        .map(|e| record_key(e.id))
        .collect();
    let mut sorted = keys.clone();
    sorted.sort();
    assert_eq!(keys, sorted);
}

#[test]
fn a_job_document_reads_back_as_the_same_job() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_all();
    let text = to_json(&visit.log);
    assert!(text.starts_with("{\"format\": \"lidoff-job/1\", \"job\": "));
    let (log, aside) = from_json(&text).unwrap();
    assert_eq!(aside, []);
    assert_eq!(log, visit.log);
}

#[test]
fn a_job_document_tells_the_job_without_its_catalog() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_all();
    let text = to_json(&visit.log);
    let (log, _) = from_json(&text).unwrap();
    let job = fold(&log);
    assert_eq!(job.opened.unwrap().unit.name, "Pressure recorder");
    assert!(
        job.done
            .iter()
            .any(|d| d.step.action == "Turn out the three screws.")
    );
}

#[test]
fn an_event_of_a_newer_version_is_quarantined_and_the_rest_is_read() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let text = to_json(&visit.log);
    let mut value: serde_json::Value = serde_json::from_str(&text).unwrap();
    let mut newer = value["events"][0].clone();
    newer["id"]["seq"] = 7.into();
    newer["what"] = serde_json::json!({"weighed": {"kg": 3}});
    value["events"].as_array_mut().unwrap().push(newer);
    let (log, aside) = from_json(&value.to_string()).unwrap();
    assert_eq!(log.events().len(), 2);
    assert!(aside[0].text.contains("weighed"));
}

#[test]
fn a_file_that_is_not_a_job_is_refused_with_a_way_forward() {
    assert!(matches!(
        from_json("{\"format\": \"lidoff-job/1\", "),
        Err(DocumentError::NotJson { line: 1, .. })
    ));
    let other = from_json("{\"format\": \"lidoff-job/2\"}").unwrap_err();
    assert!(other.to_string().contains("update Lidoff"), "{other}");
    let none = from_json("[]").unwrap_err();
    assert_eq!(none, DocumentError::OtherFormat { named: None });
    let shape = from_json("{\"format\": \"lidoff-job/1\", \"job\": \"x\"}").unwrap_err();
    assert!(shape.to_string().contains("events"), "{shape}");
}

fn log_of(events: &[Event]) -> Log {
    let mut log = Log::new(lidoff_job::JobId("j".into()));
    for event in events {
        // A name that is taken is no matter here.
        let _ = log.append(event.clone());
    }
    log
}

fn merged(one: &Log, two: &Log) -> Log {
    let mut both = one.clone();
    both.merge(two.clone());
    both
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 200, ..ProptestConfig::default() })]

    #[test]
    fn it_does_not_matter_which_store_is_merged_into_which(a in events(), b in events()) {
        let (a, b) = (log_of(&a), log_of(&b));
        prop_assert_eq!(merged(&a, &b), merged(&b, &a));
    }

    #[test]
    fn merging_again_changes_nothing(a in events(), b in events()) {
        let (a, b) = (log_of(&a), log_of(&b));
        let both = merged(&a, &b);
        prop_assert_eq!(&merged(&both, &b), &both);
        prop_assert_eq!(&merged(&both, &both), &both);
    }

    #[test]
    fn three_stores_merge_the_same_in_any_grouping(a in events(), b in events(), c in events()) {
        let (a, b, c) = (log_of(&a), log_of(&b), log_of(&c));
        prop_assert_eq!(merged(&merged(&a, &b), &c), merged(&a, &merged(&b, &c)));
    }

    #[test]
    fn every_event_reads_back_as_it_was_written(all in events()) {
        for event in all {
            let back: Event = serde_json::from_str(&json(&event)).unwrap();
            prop_assert_eq!(back, event);
        }
    }
}
