//! The report of a visit in plain text: what was done, how long it took, what was
//! measured, and what is still open.

use std::fmt::Write;

use lidoff_catalog::format::{FasteningId, Reading};
use lidoff_i18n::{localize, plain, tr};
use lidoff_job::{
    BlockedOperation, Job, JobPhase, NoteTaken, Owed, PhotoTaken, ReadingTaken, SetTally, Status,
    Taken, Tally, TaskProgress, UnavailablePart, ValueRecorded, fold::describe_record, tally,
};

use super::name::stem;
use super::when::{format_duration, format_local_time};

/// Name of the report's file: "TM-0001-perch-22.txt".
pub fn file_name(job: &Job) -> String {
    format!("{}.txt", stem(job, "visit"))
}

/// The report of a visit.
pub fn report(job: &Job) -> String {
    let mut text = String::new();
    for (name, words) in head(job) {
        // Writing to a string does not fail.
        let _ = writeln!(text, "{}", format!("{name:<12}{words}").trim_end());
    }
    for (title, lines) in sections(job) {
        let _ = write!(text, "\n{}\n", title.to_uppercase());
        for line in lines {
            let _ = writeln!(text, "- {line}");
        }
    }
    text
}

/// Each section that has something to say: its title, its lines.
pub(super) fn sections(job: &Job) -> Vec<(String, Vec<String>)> {
    let mut all = vec![
        (tr!("Tasks"), tasks(job)),
        (tr!("Time"), times(job)),
        (tr!("Plan changes"), changes(job)),
        (tr!("Problems found"), problems(job)),
        (
            tr!("Checks"),
            job.readings.iter().map(|one| reading(job, one)).collect(),
        ),
        (tr!("Recorded values"), values(job)),
        (tr!("Consumables used"), used(job)),
        (tr!("Fasteners"), fasteners(job)),
        (tr!("Old parts"), old_parts(job)),
        (tr!("Still open"), still_open(job)),
        (tr!("Notes"), notes(job, &job.notes)),
        (
            tr!("For the catalog author"),
            notes(job, &job.catalog_notes),
        ),
        (tr!("Photos"), photos(job)),
        (tr!("Irregularities"), findings(job)),
    ];
    all.retain(|(_, lines)| !lines.is_empty());
    all
}

/// The head: labels and values.
pub(super) fn head(job: &Job) -> Vec<(String, String)> {
    let mut lines = vec![(tr!("VISIT REPORT"), String::new())];
    let Some(opened) = &job.opened else {
        let missing = tr!("The event that opened this job is missing.");
        lines.push((missing, String::new()));
        return lines;
    };
    let mut line = |name: String, words: &str| {
        if !words.is_empty() {
            lines.push((name, words.to_owned()));
        }
    };
    line(tr!("Job"), &opened.reference);
    line(tr!("Unit"), &opened.unit.name);
    line(tr!("Site"), &opened.site);
    line(tr!("Technician"), &opened.technician);
    if let Some(at) = job.opened_at {
        line(tr!("Opened"), &format_local_time(at.wall_ms, at.offset_min));
    }
    if let (Status::Closed { .. }, Some((_, at))) = (&job.status, job.head) {
        line(tr!("Closed"), &format_local_time(at.wall_ms, at.offset_min));
    }
    line(tr!("Outcome"), &outcome(&job.status));
    if let Some((to, note)) = &job.handed_over {
        let note = if note.is_empty() {
            String::new()
        } else {
            format!(": {note}")
        };
        line(tr!("Handed to"), &format!("{to}{note}"));
    }
    lines
}

fn outcome(status: &Status) -> String {
    match status {
        Status::NotOpened => tr!("not opened"),
        Status::Running => tr!("still running"),
        Status::Paused(reason) => tr!("paused: {}", localize(reason.name())),
        Status::Closed { outcome, note } if note.is_empty() => {
            localize(outcome.name()).into_owned()
        }
        Status::Closed { outcome, note } => format!("{}: {note}", localize(outcome.name())),
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
        format!("{} ({state})", task.task.describe())
    });
    tasks.collect()
}

