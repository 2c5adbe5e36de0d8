//! Values that a step writes down.

use lidoff_app_core::session::{CommandError, Executed};
use lidoff_catalog::check::check;
use lidoff_catalog::format::{OldOrNew, Pattern, Record, RecordKind};
use lidoff_job::{EventKind, JobId, Photo, RecordedValue};
use lidoff_report::desk::compare;
use lidoff_report::exchange::{report, values_table};
use lidoff_testkit::powered_unit::powered_file;
use lidoff_testkit::visit::replace;

use super::device::{Device, meeting_demands};

fn record(id: &str, kind: RecordKind, required: bool) -> Record {
    Record {
        id: id.into(),
        text: id.to_owned(),
        kind,
        pattern: None,
        required,
        old_or_new: None,
    }
}

/// A job at the step that writes down these values.
fn at(records: Vec<Record>) -> (Device, JobId, u32) {
    let mut file = powered_file();
    file.make_safe[0].records = records;
    let device = Device::new(check(file).unwrap_or_else(|faults| panic!("{faults}")));
    let id = device.open(&[replace("fan")]);
    let job = device.job(&id);
    let (_, entries) = meeting_demands(&device.catalog, &job, &device.now);
    let ticks: Vec<_> = entries
        .into_iter()
        .filter(|entry| !matches!(entry, EventKind::Recorded { .. }))
        .collect();
    if !ticks.is_empty() {
        device.record(&id, ticks).expect("they are ticked");
    }
    let step = job.next().expect("a step").number;
    (device, id, step)
}

fn say(device: &Device, id: &JobId, step: u32, record: &str, value: RecordedValue) -> bool {
    let record = record.into();
    let said = device.record(
        id,
        vec![EventKind::Recorded {
            step,
            record,
            value,
        }],
    );
    matches!(said, Ok(Executed::Stored { .. }))
}

fn text(words: &str) -> RecordedValue {
    RecordedValue::Text(words.to_owned())
}

#[test]
fn a_required_value_is_given_before_the_step_is_done_and_can_be_undone() {
    let (device, id, step) = at(vec![
        record("serial", RecordKind::Serial, true),
        record("remark", RecordKind::Text, false),
    ]);
    let done = || device.record(&id, vec![EventKind::Done { step }]);
    assert_eq!(done().err(), Some(CommandError::DemandsOpen));
    assert!(say(&device, &id, step, "serial", text("A1")));
    assert!(
        !say(&device, &id, step, "serial", text("A1")),
        "a double tap"
    );
    let event = device.job(&id).recorded[0].event;
    let undone = device.record(&id, vec![EventKind::Undone { event }]);
    assert!(undone.is_ok());
    assert_eq!(done().err(), Some(CommandError::DemandsOpen));
    assert!(say(&device, &id, step, "serial", text("A2")));
    assert!(say(&device, &id, step, "serial", text("A3")), "corrected");
    assert!(done().is_ok());
    let job = device.job(&id);
    let values: Vec<_> = job.values().map(|one| one.describe()).collect();
    assert_eq!(values, ["A3"]);
    assert_eq!(job.findings, []);
}

#[test]
fn a_new_part_does_not_have_the_serial_number_of_the_old_one() {
    let old = Record {
        old_or_new: Some(OldOrNew::Old),
        ..record("old", RecordKind::Serial, true)
    };
    let new = Record {
        old_or_new: Some(OldOrNew::New("old".into())),
        ..record("new", RecordKind::Serial, true)
    };
    let (device, id, step) = at(vec![old, new]);
    assert!(say(&device, &id, step, "old", text("A1")));
    let again = EventKind::Recorded {
        step,
        record: "new".into(),
        value: text("A1 "),
    };
    let refused = device.record(&id, vec![again]).expect_err("it is refused");
    assert!(matches!(refused, CommandError::ValueOfOldPart(_)));
    assert!(refused.to_string().contains("old part"), "{refused}");
    assert!(say(&device, &id, step, "new", text("A2")));
}

#[test]
fn a_value_of_another_form_is_refused_with_an_example() {
    let mut serial = record("serial", RecordKind::Serial, true);
    serial.pattern = Some(Pattern("SN-##".to_owned()));
    let choice = RecordKind::Choice(vec!["red".to_owned(), "blue".to_owned()]);
    let (device, id, step) = at(vec![
        serial,
        record("hours", RecordKind::Counter, false),
        record("colour", choice, false),
        record("label", RecordKind::Photo, true),
    ]);
    let refusal = |record: &str, value: RecordedValue| {
        let record = record.into();
        let refused = device.record(
            &id,
            vec![EventKind::Recorded {
                step,
                record,
                value,
            }],
        );
        refused.expect_err("it is refused").to_string()
    };
    assert!(refusal("serial", text("SN-1")).contains("“SN-12”"));
    refusal("serial", RecordedValue::Number(12));
    refusal("hours", text("12"));
    refusal("colour", text("green"));
    refusal("label", RecordedValue::Photo("photo-9".to_owned()));
    assert!(refusal("other", text("SN-12")).contains("does not ask"));
    assert!(say(&device, &id, step, "serial", text("sn-47")));
    assert!(say(&device, &id, step, "hours", RecordedValue::Number(12)));
    assert!(say(&device, &id, step, "colour", text("blue")));
    let name = "photo-9".to_owned();
    let photo = Photo {
        name: name.clone(),
        step: Some(step),
        bytes: 1,
    };
    let label = EventKind::Recorded {
        step,
        record: "label".into(),
        value: RecordedValue::Photo(name),
    };
    let taken = device.record(&id, vec![EventKind::PhotoTaken(photo), label]);
    assert!(taken.is_ok());
    assert_eq!(device.job(&id).demands().record, []);
    // A photo that is deleted is asked for again.
    let event = device.job(&id).photos[0].event;
    let deleted = device.record(&id, vec![EventKind::Undone { event }]);
    assert!(deleted.is_ok());
    assert_eq!(device.job(&id).demands().record, ["label".into()]);
}

#[test]
fn the_report_and_the_table_have_the_old_and_the_new_value() {
    let mut old = record("old", RecordKind::Serial, false);
    old.old_or_new = Some(OldOrNew::Old);
    let mut new = record("new", RecordKind::Serial, false);
    new.old_or_new = Some(OldOrNew::New("old".into()));
    let (device, id, step) = at(vec![old, new]);
    assert!(say(&device, &id, step, "old", text("A1")));
    assert!(say(&device, &id, step, "new", text("B,2")));
    let job = device.job(&id);
    let report = report::report(&job);
    assert!(report.contains("old (old part): A1\n"), "{report}");
    assert!(report.contains("new (new part): B,2\n"), "{report}");
    let table = values_table(&compare(&[(id.clone(), (*job).clone())]));
    let last = table.lines().last().expect("a row");
    assert!(last.ends_with(",new,new,new,\"B,2\""), "{last}");
}
