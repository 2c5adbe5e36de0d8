//! Values that are written down: serial numbers, counters, photos.

use lidoff_catalog::format::{OldOrNew, Record, RecordId, RecordKind};
use lidoff_i18n::{localize, tr};

use super::entries::ValueRecorded;
use super::job::Job;
use crate::event::{EventId, RecordedValue};
use crate::finding::Irregularity;
use crate::planned::PlannedStep;

impl Job {
    pub(super) fn record(
        &mut self,
        event: EventId,
        number: u32,
        id: &RecordId,
        value: &RecordedValue,
    ) {
        let step = self.step(number);
        let asked = step.and_then(|step| {
            let record = step.records.iter().find(|record| record.id == *id)?;
            Some((step.step.clone(), record.clone()))
        });
        match asked {
            Some((step_id, record)) => self.recorded.push(ValueRecorded {
                event,
                step: number,
                step_id,
                record,
                value: value.clone(),
            }),
            None => self.add_finding(event, Irregularity::NoSuchStep { step: number }),
        }
    }

    /// The latest value of each record, in the order of the first ones. A photo that was
    /// deleted is none.
    pub fn values(&self) -> impl Iterator<Item = &ValueRecorded> {
        let recorded = self.recorded.iter().enumerate();
        recorded.filter_map(|(at, one)| {
            let is_same = |other: &&ValueRecorded| other.record.id == one.record.id;
            let is_first = !self.recorded[..at].iter().any(|other| is_same(&other));
            is_first.then(|| self.value_of(&one.record.id)).flatten()
        })
    }

    /// The latest value of this record.
    pub fn value_of(&self, record: &RecordId) -> Option<&ValueRecorded> {
        let mut recorded = self.recorded.iter().rev();
        recorded.find(|one| one.record.id == *record && self.has_photo(&one.value))
    }

    /// The value of this record since the step was last done: after that, it is asked for
    /// again.
    pub fn value_at(&self, step: &PlannedStep, record: &RecordId) -> Option<&ValueRecorded> {
        let mut done = self.done.iter().rev();
        let done = done.find(|done| done.step.step == step.step);
        let value = self.value_of(record)?;
        done.is_none_or(|done| value.event > done.event)
            .then_some(value)
    }

    fn has_photo(&self, value: &RecordedValue) -> bool {
        match value {
            RecordedValue::Photo(name) => self.photos.iter().any(|one| one.photo.name == *name),
            RecordedValue::Text(_) | RecordedValue::Number(_) => true,
        }
    }

    /// Whether a new part is given the serial number that was read on the old one.
    pub fn repeats_old_part(&self, record: &Record, value: &RecordedValue) -> bool {
        let (RecordKind::Serial, Some(OldOrNew::New(old))) = (&record.kind, &record.old_or_new)
        else {
            return false;
        };
        let old = self.value_of(old).map(|old| &old.value);
        let (Some(RecordedValue::Text(old)), RecordedValue::Text(new)) = (old, value) else {
            return false;
        };
        old.trim() == new.trim()
    }

    /// Whether a value is of the kind and the form that a record asks for.
    pub fn accepts(&self, record: &Record, value: &RecordedValue) -> bool {
        match (&record.kind, value) {
            (RecordKind::Serial | RecordKind::Text, RecordedValue::Text(text)) => {
                let pattern = record.pattern.as_ref();
                !text.trim().is_empty() && pattern.is_none_or(|form| form.matches(text.trim()))
            }
            (RecordKind::Choice(all), RecordedValue::Text(text)) => all.contains(text),
            (RecordKind::Counter, RecordedValue::Number(_)) => true,
            (RecordKind::Photo, RecordedValue::Photo(_)) => self.has_photo(value),
            _ => false,
        }
    }
}

/// What is written down, and of which part: "serial number of the drive (old part)".
pub fn describe_record(record: &Record) -> String {
    let text = localize(&record.text).into_owned();
    match record.old_or_new {
        None => text,
        Some(OldOrNew::Old) => tr!("{text} (old part)", text),
        Some(OldOrNew::New(_)) => tr!("{text} (new part)", text),
    }
}

impl ValueRecorded {
    /// The value in words.
    pub fn describe(&self) -> String {
        match &self.value {
            RecordedValue::Text(text) if matches!(self.record.kind, RecordKind::Choice(_)) => {
                localize(text).into_owned()
            }
            RecordedValue::Text(text) | RecordedValue::Photo(text) => text.clone(),
            RecordedValue::Number(number) => number.to_string(),
        }
    }
}
