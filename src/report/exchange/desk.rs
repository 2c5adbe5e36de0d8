//! The desk's comparison as tables and as text.

use std::fmt::Write;

use crate::desk::compare::{Comparison, NO_JOBS};
use lidoff_catalog::format::OldOrNew;
use lidoff_job::{RecordedValue, Status, ValueRecorded};

use super::csv::{Cell, table};
use super::when::{format_duration, format_local_time};

/// One row for each job, as CSV; times in seconds.
pub fn jobs_table(comparison: &Comparison) -> String {
    let head = [
        "job",
        "reference",
        "unit",
        "opened",
        "status",
        "steps done",
        "replans",
        "planned s",
        "worked s",
        "paused s",
        "done steps estimate s",
        "done steps actual s",
        "pace",
    ];
    let rows = comparison.jobs.iter().map(|job| {
        vec![
            job.job.as_str().into(),
            job.reference.as_str().into(),
            job.unit.as_str().into(),
            format_local_time(job.opened.0, job.opened.1)
                .as_str()
                .into(),
            status(&job.status).into(),
            Cell::Number(job.steps as f64, 0),
            Cell::Number(job.replans as f64, 0),
            Cell::number(job.planned_s, 1),
            Cell::Number(job.worked_s, 1),
            Cell::Number(job.paused_s, 1),
            Cell::Number(job.expected_s, 1),
            Cell::Number(job.actual_s, 1),
            Cell::number(job.pace(), 3),
        ]
    });
    table(&head, rows)
}

/// One row for each time that a step was done, as CSV; times in seconds.
pub fn steps_table(comparison: &Comparison) -> String {
    let head = [
        "unit",
        "step",
        "action",
        "job",
        "reference",
        "estimate s",
        "actual s",
        "pace",
        "outlier",
    ];
    let rows = comparison.steps.iter().flat_map(|line| {
        line.times.iter().map(move |one| {
            vec![
                line.unit.as_str().into(),
                line.step.as_str().into(),
                line.action.as_str().into(),
                one.job.as_str().into(),
                one.reference.as_str().into(),
                Cell::Number(one.expected_s, 1),
                Cell::Number(one.actual_s, 1),
                Cell::Number(one.pace(), 3),
                if one.odd { "yes".into() } else { Cell::Empty },
            ]
        })
    });
    table(&head, rows)
}

/// One row for each value that was written down, as CSV.
pub fn values_table(comparison: &Comparison) -> String {
    let head = [
        "unit",
        "job",
        "reference",
        "step",
        "record",
        "text",
        "old or new",
        "value",
    ];
    let rows = comparison.values.iter().map(|line| {
        let ValueRecorded {
            step_id,
            record,
            value,
            ..
        } = &line.value;
        vec![
            line.unit.as_str().into(),
            line.job.as_str().into(),
            line.reference.as_str().into(),
            step_id.as_str().into(),
            record.id.as_str().into(),
            record.text.as_str().into(),
            match record.old_or_new {
                None => Cell::Empty,
                Some(OldOrNew::Old) => "old".into(),
                Some(OldOrNew::New(_)) => "new".into(),
            },
            match value {
                RecordedValue::Text(text) | RecordedValue::Photo(text) => text.as_str().into(),
                RecordedValue::Number(number) => Cell::Number(*number as f64, 0),
            },
        ]
    });
    table(&head, rows)
}

/// The comparison as text, for a terminal or a message.
pub fn describe(comparison: &Comparison) -> String {
    if comparison.is_empty() {
        return format!("{NO_JOBS}\n");
    }
    let mut text = String::new();
    // Writing to a string does not fail.
    let _ = write!(
        text,
        "JOBS\n{:<14}{:<24}{:<18}{:>12}{:>12}{:>7}  status\n",
        "reference", "unit", "opened", "planned", "worked", "pace"
    );
    for job in &comparison.jobs {
        let _ = writeln!(
            text,
            "{:<14}{:<24}{:<18}{:>12}{:>12}{:>7}  {}",
            job.reference,
            job.unit,
            format_local_time(job.opened.0, job.opened.1),
            job.planned_s.map_or("–".to_owned(), format_duration),
            format_duration(job.worked_s),
            pace(job.pace()),
            status(&job.status),
        );
    }
    let _ = write!(
        text,
        "\nPHASES\n{:<14}{:<14}{:>5}{:>12}{:>12}{:>7}\n",
        "unit", "phase", "jobs", "estimate", "actual", "pace"
    );
    for phase in &comparison.phases {
        let _ = writeln!(
            text,
            "{:<14}{:<14}{:>5}{:>12}{:>12}{:>7}",
            phase.unit,
            phase.phase.name(),
            phase.jobs,
            format_duration(phase.expected_s),
            format_duration(phase.actual_s),
            pace(phase.pace()),
        );
    }
    let _ = write!(
        text,
        "\nSTEPS, largest overrun first\n{:<14}{:<28}{:>5}{:>12}{:>7}  action\n",
        "unit", "step", "times", "median", "pace"
    );
    for step in comparison
        .steps
        .iter()
        .filter(|step| !step.times.is_empty())
    {
        let _ = writeln!(
            text,
            "{:<14}{:<28}{:>5}{:>12}{:>7}  {}",
            step.unit,
            step.step.as_str(),
            step.times.len(),
            step.median_s.map_or("–".to_owned(), format_duration),
            pace(step.pace),
            step.action,
        );
    }
    for step in comparison.steps.iter().filter(|step| step.changed) {
        let (low, high) = step.usual.unwrap_or_default();
        let _ = writeln!(
            text,
            "CHANGED: {}: the last time is outside {low:.2} to {high:.2} × the estimate \
             (individuals chart of the earlier times)",
            step.action
        );
    }
    let odd: Vec<_> = comparison.odd().collect();
    if !odd.is_empty() {
        text.push_str("\nOUTLIERS, far from the usual time\n");
        for (line, one) in odd {
            let _ = writeln!(
                text,
                "{}, {}: {}, estimate {}",
                one.reference,
                line.action,
                format_duration(one.actual_s),
                format_duration(one.expected_s)
            );
        }
    }
    let left_out: usize = comparison.steps.iter().map(|step| step.left_out).sum();
    if left_out > 0 {
        let _ = write!(
            text,
            "\nLeft out: {left_out} step times without a reliable clock (the app was closed or the \
             clock changed during the step).\n"
        );
    }
    text
}

fn pace(pace: Option<f64>) -> String {
    pace.map_or("–".to_owned(), |pace| format!("{pace:.2}"))
}

const fn status(status: &Status) -> &'static str {
    match status {
        Status::NotOpened => "not opened",
        Status::Running => "running",
        Status::Paused(_) => "paused",
        Status::Closed { outcome, .. } => outcome.name(),
    }
}
