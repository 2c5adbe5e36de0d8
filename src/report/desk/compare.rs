//! Actual against estimated: per step, per phase, per job.
//!
//! *Pace* is actual ÷ estimated. The estimate of a step is what the clock should have
//! shown: work, tool change, turn and waiting. A time is *odd* if its log is more than
//! three standard deviations from the usual: from the median of that step if there are
//! [`ENOUGH`] times of it, otherwise from the estimate. The deviation combines that of
//! the step's own estimate with the spread that a whole job shares ([`JOB_LOG_SD`]).

use std::collections::BTreeMap;

use lidoff_catalog::format::{StepId, Text};
use lidoff_catalog::insertion_sort;
use lidoff_estimate::band::JOB_LOG_SD;
use lidoff_i18n::tr_noop;
use lidoff_job::{Job, JobId, JobPhase, Log, QuarantinedRecord, Status, ValueRecorded, fold};

use super::stats::median;
use super::xmr::ControlLimits;

/// Number of excluded times: the app was closed meanwhile, or a clock ran backwards.
pub const ENOUGH: usize = 5;

/// The text shown if there is nothing to compare.
pub const NO_JOBS: &str = tr_noop!(
    "No jobs yet. Share a job from the device it was done on, then load it here to compare \
     planned and actual times."
);

/// Many jobs, compared.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// Each job, in the order of opening.
    pub jobs: Vec<JobLine>,
    /// Each phase of each unit in which a step was done.
    pub phases: Vec<PhaseLine>,
    /// All steps done, the largest overrun first.
    pub steps: Vec<StepLine>,
    /// The values that were written down, in the order of the jobs.
    pub values: Vec<ValueLine>,
}

/// A value that was written down on a job.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ValueLine {
    pub job: JobId,
    pub reference: Text,
    /// Id of the unit.
    pub unit: String,
    /// The record and the value.
    pub value: ValueRecorded,
}

/// One job.
#[derive(Clone, Debug, PartialEq)]
pub struct JobLine {
    pub job: JobId,
    pub reference: Text,
    /// Name of the unit.
    pub unit: Text,
    /// When it was opened: wall clock, ms; and local time less UTC, minutes.
    pub opened: (i64, i16),
    /// Its outcome, or that it is still open.
    pub status: Status,
    /// Work, s.
    pub worked_s: f64,
    /// Pauses, s.
    pub paused_s: f64,
    /// Estimate of the first plan, s; `None` if there was none.
    pub planned_s: Option<f64>,
    /// Estimate of the completed steps, s.
    pub expected_s: f64,
    /// Actual time of the completed steps, s.
    pub actual_s: f64,
    /// Number of steps that were done.
    pub steps: usize,
    /// Number of plans made after the first.
    pub replans: usize,
}

impl JobLine {
    /// Actual ÷ estimated time of the completed steps.
    pub fn pace(&self) -> Option<f64> {
        ratio(self.actual_s, self.expected_s)
    }
}

/// One phase of one unit, over all jobs.
#[derive(Clone, Debug, PartialEq)]
pub struct PhaseLine {
    /// Id of the unit.
    pub unit: String,
    pub phase: JobPhase,
    /// Number of jobs.
    pub jobs: usize,
    /// Estimate of all steps, s.
    pub expected_s: f64,
    /// Actual time of all steps, s.
    pub actual_s: f64,
}

impl PhaseLine {
    /// Actual ÷ estimated.
    pub fn pace(&self) -> Option<f64> {
        ratio(self.actual_s, self.expected_s)
    }
}

/// One step of one unit, over all jobs.
#[derive(Clone, Debug, PartialEq)]
pub struct StepLine {
    /// Id of the unit.
    pub unit: String,
    pub step: StepId,
    /// Its action.
    pub action: Text,
    /// Each time it was done, in the order of the jobs.
    pub times: Vec<Observation>,
    /// Number of times that were left out: the app was closed in between, or a
    /// clock ran backwards.
    pub left_out: usize,
    /// Median of the actual times, s.
    pub median_s: Option<f64>,
    /// Median of actual ÷ estimated.
    pub pace: Option<f64>,
    /// The usual range of the pace, from an individuals chart of the logs; `None` if there
    /// are fewer than [`ENOUGH`] times before the last one.
    pub usual: Option<(f64, f64)>,
    /// Whether the last time is outside that range: the step may have changed.
    pub changed: bool,
}