fn times(job: &Job) -> Vec<String> {
    let mut lines = Vec::new();
    if let Some(plan) = job.plans.first() {
        lines.push(tr!(
            "planned {} (8 in 10 within {})",
            format_duration(plan.total_s),
            format_duration(plan.band.p80_s)
        ));
    }
    lines.push(tr!("worked {}", format_duration(seconds(job.worked_ms))));
    for phase in JobPhase::ALL {
        let done = || job.done.iter().filter(|done| done.step.phase == phase);
        let actual: f64 = done().map(|done| seconds(done.work_ms)).sum();
        let expected: f64 = done().map(|done| done.step.expected_s()).sum();
        if done().next().is_some() {
            lines.push(tr!(
                "{}: {} (planned {})",
                localize(phase.name()),
                format_duration(actual),
                format_duration(expected)
            ));
        }
    }
    for pause in &job.pauses {
        let note = match pause.describe_note() {
            note if note.is_empty() => note,
            note => format!(", {note}"),
        };
        lines.push(tr!(
            "paused {}: {}{note}",
            format_duration(seconds(pause.ms)),
            localize(pause.reason.name()),
            note
        ));
    }
    lines
}

/// Each plan after the first: why it was made, and the remaining time then.
fn changes(job: &Job) -> Vec<String> {
    let later = job.plans.iter().skip(1);
    later
        .map(|plan| {
            let because = localize(plan.because.name());
            tr!(
                "{because}: planned time left {}",
                format_duration(plan.total_s),
                because
            )
        })
        .collect()
}

/// Parts that were left out, dangers, parts that were broken or not available, blocked routes,
/// and waits that were ended early.
pub fn problems(job: &Job) -> Vec<String> {
    let dangers = job.dangers.iter().map(|found| {
        let danger = tr!("danger: {what}", what = localize(found.danger.name()));
        match found.note.as_str() {
            "" => danger,
            note => format!("{danger} ({note})"),
        }
    });
    let broken = job.broken.iter();
    let broken = broken.map(|part| tr!("{part} is broken", part = localize(&part.name)));
    let blocked = job.blocked.iter().map(BlockedOperation::describe);
    let lacks = job.unavailable_parts.iter().map(UnavailablePart::describe);
    let cut = job.cut_short.iter().map(|one| {
        let mut steps = job.done.iter().map(|done| &done.step);
        let wait = steps.find_map(|step| step.starts_wait.as_ref().filter(|w| w.id == one.wait));
        let wait = wait.map_or(one.wait.as_str(), |wait| wait.text.as_str());
        tr!(
            "wait ended early: {wait} ({why})",
            wait = localize(wait),
            why = one.why
        )
    });
    let out_of_use = job.left_out_names();
    let out_of_use = out_of_use.map(|part| {
        let part = localize(part);
        tr!("out of use: closed without {part}", part)
    });
    out_of_use
        .chain(dangers)
        .chain(broken)
        .chain(blocked)
        .chain(lacks)
        .chain(cut)
        .collect()
}

/// Each value that was written down: "Serial number of the drive (old part): AB-1234".
pub fn values(job: &Job) -> Vec<String> {
    let values = job.values();
    let line = |one: &ValueRecorded| {
        let what = describe_record(&one.record);
        format!("{what}: {}", one.describe())
    };
    values.map(line).collect()
}

fn reading(job: &Job, reading: &ReadingTaken) -> String {
    let what = match &reading.asked {
        Some(Reading::Value { what, .. } | Reading::Seen(what)) => localize(what).into_owned(),
        None => tr!("a check that is not in the plan"),
    };
    let taken = match (reading.taken, &reading.asked) {
        (
            Taken::Value(value),
            Some(Reading::Value {
                unit, low, high, ..
            }),
        ) => {
            format!(
                "{} {} ({})",
                plain(value),
                localize(unit),
                limits(*low, *high)
            )
        }
        (Taken::Value(value), _) => plain(value),
        (Taken::Seen(true), _) => tr!("yes"),
        (Taken::Seen(false), _) => tr!("no"),
    };
    let accepted = job.failure_kept(reading.step);
    let passed = match (reading.passed, accepted) {
        (Some(true), _) => tr!("passed"),
        (Some(false), Some(note)) if note.is_empty() => tr!("FAILED, not corrected"),
        (Some(false), Some(note)) => tr!("FAILED, not corrected: {note}", note = note),
        (Some(false), None) => tr!("FAILED"),
        (None, _) => tr!("cannot be judged"),
    };
    format!("{what}: {taken}, {passed}")
}

fn limits(low: Option<f64>, high: Option<f64>) -> String {
    match (low, high) {
        (Some(low), Some(high)) if low == high => tr!("exactly {value}", value = plain(low)),
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
            format!(
                "{}: {} {}",
                localize(name),
                plain(*quantity),
                localize(unit)
            )
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
            (set.stripped, tr!("not reusable")),
            (set.spares, tr!("new")),
        ];
        for (count, what) in events.into_iter().filter(|(count, _)| *count > 0) {
            let of = &set.fasteners;
            lines.push(format!(
                "{}, {}: {count} {what}",
                localize(&of.part_name),
                of.describe_kind()
            ));
        }
    }
    if out > 0 || back > 0 {
        lines.insert(0, tr!("{out} removed, {back} refitted", out, back));
    }
    lines.extend(reasons(job, &tally));
    lines
}

