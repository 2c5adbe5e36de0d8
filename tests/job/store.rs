//! Two stores, one truth; and a file that others can read.

use lidoff_job::document::{DocumentError, from_json, to_json};
use lidoff_job::log::{json, record_key};
use lidoff_job::{AppendError, Event, EventKind, Log, fold};
use lidoff_report::exchange::report::report;
use proptest::prelude::*;
use serde_json::Value;

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

/// The document of a job, with one event changed or added.
fn with_events(visit: &Visit, change: impl FnOnce(&mut Vec<Value>)) -> String {
    let mut value: Value = serde_json::from_str(&to_json(&visit.log)).unwrap();
    change(value["events"].as_array_mut().unwrap());
    value.to_string()
}

/// A note with this sequence number.
fn note(visit: &Visit, seq: u32) -> Value {
    let mut event = visit.log.draft(visit.now, EventKind::Resumed);
    event.id.seq = seq;
    serde_json::from_str(&json(&event)).unwrap()
}

fn goes_on(mut log: Log, visit: &Visit) {
    for _ in 0..3 {
        let next = log.draft(visit.now, EventKind::Resumed);
        log.append(next).expect("the job goes on");
    }
}

#[test]
fn a_job_goes_on_after_a_file_with_the_highest_sequence_number() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    for seq in [u32::MAX, u32::MAX - 1, u32::MAX / 2] {
        let text = with_events(&visit, |events| events.insert(1, note(&visit, seq)));
        let (log, aside) = from_json(&text).unwrap();
        assert_eq!(log, visit.log, "{seq}");
        assert_eq!(aside.len(), 1, "{seq}");
        assert_eq!(aside[0].key, "event 2 of the document");
        assert!(aside[0].why.contains(&seq.to_string()), "{}", aside[0].why);
        assert!(aside[0].text.contains(&seq.to_string()));
        goes_on(log, &visit);
    }
}

#[test]
fn a_job_goes_on_that_a_store_holds_with_the_highest_sequence_number() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let mut records: Vec<(String, String)> = visit.log.records().collect();
    let last = note(&visit, u32::MAX).to_string();
    let key = format!("{}-{}", u32::MAX, visit.now.run);
    records.insert(0, (key.clone(), last));
    let (log, aside) = Log::from_records(visit.log.job().clone(), records);
    assert_eq!(log, visit.log);
    assert_eq!(aside.len(), 1);
    assert_eq!(aside[0].key, key);
    goes_on(log, &visit);
}

#[test]
fn events_may_be_missing_between_others_and_come_in_any_order() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    let text = with_events(&visit, |events| {
        events.insert(0, note(&visit, 9_000));
        events.insert(0, note(&visit, 18_000));
    });
    let (log, aside) = from_json(&text).unwrap();
    assert_eq!(aside, []);
    let numbers: Vec<u32> = log.events().iter().map(|event| event.id.seq).collect();
    assert_eq!(numbers, [0, 1, 2, 9_000, 18_000]);
    goes_on(log, &visit);
}

/// Events as newer versions may write them: another kind, another field, another reason.
fn newer_events(visit: &Visit) -> Vec<Value> {
    let kinds = [
        serde_json::json!({"weighed": {"kg": 3.0, "at": [1e30, "x \" y"]}}),
        serde_json::json!("locked"),
        serde_json::json!({"note": {"text": "tight", "colour": "red"}}),
        serde_json::json!({"paused": {"reason": "lunch"}}),
    ];
    let event = |(nth, kind): (usize, Value)| {
        let mut event = note(visit, 7 + nth as u32);
        event["what"] = kind;
        event
    };
    kinds.into_iter().enumerate().map(event).collect()
}

#[test]
fn events_of_a_newer_version_are_kept_reported_and_exported_unchanged() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let newer = newer_events(&visit);
    let text = with_events(&visit, |events| events.extend(newer.clone()));
    // However it is laid out.
    let value: Value = serde_json::from_str(&text).unwrap();
    for text in [&text, &serde_json::to_string_pretty(&value).unwrap()] {
        let (log, aside) = from_json(text).unwrap();
        assert_eq!(aside, []);
        assert_eq!(log.unknown().count(), newer.len());
        let exported: Value = serde_json::from_str(&to_json(&log)).unwrap();
        assert_eq!(exported, value);
        // The stores of this device read it, too.
        let (stored, aside) = Log::from_records(log.job().clone(), log.records());
        assert_eq!((stored, aside), (log.clone(), Vec::new()));

        let (job, before) = (fold(&log), visit.job());
        assert_eq!(job.remaining, before.remaining);
        assert_eq!(job.tasks, before.tasks);
        let unknown = job.findings.iter().filter(|finding| {
            let text = finding.irregularity.to_string();
            text.contains("newer version") && text.contains("Update Lidoff")
        });
        assert_eq!(unknown.count(), newer.len());
        assert!(report(&job).contains("A newer version of Lidoff recorded something"));
    }
}