/// A step, done once.
#[derive(Clone, Debug, PartialEq)]
pub struct Observation {
    pub job: JobId,
    pub reference: Text,
    /// Expected, s.
    pub expected_s: f64,
    /// Log standard deviation of the estimate.
    pub log_sd: f64,
    /// Actual, s.
    pub actual_s: f64,
    /// Whether it is far from the usual.
    pub odd: bool,
}

impl Observation {
    /// Actual ÷ estimated.
    pub fn pace(&self) -> f64 {
        self.actual_s / self.expected_s
    }
}

impl StepLine {
    /// Total overrun of the step over all times, s.
    pub fn over_s(&self) -> f64 {
        let over = self.times.iter().map(|one| one.actual_s - one.expected_s);
        over.sum()
    }

    /// Checks the last time against the limits given by the earlier ones.
    fn chart(&mut self, paces: &[f64]) {
        let logs: Vec<f64> = paces.iter().map(|pace| pace.ln()).collect();
        let Some((last, before)) = logs.split_last().filter(|(_, them)| them.len() >= ENOUGH)
        else {
            return;
        };
        if let Some(limits) = ControlLimits::from_values(before) {
            self.usual = Some((limits.low.exp(), limits.high.exp()));
            self.changed = limits.is_outside(*last);
        }
    }

    /// Marks the times that are far from the usual.
    fn mark(&mut self) {
        let paces: Vec<f64> = self.times.iter().map(Observation::pace).collect();
        self.pace = median(&paces);
        let actual: Vec<f64> = self.times.iter().map(|one| one.actual_s).collect();
        self.median_s = median(&actual);
        self.chart(&paces);
        let usual = match self.pace {
            Some(pace) if paces.len() >= ENOUGH => pace.ln(),
            _ => 0.0,
        };
        for one in &mut self.times {
            one.odd = (one.pace().ln() - usual).abs() > 3.0 * one.log_sd;
        }
    }
}

impl Comparison {
    /// Whether there is nothing to compare.
    pub fn is_empty(&self) -> bool {
        self.jobs.is_empty()
    }

    /// All times that are far from the usual, each with its step.
    pub fn odd(&self) -> impl Iterator<Item = (&StepLine, &Observation)> {
        self.steps.iter().flat_map(|line| {
            let odd = line.times.iter().filter(|one| one.odd);
            odd.map(move |one| (line, one))
        })
    }
}

fn ratio(actual_s: f64, expected_s: f64) -> Option<f64> {
    (expected_s > 0.0).then(|| actual_s / expected_s)
}

/// Merges logs of the same job. The jobs are returned in order of their ids, which is the
/// order of opening, together with the records that could not be merged.
pub fn gather(logs: impl IntoIterator<Item = Log>) -> (Vec<(JobId, Job)>, Vec<QuarantinedRecord>) {
    let mut all: BTreeMap<JobId, Log> = BTreeMap::new();
    let mut quarantined = Vec::new();
    for log in logs {
        let here = all
            .entry(log.job().clone())
            .or_insert_with_key(|job| Log::new(job.clone()));
        quarantined.extend(here.merge(log));
    }
    let folded = all.into_iter().map(|(job, log)| (job, fold(&log)));
    (folded.collect(), quarantined)
}

