//! A visit as a report in plain text: what was done, what it took, what was
//! measured, what is still open.

use std::fmt::Write;

use crate::catalog::format::Reading;
use crate::job::{BlockedWay, Job, JobPhase, ReadingTaken, Status, Taken, TaskProgress, tally};
use crate::tongue::{plain, said, tr};

use super::name::stem;
use super::when::{local, long};

/// Name of the report's file: "TM-0001-perch-22.txt".
pub fn file_name(job: &Job) -> String {
    format!("{}.txt", stem(job, "visit"))
}

/// The report of a visit.
pub fn report(job: &Job) -> String {
    let mut text = String::new();
    head(&mut text, job);
    section(&mut text, &tr!("Tasks"), tasks(job));
    section(&mut text, &tr!("Time"), times(job));
    section(&mut text, &tr!("Changes of plan"), changes(job));
    section(&mut text, &tr!("Found on the way"), found(job));
    section(
        &mut text,
        &tr!("Checks"),
        job.readings.iter().map(reading).collect(),
    );
    section(&mut text, &tr!("Parts used up"), used(job));
    section(&mut text, &tr!("Fasteners"), fasteners(job));
    section(&mut text, &tr!("Still open"), open(job));
    section(&mut text, &tr!("Notes"), notes(job));
    section(
        &mut text,
        &tr!("About the clock and the log"),
        findings(job),
    );
    text
}

fn head(text: &mut String, job: &Job) {
    let Some(opened) = &job.opened else {
        text.push_str(&tr!(
            "VISIT REPORT\nThe event that opened this job is missing.\n"
        ));
        return;
    };
    let mut line = |name: &str, words: &str| {
        if !words.is_empty() {
            // Writing to a string does not fail.
            let _ = writeln!(text, "{name:<12}{words}");
        }
    };
    line(&tr!("VISIT REPORT"), "");
    line(&tr!("Job"), &opened.reference);
    line(&tr!("Unit"), &opened.unit.name);
    line(&tr!("Site"), &opened.site);
    line(&tr!("Technician"), &opened.technician);
    if let Some(at) = job.opened_at {
        line(&tr!("Opened"), &local(at.wall_ms, at.offset_min));
    }
    if let (Status::Closed { .. }, Some((_, at))) = (&job.status, job.head) {
        line(&tr!("Closed"), &local(at.wall_ms, at.offset_min));
    }
    line(&tr!("Outcome"), &outcome(&job.status));
    if let Some((to, note)) = &job.handed_over {
        let note = if note.is_empty() {
            String::new()
        } else {
            format!(": {note}")
        };
        line(&tr!("Handed to"), &format!("{to}{note}"));
    }
}

fn outcome(status: &Status) -> String {
    match status {
        Status::NotOpened => tr!("not opened"),
        Status::Running => tr!("still running"),
        Status::Paused(reason) => tr!("paused: {}", said(reason.name())),
        Status::Closed { outcome, note } if note.is_empty() => said(outcome.name()).into_owned(),
        Status::Closed { outcome, note } => format!("{}: {note}", said(outcome.name())),
    }
}

fn section(text: &mut String, title: &str, lines: Vec<String>) {
    if lines.is_empty() {
        return;
    }
    let _ = write!(text, "\n{}\n", title.to_uppercase());
    for line in lines {
        let _ = writeln!(text, "- {line}");
    }
}

fn tasks(job: &Job) -> Vec<String> {
    let tasks = job.tasks.iter().map(|task| {
        let state = match task.state {
            TaskProgress::Open => tr!("not done"),
            TaskProgress::Done => tr!("done"),
            TaskProgress::Dropped => tr!("dropped"),
            TaskProgress::LeftOpen => tr!("left for the next visit"),
        };
        format!("{} ({state})", task.task.words())
    });
    tasks.collect()
}

fn times(job: &Job) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(plan) = job.plans.first() {
        lines.push(tr!(
            "planned {} (four jobs of five within {})",
            long(plan.total_s),
            long(plan.band.p80_s)
        ));
    }
    lines.push(tr!("worked {}", long(seconds(job.worked_ms))));
    for phase in JobPhase::ALL {
        let done = || job.done.iter().filter(|done| done.step.phase == phase);
        let actual: f64 = done().map(|done| seconds(done.work_ms)).sum();
        let expected: f64 = done().map(|done| done.step.expected_s()).sum();
        if done().next().is_some() {
            lines.push(tr!(
                "{}: {} (planned {})",
                said(phase.name()),
                long(actual),
                long(expected)
            ));
        }
    }
    for pause in &job.pauses {
        let note = if pause.note.is_empty() {
            String::new()
        } else {
            format!(", {}", pause.note)
        };
        lines.push(tr!(
            "paused {}: {}{note}",
            long(seconds(pause.ms)),
            said(pause.reason.name()),
            note
        ));
    }
    lines
}

