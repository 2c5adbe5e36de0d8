//! Values that steps write down: each has an id of its own, words, and a form that values
//! can have.

use std::collections::BTreeSet;

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::ids::{duplicate, plain_word, unknown};
use super::path::Path;
use super::texts::text_at;
use crate::format::{OldOrNew, Pattern, Record, RecordKind};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let records: Vec<(&Record, Path)> = draft
        .catalog
        .steps
        .iter()
        .zip(&draft.steps)
        .flat_map(|(step, place)| {
            let records = step.entry.records.iter().enumerate();
            records.map(|(nth, record)| {
                let at = place.path.field("records").nth(nth);
                (record, at.about(EntryKind::Record, record.id.as_str()))
            })
        })
        .collect();
    let old = records.iter().map(|(record, _)| *record);
    let old: BTreeSet<&str> = old
        .filter(|record| record.old_or_new == Some(OldOrNew::Old))
        .map(|record| record.id.as_str())
        .collect();
    let mut known = BTreeSet::new();
    for (record, at) in &records {
        let id = record.id.as_str();
        plain_word(EntryKind::Record, id, &at.field("id"), report);
        if !known.insert(id) {
            duplicate(EntryKind::Record, id, &at.field("id"), report);
        }
        text_at(&record.text, &at.field("text"), report);
        if let Some(OldOrNew::New(of)) = &record.old_or_new
            && !old.contains(of.as_str())
        {
            let at = at.field("old_or_new").field("new");
            let old = old.iter().copied();
            unknown(EntryKind::Record, of.as_str(), old, &at, report);
        }
        if let RecordKind::Choice(choices) = &record.kind {
            choice(choices, &at.field("kind").field("choice"), report);
        }
        if let Some(form) = &record.pattern {
            pattern(form, &record.kind, &at.field("pattern"), report);
        }
    }
}

fn choice(choices: &[String], at: &Path, report: &mut Report) {
    let different: BTreeSet<&String> = choices.iter().collect();
    if different.len() < 2 || different.len() < choices.len() {
        report.add(
            FaultKind::TooFewChoices,
            at,
            tr!("A choice needs at least two values, all different."),
            tr!("Add a value, or change the kind."),
        );
    }
    for (nth, one) in choices.iter().enumerate() {
        text_at(one, &at.nth(nth), report);
    }
}

fn pattern(pattern: &Pattern, kind: &RecordKind, at: &Path, report: &mut Report) {
    let problem = if !matches!(kind, RecordKind::Serial | RecordKind::Text) {
        tr!("Only a serial number or a text has a pattern.")
    } else if !pattern.0.contains(['#', '@', '*']) {
        tr!("Only one value fits the pattern “{}”.", pattern.0)
    } else if pattern.0.chars().all(|one| one == '*') {
        tr!("Every value fits the pattern “{}”.", pattern.0)
    } else if pattern.0.trim() != pattern.0 {
        tr!("The pattern “{}” begins or ends with a space.", pattern.0)
    } else {
        return;
    };
    report.add(
        FaultKind::BadPattern,
        at,
        problem,
        tr!("Use # for a digit, @ for a letter and * for anything, or remove the pattern."),
    );
}
