//! Files of records: what a device kept, what was rescued, what was set aside.

use lidoff_job::document::{DocumentError, from_json, to_json};
use lidoff_job::log::{json, record_key};
use lidoff_job::{EventKind, Log, QuarantinedRecord};
use lidoff_report::exchange::backup::{Backup, read, write};
use serde_json::json;

use lidoff_testkit::visit::{Visit, recorder, replace};

fn log() -> Log {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    visit.log
}

#[test]
fn a_backup_reads_back_with_its_photos_its_catalogs_and_what_was_set_aside() {
    let log = log();
    let job = log.job().clone();
    let torn = QuarantinedRecord {
        key: "0000000009-000a11ce".to_owned(),
        text: "{\"id\":".to_owned(),
        why: "EOF".to_owned(),
        count: 1,
    };
    let backup = Backup {
        jobs: vec![log],
        unreadable: vec![(job.clone(), torn.clone())],
        photos: vec![(
            job.clone(),
            "photo-1".into(),
            "data:image/jpeg;base64,AA".into(),
        )],
        catalogs: vec![("mine.json".into(), "{}".into())],
    };
    let mut again = read(&write(&backup)).unwrap();
    assert_eq!(again.unreadable.len(), 1);
    let (of, record) = again.unreadable.remove(0);
    assert_eq!((of, record.key, record.text), (job, torn.key, torn.text));
    let backup = Backup {
        unreadable: Vec::new(),
        ..backup
    };
    assert_eq!(again, backup);
}

#[test]
fn what_the_page_rescued_is_one_log_again_and_a_record_that_was_set_aside_comes_back() {
    let log = log();
    let job = log.job().as_str();
    let records: Vec<(String, String)> = log.records().collect();
    let [(first, opened), (second, planned), (third, done)] = &records[..] else {
        panic!("opened, planned, done: {}", records.len());
    };
    let note = json!({ "text": planned, "why": "unknown variant", "at_ms": 5 }).to_string();
    let newer = json!({ "text": "{\"what\":\"weighed\"}", "why": "unknown", "at_ms": 5 });
    // As boot.js writes it: each record where it lay, and things that are none of ours.
    let file = json!({
        "format": "lidoff-rescue/1",
        "localStorage": {
            format!("lidoff/job/{job}/{first}"): opened,
            format!("lidoff/job/{job}/{third}"): done,
            format!("lidoff/aside/lidoff/job/{job}/{second}++"): note,
            "lidoff/preference/technician": "R. Finch",
        },
        "indexedDB": {
            "lidoff": {
                "events": [[[job, first], opened]],
                "aside": [[[job, "0000000009-000a11ce", 5], newer.to_string()]],
                "catalogs": [],
            },
        },
        "unread": ["lidoff-photos: denied"],
    });
    let backup = read(&file.to_string()).unwrap();
    assert_eq!(backup.jobs, [log]);
    let [(_, left)] = &backup.unreadable[..] else {
        panic!("{:?}", backup.unreadable);
    };
    assert!(left.text.contains("weighed"));
    assert!(backup.photos.is_empty());
}

#[test]
fn of_two_events_of_one_name_in_a_file_both_are_kept_one_of_them_aside() {
    let log = log();
    let mut other = log.events()[2].clone();
    other.kind = EventKind::Resumed;
    let (job, key) = (log.job().as_str(), record_key(other.id));
    let journal: Vec<_> = log
        .records()
        .map(|(key, text)| json!([[job, key], text]))
        .collect();
    let file = json!({
        "format": "lidoff-rescue/1",
        "localStorage": { format!("lidoff/job/{job}/{key}"): json(&other) },
        "indexedDB": { "lidoff": { "events": journal } },
    });
    let backup = read(&file.to_string()).unwrap();
    assert_eq!(backup.jobs, [log]);
    assert_eq!(backup.unreadable.len(), 1);
    assert_eq!(backup.unreadable[0].1.text, json(&other));
}

#[test]
fn a_job_file_is_read_too_also_with_a_byte_order_mark() {
    let log = log();
    let text = format!("\u{feff}{}", to_json(&log));
    assert_eq!(from_json(&text), Ok((log.clone(), Vec::new())));
    assert_eq!(read(&text).unwrap().jobs, [log]);
    let refused = read("{\"format\": \"lidoff-times/1\"}");
    assert!(matches!(refused, Err(DocumentError::OtherFormat { .. })));
    let nothing = Backup::default();
    assert_eq!(read(&write(&nothing)).unwrap(), nothing);
}