/// Compares jobs. A job whose opening event is missing has no unit and is left out.
///
/// ```
/// use lidoff_catalog::setup::Configuration;
/// use lidoff_job::{EventKind, JobId, Log, Opened, Stamp, UnitRef};
/// use lidoff_report::desk::{compare, gather};
///
/// let mut log = Log::new(JobId("job-1".into()));
/// let event = log.draft(Stamp::default(), EventKind::Opened(Opened {
///     unit: UnitRef { id: "perch-22".into(), name: "Perch 22".into(), revision: "1".into() },
///     reference: "TM-0001".into(),
///     site: String::new(),
///     technician: String::new(),
///     setup: Configuration::default(),
///     tasks: Vec::new(),
///     leave_by_ms: None,
///     follows: None,
/// }));
/// log.append(event).unwrap();
///
/// // The same log twice is one job.
/// let (jobs, not_merged) = gather([log.clone(), log]);
/// assert!(not_merged.is_empty());
/// let comparison = compare(&jobs);
/// assert_eq!(comparison.jobs.len(), 1);
/// assert_eq!(comparison.jobs[0].reference, "TM-0001");
/// // Nothing was done, so there is no pace.
/// assert_eq!(comparison.jobs[0].pace(), None);
/// ```
pub fn compare(jobs: &[(JobId, Job)]) -> Comparison {
    let mut lines = Vec::new();
    let mut values = Vec::new();
    let mut phases: BTreeMap<(String, JobPhase), PhaseLine> = BTreeMap::new();
    let mut steps: BTreeMap<(String, StepId), StepLine> = BTreeMap::new();
    for (id, job) in jobs {
        let Some(line) = job_line(id, job) else {
            continue;
        };
        let unit = job.opened.as_ref().map_or("", |opened| &opened.unit.id);
        values.extend(job.values().map(|value| ValueLine {
            job: id.clone(),
            reference: line.reference.clone(),
            unit: unit.to_owned(),
            value: value.clone(),
        }));
        let mut seen = Vec::new();
        for done in &job.done {
            let expected_s = done.step.expected_s();
            let actual_s = seconds(done.work_ms);
            let phase = done.step.phase;
            let of_phase = phases
                .entry((unit.to_owned(), phase))
                .or_insert_with(|| PhaseLine {
                    unit: unit.to_owned(),
                    phase,
                    jobs: 0,
                    expected_s: 0.0,
                    actual_s: 0.0,
                });
            let of_step = steps
                .entry((unit.to_owned(), done.step.step.clone()))
                .or_insert_with(|| StepLine {
                    unit: unit.to_owned(),
                    step: done.step.step.clone(),
                    action: done.step.action.clone(),
                    times: Vec::new(),
                    left_out: 0,
                    median_s: None,
                    pace: None,
                    usual: None,
                    changed: false,
                });
            if !(done.is_reliable && expected_s > 0.0 && actual_s > 0.0) {
                of_step.left_out += 1;
                continue;
            }
            if !seen.contains(&phase) {
                seen.push(phase);
                of_phase.jobs += 1;
            }
            of_phase.expected_s += expected_s;
            of_phase.actual_s += actual_s;
            of_step.times.push(Observation {
                job: id.clone(),
                reference: line.reference.clone(),
                expected_s,
                log_sd: log_sd(
                    done.step.estimates().iter().map(|one| one.variance()).sum(),
                    expected_s,
                ),
                actual_s,
                odd: false,
            });
        }
        lines.push(line);
    }
    let mut steps: Vec<StepLine> = steps.into_values().collect();
    for line in &mut steps {
        line.mark();
    }
    insertion_sort(&mut steps, |one, next| one.over_s() < next.over_s());
    insertion_sort(&mut lines, |one, next| {
        (one.opened.0, &one.job) > (next.opened.0, &next.job)
    });
    Comparison {
        values,
        jobs: lines,
        phases: phases.into_values().collect(),
        steps,
    }
}

/// Log standard deviation of a lognormal with this variance (s²) and mean (s), including
/// the spread that a whole job shares.
fn log_sd(variance: f64, mean: f64) -> f64 {
    (1.0 + variance / (mean * mean))
        .ln()
        .sqrt()
        .hypot(JOB_LOG_SD)
}

fn job_line(id: &JobId, job: &Job) -> Option<JobLine> {
    let opened = job.opened.as_ref()?;
    let sure = || job.done.iter().filter(|done| done.is_reliable);
    let at = job.opened_at?;
    Some(JobLine {
        job: id.clone(),
        reference: opened.reference.clone(),
        unit: opened.unit.name.clone(),
        opened: (at.wall_ms, at.offset_min),
        status: job.status.clone(),
        worked_s: seconds(job.worked_ms),
        paused_s: job.pauses.iter().map(|pause| seconds(pause.ms)).sum(),
        planned_s: job.plans.first().map(|plan| plan.total_s),
        expected_s: sure().map(|done| done.step.expected_s()).sum(),
        actual_s: sure().map(|done| seconds(done.work_ms)).sum(),
        steps: job.done.len(),
        replans: job.plans.len().saturating_sub(1),
    })
}

fn seconds(ms: i64) -> f64 {
    ms as f64 / 1000.0
}