/// The reasons given for differences in the tally.
pub fn reasons(job: &Job, tally: &Tally) -> Vec<String> {
    let mut lines = Vec::new();
    let name = |fastening: &FasteningId| {
        let set = tally.set(fastening);
        set.map_or_else(|| fastening.0.clone(), SetTally::name)
    };
    for gone in job.lost.iter().chain(&job.stripped) {
        if !gone.note.is_empty() {
            lines.push(format!("{}: {}", name(&gone.fastening), gone.note));
        }
    }
    for explained in &job.explained {
        lines.push(format!(
            "{}: {}",
            name(&explained.fastening),
            explained.note
        ));
    }
    for (owed, note) in &job.accounted {
        let what = match owed {
            Owed::OldPart { .. } => continue,
            Owed::Gone { fastening, .. } | Owed::Strange(fastening) => name(fastening),
            Owed::Cable(id) => {
                let mut cables = job.done.iter().flat_map(|done| &done.step.unplug);
                let cable = cables.find(|cable| cable.connection == *id);
                cable.map_or_else(|| id.0.clone(), |cable| localize(&cable.cable).into_owned())
            }
            Owed::HandBack(id) => {
                let steps = job.done.iter().map(|done| &done.step);
                let mut pieces = steps
                    .chain(&job.remaining)
                    .filter_map(|s| s.hand_back.as_ref());
                let piece = pieces.find(|piece| piece.id == *id);
                piece.map_or_else(|| id.0.clone(), |piece| localize(&piece.name).into_owned())
            }
        };
        lines.push(format!("{what}: {note}"));
    }
    lines
}

/// What had to be done with each old part: done, or why not.
fn old_parts(job: &Job) -> Vec<String> {
    let duties = job.duties().map(|old| {
        let state = match (job.handled(old), job.reason_not_handled(old)) {
            (Some(_), _) => tr!("done"),
            (None, Some(why)) => tr!("not done: {why}", why = why),
            (None, None) => tr!("not done"),
        };
        format!("{} ({state})", old.describe())
    });
    duties.collect()
}

fn still_open(job: &Job) -> Vec<String> {
    let tally = tally(job);
    let tasks = job
        .tasks
        .iter()
        .filter(|task| matches!(task.state, TaskProgress::Open | TaskProgress::LeftOpen));
    let mut lines: Vec<String> = tasks.map(|task| task.task.describe()).collect();
    lines.extend(tally.unaccounted().iter().map(|one| one.describe()));
    lines.extend(tally.left_empty());
    let failed = job
        .failed()
        .map(|one| tr!("check failed: {check}", check = reading(job, one)));
    lines.extend(failed);
    let left = job.remaining.len();
    if left > 0 {
        lines.push(tr!("steps not done: {left}", left));
    }
    lines
}

fn notes(job: &Job, notes: &[NoteTaken]) -> Vec<String> {
    let line = |note: &NoteTaken| {
        let about = at_step(job, note.step);
        format!(
            "{} {}{about}",
            format_local_time(note.at.wall_ms, note.at.offset_min),
            note.text
        )
    };
    notes.iter().map(line).collect()
}

/// Each photo by its name; the pictures are in the report as a page.
fn photos(job: &Job) -> Vec<String> {
    let photos = job.photos.iter().map(|one| describe_photo(job, one));
    photos.collect()
}

/// "photo-3, 2026-11-25 14:05 (at “Lift the lid off”)".
pub(super) fn describe_photo(job: &Job, one: &PhotoTaken) -> String {
    let when = format_local_time(one.at.wall_ms, one.at.offset_min);
    format!("{}, {when}{}", one.photo.name, at_step(job, one.photo.step))
}

/// " (at “Lift the lid off”)", if there is such a step.
fn at_step(job: &Job, number: Option<u32>) -> String {
    let step = number.and_then(|number| job.step(number));
    step.map_or(String::new(), |step| {
        format!(" {}", tr!("(at “{step}”)", step = localize(&step.action)))
    })
}

fn findings(job: &Job) -> Vec<String> {
    let findings = job.findings.iter();
    findings.map(|one| one.irregularity.to_string()).collect()
}

fn seconds(ms: i64) -> f64 {
    ms as f64 / 1000.0
}
