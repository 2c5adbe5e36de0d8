//! The steps of a job in the groups of the plan screen, one for each phase in turn.

use lidoff_catalog::format::{Demand, Text};
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, JobPhase, PlannedStep};

use super::display::{format_clock, format_duration};
use super::speech::demand_words;

/// Number of parts that a group names: as many as fit one line of a phone.
const SHOWN_PARTS: usize = 2;

/// A row of the list of steps.
#[derive(Clone, Debug, PartialEq)]
pub struct StepRow {
    /// The step.
    pub step: PlannedStep,
    /// Its actual time, ms, if it is done.
    pub actual_ms: Option<i64>,
    /// Whether it is the current step.
    pub is_here: bool,
    /// Number of the step that has its reason: all steps of an operation share one.
    pub reason: u32,
}

/// The key of a row: if it changes, the row is drawn again.
type RowKey = (u32, Text, Option<i64>, bool, u32, i64, [bool; 2]);

impl StepRow {
    /// What distinguishes it from other rows and from its own earlier states.
    pub fn key(&self) -> RowKey {
        let step = &self.step;
        (
            step.number,
            step.action.clone(),
            self.actual_ms,
            self.is_here,
            self.reason,
            self.expected_ms(),
            [step.turn, step.tool_change],
        )
    }

    fn expected_ms(&self) -> i64 {
        (self.step.expected_s() * 1000.0) as i64
    }

    /// Its time: the estimate, or once it is done "0:40 of 0:35".
    pub fn time(&self) -> Text {
        match self.actual_ms {
            Some(ms) => tr!(
                "{} of {}",
                format_clock(ms),
                format_clock(self.expected_ms())
            ),
            None => format_duration(self.step.expected_s()),
        }
    }

    /// What must change before it, and how many people it takes: "turn to: back · take: T20".
    pub fn changes(&self) -> Text {
        let step = &self.step;
        let mut changes = Vec::new();
        if let Some(face) = step.face.as_deref().filter(|_| step.turn) {
            changes.push(tr!("turn to: {}", localize(face)));
        }
        if let Some(tool) = step.tool.as_deref().filter(|_| step.tool_change) {
            changes.push(tr!("take: {}", localize(tool)));
        }
        if step.people > 1 {
            changes.push(demand_words(&Demand::People(step.people)));
        }
        changes.join(" · ")
    }
}

/// Steps of one phase that follow each other.
#[derive(Clone, Debug, PartialEq)]
pub struct StepGroup {
    /// The phase.
    pub phase: JobPhase,
    /// Its steps.
    pub rows: Vec<StepRow>,
}

impl StepGroup {
    /// Whether the current step is in it.
    pub fn is_here(&self) -> bool {
        self.rows.iter().any(|row| row.is_here)
    }

    /// Whether all of its steps are done.
    pub fn is_done(&self) -> bool {
        self.rows.iter().all(|row| row.actual_ms.is_some())
    }

    /// The parts that it is about: "Lower cover, Receipt printer, +2".
    pub fn about(&self) -> Text {
        let mut names: Vec<&str> = Vec::new();
        for row in &self.rows {
            let about = row.step.about.as_deref();
            let about = about.filter(|name| row.step.op.is_some() && !names.contains(name));
            names.extend(about);
        }
        let shown = names.iter().take(SHOWN_PARTS).map(|name| localize(name));
        let mut shown: Vec<_> = shown.collect();
        if names.len() > SHOWN_PARTS {
            shown.push(format!("+{}", names.len() - SHOWN_PARTS).into());
        }
        shown.join(", ")
    }

    /// "12 steps, 14 min", once begun "12 steps, 14 min · 3 done".
    pub fn describe(&self) -> Text {
        let planned_s: f64 = self.rows.iter().map(|row| row.step.expected_s()).sum();
        let steps = tr!("{n} step" | "{n} steps" % self.rows.len());
        let mut words = format!("{steps}, {}", format_duration(planned_s));
        let done = self.rows.iter().filter(|row| row.actual_ms.is_some());
        let done = done.count();
        if done > 0 {
            words.push_str(" · ");
            words.push_str(&tr!("{done} done", done));
        }
        words
    }
}

/// The steps that are done and those to come, phase by phase.
pub fn step_groups(job: &Job) -> Vec<StepGroup> {
    let here = job.next().map(|step| step.number);
    let done = job.done.iter().map(|done| (&done.step, Some(done.work_ms)));
    let all = done.chain(job.remaining.iter().map(|step| (step, None)));
    let mut before: Option<&PlannedStep> = None;
    let mut reason = 0;
    let mut groups: Vec<StepGroup> = Vec::new();
    for (step, actual_ms) in all {
        if step.has_own_reason(before) {
            reason = step.number;
        }
        let row = StepRow {
            step: step.clone(),
            actual_ms,
            is_here: here == Some(step.number),
            reason,
        };
        before = Some(step);
        match groups.last_mut() {
            Some(group) if group.phase == step.phase => group.rows.push(row),
            _ => groups.push(StepGroup {
                phase: step.phase,
                rows: vec![row],
            }),
        }
    }
    groups
}

#[cfg(test)]
mod tests {
    use super::*;
    use lidoff_testkit::demo;
    use lidoff_testkit::visit::{Visit, replace};

    fn job_after(steps: usize) -> Job {
        let catalog = demo::perch();
        let mut visit = Visit::begin(&catalog, &[replace("psu")]);
        for _ in 0..steps {
            visit.do_one();
        }
        visit.job()
    }

    #[test]
    fn the_phases_of_a_job_follow_each_other_and_one_has_the_current_step() {
        let job = job_after(0);
        let groups = step_groups(&job);
        let phases = |at: usize| groups[at].phase;
        assert_eq!(phases(0), JobPhase::MakeSafe);
        assert!((1..groups.len()).all(|at| phases(at) != phases(at - 1)));
        assert_eq!(groups.iter().filter(|group| group.is_here()).count(), 1);
        let steps: usize = groups.iter().map(|group| group.rows.len()).sum();
        assert_eq!(steps, job.remaining.len());
        assert!(!groups[0].describe().contains("done"));
        assert_eq!(groups[0].about(), "");
        let strip_down = groups
            .iter()
            .find(|group| group.phase == JobPhase::StripDown);
        let about = strip_down.expect("a group").about();
        assert!(about.starts_with("Service door"), "{about}");
    }

    #[test]
    fn a_phase_says_how_many_of_its_steps_are_done() {
        let groups = step_groups(&job_after(2));
        assert!(groups[0].describe().ends_with(" · 2 done"));
        assert!(!groups[0].is_done());
        assert!(groups[0].rows[1].time().contains(" of "));
    }

    #[test]
    fn the_steps_of_an_operation_share_the_reason_of_its_first_step() {
        let groups = step_groups(&job_after(0));
        for row in groups.iter().flat_map(|group| &group.rows) {
            assert!(row.reason <= row.step.number);
            assert!(row.step.nth == 1 || row.step.op.is_none() || row.reason < row.step.number);
        }
    }
}