/// Each plan after the first: why it was made, and what was left then.
fn changes(job: &Job) -> Vec<String> {
    let later = job.plans.iter().skip(1);
    later
        .map(|plan| {
            let because = said(plan.because.name());
            tr!(
                "{because}: {} left, as planned",
                long(plan.total_s),
                because
            )
        })
        .collect()
}

/// Parts that were found broken, and ways that are blocked.
fn found(job: &Job) -> Vec<String> {
    let broken = job
        .broken
        .iter()
        .map(|part| tr!("{} is broken", said(&part.name)));
    let blocked = job.blocked.iter().map(BlockedWay::words);
    broken.chain(blocked).collect()
}

fn reading(reading: &ReadingTaken) -> String {
    let what = match &reading.asked {
        Some(Reading::Value { what, .. } | Reading::Seen(what)) => said(what).into_owned(),
        None => tr!("a check that the plan does not have"),
    };
    let taken = match (reading.taken, &reading.asked) {
        (
            Taken::Value(value),
            Some(Reading::Value {
                unit, low, high, ..
            }),
        ) => {
            format!("{} {} ({})", plain(value), said(unit), limits(*low, *high))
        }
        (Taken::Value(value), _) => plain(value),
        (Taken::Seen(true), _) => tr!("yes"),
        (Taken::Seen(false), _) => tr!("no"),
    };
    let passed = match reading.passed {
        Some(true) => tr!("passed"),
        Some(false) => tr!("FAILED"),
        None => tr!("cannot be judged"),
    };
    format!("{what}: {taken}, {passed}")
}

fn limits(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) => tr!("{low} to {high}", low = plain(low), high = plain(high)),
        (Some(low), None) => tr!("at least {low}", low = plain(low)),
        (None, Some(high)) => tr!("at most {high}", high = plain(high)),
        (None, None) => tr!("no limits"),
    }
}

fn used(job: &Job) -> Vec<String> {
    let mut all: Vec<(&str, &str, f64)> = Vec::new();
    for used in job.done.iter().flat_map(|done| &done.step.uses) {
        match all.iter_mut().find(|(name, ..)| *name == used.name) {
            Some((.., quantity)) => *quantity += used.quantity,
            None => all.push((&used.name, &used.unit, used.quantity)),
        }
    }
    let lines = all.iter();
    lines
        .map(|(name, unit, quantity)| {
            format!("{}: {} {}", said(name), plain(*quantity), said(unit))
        })
        .collect()
}

fn fasteners(job: &Job) -> Vec<String> {
    let tally = tally(job);
    let mut lines = Vec::new();
    let (mut out, mut back) = (0, 0);
    for set in &tally.sets {
        out += set.out;
        back += set.back;
        let events = [
            (set.lost, tr!("lost")),
            (set.stripped, tr!("could not be used again")),
            (set.spares, tr!("new")),
        ];
        for (count, what) in events.into_iter().filter(|(count, _)| *count > 0) {
            let of = &set.fasteners;
            lines.push(format!(
                "{}, {}: {count} {what}",
                said(&of.part_name),
                said(&of.name)
            ));
        }
    }
    if out > 0 || back > 0 {
        lines.insert(0, tr!("{out} out, {back} in", out, back));
    }
    for explained in &job.explained {
        lines.push(format!("{}: {}", explained.fastening, explained.note));
    }
    lines
}

fn open(job: &Job) -> Vec<String> {
    let tally = tally(job);
    let tasks = job
        .tasks
        .iter()
        .filter(|task| matches!(task.state, TaskProgress::Open | TaskProgress::LeftOpen));
    let mut lines: Vec<String> = tasks.map(|task| task.task.words()).collect();
    lines.extend(tally.unaccounted().iter().map(|one| one.words()));
    lines.extend(tally.left_empty());
    let failed = job
        .failed()
        .map(|one| tr!("check failed: {}", reading(one)));
    lines.extend(failed);
    let left = job.remaining.len();
    if left > 0 {
        lines.push(tr!("steps not done: {left}", left));
    }
    lines
}

fn notes(job: &Job) -> Vec<String> {
    let notes = job.notes.iter().map(|note| {
        let about = note.step.and_then(|number| job.step(number));
        let about = about.map_or(String::new(), |step| tr!(" (at “{}”)", said(&step.action)));
        format!(
            "{} {}{about}",
            local(note.at.wall_ms, note.at.offset_min),
            note.text
        )
    });
    notes.collect()
}

fn findings(job: &Job) -> Vec<String> {
    let findings = job.findings.iter();
    findings.map(|one| one.trouble.to_string()).collect()
}

fn seconds(ms: i64) -> f64 {
    ms as f64 / 1000.0
}