#[test]
fn a_job_goes_to_an_older_version_and_back_with_all_its_events() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let newer = newer_events(&visit);
    let text = with_events(&visit, |events| events.extend(newer.clone()));
    let (mut older, _) = from_json(&text).unwrap();
    // The older version goes on.
    visit.pass_ms(1_000);
    let next = older.draft(visit.now, EventKind::Resumed);
    assert_eq!(next.id.seq, 11);
    older.append(next.clone()).unwrap();
    let back: Value = serde_json::from_str(&to_json(&older)).unwrap();
    let events = back["events"].as_array().unwrap();
    assert_eq!(events[2..6], newer);
    assert_eq!(
        events[6],
        serde_json::from_str::<Value>(&json(&next)).unwrap()
    );
}

#[test]
fn a_damaged_event_is_set_aside_and_not_taken_for_a_newer_one() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    for damaged in [
        serde_json::json!({"done": {"step": -1}}),
        serde_json::json!({"done": {}}),
        serde_json::json!(7),
        serde_json::json!({}),
    ] {
        let text = with_events(&visit, |events| {
            let mut event = note(&visit, 2);
            event["what"] = damaged.clone();
            events.push(event);
        });
        let (log, aside) = from_json(&text).unwrap();
        assert_eq!(log, visit.log, "{damaged}");
        assert_eq!(aside.len(), 1, "{damaged}");
    }
}

#[test]
fn an_event_that_no_file_could_hold_is_set_aside_and_the_job_can_be_saved() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let deep = format!("{}{}", "[".repeat(40), "]".repeat(40));
    for what in [deep, format!("[\"{}\"]", "x".repeat(70_000))] {
        let event = note(&visit, 2).to_string();
        let event = event.replace("\"resumed\"", &format!("{{\"weighed\":{what}}}"));
        let key = format!("{:010}-{}", 2, visit.now.run);
        let records = visit.log.records().chain([(key, event)]);
        let (log, aside) = Log::from_records(visit.log.job().clone(), records);
        assert_eq!(aside.len(), 1);
        assert_eq!(
            from_json(&to_json(&log)),
            Ok((visit.log.clone(), Vec::new()))
        );
    }
}

#[test]
fn of_two_events_with_one_id_the_one_that_can_be_read_is_kept() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let before = visit.log.clone();
    visit.note(EventKind::Resumed);
    let with = |kind: Value| {
        let mut event = note(&visit, 2);
        event["what"] = kind;
        let mut log = before.clone();
        log.append(serde_json::from_str(&event.to_string()).unwrap())
            .unwrap();
        log
    };
    for unknown in [serde_json::json!("aaa"), serde_json::json!("zzz")] {
        let (mut here, mut there) = (visit.log.clone(), with(unknown));
        let aside = [here.merge(there.clone()), there.merge(visit.log.clone())];
        assert_eq!((&here, &there), (&visit.log, &visit.log));
        assert!(aside.iter().all(|aside| aside.len() == 1), "{aside:?}");
    }
}

#[test]
fn a_job_file_with_many_faults_lists_the_first_and_counts_the_others() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let text = with_events(&visit, |events| {
        events.extend((0..9_000).map(Value::from));
    });
    let (log, aside) = from_json(&text).unwrap();
    assert_eq!(log, visit.log);
    assert_eq!(aside.len(), 20);
    assert_eq!(aside[19].key, "and 8981 more");
    assert!(aside[19].text.starts_with("[19,20,"), "nothing is lost");
}

#[test]
fn a_job_file_that_is_too_large_is_refused_with_the_limit() {
    let refused = |text: &str| from_json(text).expect_err("too large").to_string();
    let file = |events: &str| {
        format!("{{\"format\": \"lidoff-job/1\", \"job\": \"j\", \"events\": [{events}]}}")
    };
    for (text, limit) in [
        (file(&" ".repeat(10_000_000)), "the limit is 10.0 MB"),
        (
            file(&vec!["0"; 600_000].join(",")),
            "the limit of 500000 values",
        ),
        (
            file(&vec!["0"; 10_001].join(",")),
            "it has 10001 events, and the limit is 10000",
        ),
        (file(&"[".repeat(100_000)), "deeper than the limit of 32"),
        (
            file(&format!("\"{}\"", "x".repeat(70_000))),
            "a text exceeds the limit of 64 kB",
        ),
    ] {
        let message = refused(&text);
        assert!(message.contains(limit), "{message}");
    }
    for id in ["", "a/b", "#", &"x".repeat(101)] {
        let text = file("").replace("\"j\"", &format!("\"{id}\""));
        assert!(refused(&text).contains("1 to 100 letters"), "{id}");
    }
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
