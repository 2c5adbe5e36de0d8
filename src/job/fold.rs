//! What a log adds up to.
//!
//! [`fold`] reads the events in order and never fails: what makes no sense is
//! kept as a [`Finding`]. An event that was undone counts as never having
//! happened, except that the clocks in its stamp are still read.
//!
//! # Time
//!
//! The span between one event and the next belongs to whatever was going on: to
//! the step in hand while work runs, to the pause while it is paused, to nobody
//! before the job and after it. A span over a new start of the app
//! ([`SpanKind::NewRun`]) is counted as work only when it is short or when a
//! [`What::Gap`] says so.

use crate::catalog::format::{
    AnswerId, FasteningId, Hazard, HazardId, OptionId, QuestionId, Reading, StepId, Text, WaitId,
};
use crate::catalog::setup::SaidSetup;
use crate::time::Band;

use super::event::{
    BlockedWay, Event, EventId, Lack, Mishap, NotToHand, Opened, Outcome, Owed, PauseReason, Photo,
    Reason, Taken, What,
};
use super::finding::{Finding, Trouble};
use super::log::Log;
use super::planned::{PlanSnapshot, PlannedStep};
use super::said::{NamedTask, SaidOp, SaidTask};
use super::stamp::{Span, SpanKind, Stamp, between};

/// A new start of the app that takes no longer than this is part of the work (a
/// reload, an update); a longer one is asked about, ms. Common practice, no
/// source.
pub const SHORT_GAP_MS: i64 = 60_000;

/// A job as it stands.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Job {
    /// How it began; `None` where that event is missing.
    pub opened: Option<Opened>,
    /// When it began.
    pub opened_at: Option<Stamp>,
    /// What is going on.
    pub status: Status,
    /// Every task that was ever asked for, in order.
    pub tasks: Vec<TaskState>,
    /// Options, and the answers given so far.
    pub setup: SaidSetup,
    /// When the technician must leave: wall clock, ms.
    pub leave_by_ms: Option<i64>,
    /// The plan as it stood when it was made, the latest.
    pub plan: Option<PlanSnapshot>,
    /// Each plan that was made, in order, without its steps.
    pub plans: Vec<PlanMade>,
    /// Set where tasks, answers, options or ways have changed since the plan was
    /// made.
    pub replan_due: Option<Reason>,
    /// Ways out that cannot be gone on this unit.
    pub blocked: Vec<BlockedWay>,
    /// Parts that were found broken, each named by the task of replacing it.
    pub broken: Vec<NamedTask>,
    /// Parts that were not to hand, the latest word on each.
    pub not_to_hand: Vec<NotToHand>,
    /// Every hazard that a plan of the job has named.
    pub hazards: Vec<Hazard>,
    /// Steps that are done, in the order of doing.
    pub done: Vec<DoneStep>,
    /// Steps still to be done; the first is in hand.
    pub remaining: Vec<PlannedStep>,
    /// Hazards that were acknowledged, with the step before which.
    pub heeded: Vec<(HazardId, u32)>,
    /// Demands of hazards that were met one by one.
    pub met: Vec<DemandMet>,
    /// Waits that a hazard demands and that were begun by hand: when, as time
    /// since the first event, ms.
    pub waits_begun: Vec<(HazardId, i64)>,
    /// Waits that were not waited out.
    pub cut_short: Vec<CutShort>,
    /// Steps whose demand was confirmed.
    pub confirmed: Vec<u32>,
    /// Checks that were read, in order; of several on one step the last governs.
    pub readings: Vec<ReadingTaken>,
    /// Checks that did not pass and were left at that: number of the step, and
    /// more on it.
    pub failures_kept: Vec<(u32, Text)>,
    /// Fasteners that cannot be found.
    pub lost: Vec<Mishap>,
    /// Fasteners that were discarded.
    pub stripped: Vec<Mishap>,
    /// New fasteners that were brought in.
    pub spares: Vec<Mishap>,
    /// The same three together, in order, each with its event.
    pub mishaps: Vec<MishapNoted>,
    /// Differences in the tally that have a reason.
    pub explained: Vec<Explanation>,
    /// What else of the tally has a reason.
    pub accounted: Vec<(Owed, Text)>,
    /// Notes.
    pub notes: Vec<NoteTaken>,
    /// Notes for the catalog's author.
    pub catalog_notes: Vec<NoteTaken>,
    /// Photos, in the order of taking.
    pub photos: Vec<PhotoTaken>,
    /// To whom the unit was given back, and what was said.
    pub handed_over: Option<(Text, Text)>,
    /// Pauses, in order; the last is running while the job is paused.
    pub pauses: Vec<Pause>,
    /// Work up to the last event, ms.
    pub worked_ms: i64,
    /// That part of it that belongs to no step (before the first plan, at the
    /// wrap-up), ms.
    pub overhead_ms: i64,
    /// Work on the step in hand up to the last event, ms.
    pub in_hand_ms: i64,
    /// All time from the first event to the last, ms.
    pub lasted_ms: i64,
    /// The last event and when it was.
    pub head: Option<(EventId, Stamp)>,
    /// What was odd.
    pub findings: Vec<Finding>,
    /// The highest step number that any plan has used.
    numbered: u32,
}

/// What is going on.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum Status {
    /// The job has not begun.
    #[default]
    NotOpened,
    /// Work runs.
    Running,
    /// Work is stopped.
    Paused(PauseReason),
    /// The job is over.
    Closed {
        /// How it ended.
        outcome: Outcome,
        /// More on it.
        note: Text,
    },
}

/// A task and what became of it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct TaskState {
    /// The task.
    pub task: NamedTask,
    /// The event that asked for it.
    pub since: EventId,
    /// What became of it.
    pub state: TaskProgress,
}

/// What became of a task.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum TaskProgress {
    /// Still to be done.
    Open,
    /// Done.
    Done,
    /// Will not be done.
    Dropped,
    /// Not done on this visit: the technician turned back. The next one takes it
    /// up.
    LeftOpen,
}

/// A plan that was made.
#[derive(Clone, Debug, PartialEq)]
pub struct PlanMade {
    /// The event.
    pub event: EventId,
    /// Why.
    pub because: Reason,
    /// Number of steps that were left.
    pub steps: usize,
    /// Expected time of what was left, s.
    pub total_s: f64,
    /// The same as a band.
    pub band: Band,
}

/// A step that is done.
#[derive(Clone, Debug, PartialEq)]
pub struct DoneStep {
    /// The event that says so.
    pub event: EventId,
    /// When.
    pub at: Stamp,
    /// When, as time since the first event, ms.
    pub lasted_ms: i64,
    /// The step as planned.
    pub step: PlannedStep,
    /// Work on it, ms; pauses are left out.
    pub work_ms: i64,
    /// The clocks alone tell `work_ms`; else the app was closed in between, or a
    /// clock ran backwards, and it is not fit to learn from.
    pub sure: bool,
}

/// A check that was read.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadingTaken {
    /// The event.
    pub event: EventId,
    /// Number of the step.
    pub step: u32,
    /// The step in the catalog; `None` where the plan does not have it.
    pub step_id: Option<StepId>,
    /// What was asked for; `None` where the plan does not have such a step.
    pub asked: Option<Reading>,
    /// What was read.
    pub taken: Taken,
    /// Whether it passed; `None` where that cannot be told.
    pub passed: Option<bool>,
}

/// A difference in the tally that has a reason.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Explanation {
    /// The fastening.
    pub fastening: FasteningId,
    /// The difference.
    pub difference: i32,
    /// The reason.
    pub note: Text,
}

/// A note.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NoteTaken {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Stamp,
    /// The words.
    pub text: Text,
    /// Number of the step that it is about.
    pub step: Option<u32>,
}

/// Something that happened to fasteners, as it was noted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct MishapNoted {
    /// The event.
    pub event: EventId,
    /// What became of them.
    pub fate: Fate,
    /// The set, and how many.
    pub mishap: Mishap,
}

/// What became of a fastener.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Fate {
    /// It cannot be found.
    Lost,
    /// It was discarded.
    Stripped,
    /// It is a new one.
    New,
}

/// A demand of a hazard that was met.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct DemandMet {
    /// The event.
    pub event: EventId,
    /// The hazard.
    pub hazard: HazardId,
    /// Number of the step before which that was.
    pub step: u32,
    /// Which of its demands, from 0.
    pub demand: u16,
}

/// A wait that was not waited out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CutShort {
    /// The wait.
    pub wait: WaitId,
    /// Number of the step that went on without it.
    pub step: u32,
    /// Why.
    pub why: Text,
}

/// A photo that was taken.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct PhotoTaken {
    /// The event.
    pub event: EventId,
    /// When.
    pub at: Stamp,
    /// The photo.
    pub photo: Photo,
}

/// A pause.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Pause {
    /// Why.
    pub reason: PauseReason,
    /// More on it.
    pub note: Text,
    /// When it began.
    pub from: Stamp,
    /// How long up to the last event, ms.
    pub ms: i64,
}

/// A span that the technician is to be asked about: wall clock, ms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OpenGap {
    /// The app was last alive.
    pub from_ms: i64,
    /// The app was there again.
    pub to_ms: i64,
}

impl Job {
    /// The step in hand: the first that is still to be done.
    pub fn next(&self) -> Option<&PlannedStep> {
        self.remaining.first()
    }

    /// Work up to now, ms.
    pub fn elapsed_ms(&self, now: &Stamp) -> i64 {
        self.worked_ms.saturating_add(self.running_ms(now))
    }

    /// Work on the step in hand up to now, ms.
    pub fn step_elapsed_ms(&self, now: &Stamp) -> i64 {
        self.in_hand_ms.saturating_add(self.running_ms(now))
    }

    /// All time from the first event up to now, ms; pauses count.
    pub fn lasted_ms(&self, now: &Stamp) -> i64 {
        let since = self.head.map_or(0, |(_, at)| between(&at, now).ms);
        self.lasted_ms.saturating_add(since)
    }

    /// Work since the last event, ms.
    fn running_ms(&self, now: &Stamp) -> i64 {
        match (&self.status, self.head) {
            (Status::Running, Some((_, at))) => match between(&at, now) {
                span if is_gap(&span) => 0,
                span => span.ms,
            },
            _ => 0,
        }
    }

    /// What is still to be done, as planned, s: all remaining steps, without
    /// what has been worked on the first.
    pub fn left_s(&self) -> f64 {
        self.remaining.iter().map(PlannedStep::expected_s).sum()
    }

    /// The same as a band.
    pub fn left_band(&self) -> Band {
        Band::of_sum(self.remaining.iter().flat_map(PlannedStep::estimates))
    }

    /// The step of that number, done or still to be done.
    pub fn step(&self, number: u32) -> Option<&PlannedStep> {
        let done = self.done.iter().map(|done| &done.step);
        done.chain(&self.remaining)
            .find(|step| step.number == number)
    }

    /// The number that the first step of the next plan gets.
    pub const fn next_number(&self) -> u32 {
        self.numbered.saturating_add(1)
    }

    /// The tasks still to be done.
    pub fn open_tasks(&self) -> impl Iterator<Item = &NamedTask> {
        self.tasks
            .iter()
            .filter(|task| task.state == TaskProgress::Open)
            .map(|task| &task.task)
    }

    /// The tasks that another visit must take up: those that the technician turned
    /// back from, and, once the job is closed, those that were not done.
    pub fn left_for_next(&self) -> impl Iterator<Item = &NamedTask> {
        let closed = matches!(self.status, Status::Closed { .. });
        let left = move |task: &&TaskState| match task.state {
            TaskProgress::LeftOpen => true,
            TaskProgress::Open => closed,
            TaskProgress::Done | TaskProgress::Dropped => false,
        };
        self.tasks.iter().filter(left).map(|task| &task.task)
    }

    /// What the clocks of the device have done since the last event that must be
    /// told.
    pub fn clock_trouble(&self, now: &Stamp) -> Vec<Trouble> {
        match self.head {
            // A screen's moment may be a little older than the event; within a run
            // the monotonic clock does not go back.
            Some((_, at)) if at.run == now.run && now.mono_ms < at.mono_ms => Vec::new(),
            Some((_, at)) => clock_trouble(&at, now, &self.status),
            None => Vec::new(),
        }
    }

    /// Whether nothing more is done but to close the unit: the technician has
    /// turned back, and what was open is left open.
    pub fn is_closing(&self) -> bool {
        let is = |state| self.tasks.iter().any(|task| task.state == state);
        is(TaskProgress::LeftOpen) && !is(TaskProgress::Open)
    }

    /// Whether this operation has been completed since that event.
    pub fn has_done_since(&self, op: &SaidOp, since: EventId) -> bool {
        self.done
            .iter()
            .any(|done| done.event > since && done.step.completes.contains(op))
    }

    /// The checks that failed and were not read again.
    pub fn failed(&self) -> impl Iterator<Item = &ReadingTaken> {
        let readings = self.readings.iter().enumerate();
        readings
            .filter(|(at, reading)| {
                let mut later = self.readings[at + 1..].iter();
                reading.passed == Some(false) && !later.any(|next| next.is_of_same_step(reading))
            })
            .map(|(_, reading)| reading)
    }

    /// What was said when the failed check of this step was left at that.
    pub fn failure_kept(&self, step: u32) -> Option<&Text> {
        let mut kept = self.failures_kept.iter().rev();
        kept.find(|(number, _)| *number == step)
            .map(|(_, note)| note)
    }

    /// The note of a pause as it is read: what the app itself wrote of a part that is
    /// not to hand in the language chosen, what the technician wrote as it stands.
    pub fn pause_note(&self, pause: &Pause) -> Text {
        // The other lack of a part may have been said since.
        let both = |one: &NotToHand| {
            let task = one.task.clone();
            [Lack::Missing, Lack::Wrong].map(|lack| NotToHand {
                task: task.clone(),
                lack,
            })
        };
        let mut lacks = self.not_to_hand.iter().flat_map(both);
        let written = lacks.find(|one| one.note() == pause.note);
        written.map_or_else(|| pause.note.clone(), |one| one.words())
    }

    /// What the step in hand still demands before it can be done.
    pub fn demands(&self) -> Demands {
        let Some(step) = self.next() else {
            return Demands::default();
        };
        let number = step.number;
        let heeded = |hazard: &&HazardId| !self.heeded.contains(&((*hazard).clone(), number));
        let read = || {
            let mut readings = self.readings.iter().rev();
            let last = readings.find(|reading| reading.step == number);
            last.is_some_and(|last| {
                last.passed != Some(false) || self.failure_kept(number).is_some()
            })
        };
        Demands {
            heed: step.hazards.iter().filter(heeded).cloned().collect(),
            read: step.reading.is_some() && !read(),
            confirm: step.wants_confirming() && !self.confirmed.contains(&number),
            answer: step
                .asks
                .clone()
                .filter(|question| !self.setup.answers.contains_key(question)),
        }
    }

    /// The span to ask about at the start of a run, before anything is appended:
    /// the app was closed while work ran. `last_alive` is the last sign of life
    /// that was kept, if it is later than the last event.
    pub fn gap_to_ask(&self, last_alive: Option<&Stamp>, now: &Stamp) -> Option<OpenGap> {
        let (_, head) = self.head?;
        if self.status != Status::Running || !is_gap(&between(&head, now)) {
            return None;
        }
        let from_ms = last_alive.map_or(head.wall_ms, |alive| alive.wall_ms.max(head.wall_ms));
        let gap = OpenGap {
            from_ms,
            to_ms: now.wall_ms,
        };
        (gap.to_ms.saturating_sub(from_ms) > SHORT_GAP_MS).then_some(gap)
    }
}

/// What a step demands before it can be marked done.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Demands {
    /// Hazards to acknowledge.
    pub heed: Vec<HazardId>,
    /// A check to read.
    pub read: bool,
    /// Something to confirm.
    pub confirm: bool,
    /// A question to answer.
    pub answer: Option<QuestionId>,
}

impl Demands {
    /// Whether nothing is left to ask.
    pub fn is_met(&self) -> bool {
        *self == Self::default()
    }
}

impl MishapNoted {
    fn of(event: &Event, fate: Fate, mishap: &Mishap) -> Self {
        Self {
            event: event.id,
            fate,
            mishap: mishap.clone(),
        }
    }
}

impl NoteTaken {
    fn of(event: &Event, text: &Text, step: Option<u32>) -> Self {
        Self {
            event: event.id,
            at: event.at,
            text: text.clone(),
            step,
        }
    }
}

impl ReadingTaken {
    fn is_of_same_step(&self, other: &Self) -> bool {
        match (&self.step_id, &other.step_id) {
            (Some(one), Some(two)) => one == two,
            _ => self.step == other.step,
        }
    }
}

/// Whether what was read is what was asked for.
pub fn passes(asked: &Reading, taken: Taken) -> bool {
    match (asked, taken) {
        (Reading::Value { low, high, .. }, Taken::Value(value)) => {
            value.is_finite()
                && low.is_none_or(|low| value >= low)
                && high.is_none_or(|high| value <= high)
        }
        (Reading::Seen(_), Taken::Seen(seen)) => seen,
        _ => false,
    }
}

/// What the clocks did between two stamps that must be told.
fn clock_trouble(earlier: &Stamp, later: &Stamp, status: &Status) -> Vec<Trouble> {
    let span = between(earlier, later);
    let mut found = Vec::new();
    match span.kind {
        SpanKind::ClockChanged { by_ms } => found.push(Trouble::ClockChanged { by_ms }),
        SpanKind::RanBackwards => found.push(Trouble::ClockRanBackwards),
        SpanKind::Slept | SpanKind::Steady | SpanKind::NewRun => {}
    }
    // What the monotonic clock did not see, it slept through.
    let awake_ms = later.mono_ms.saturating_sub(earlier.mono_ms);
    let slept_ms = span.ms.saturating_sub(awake_ms);
    let same_run = earlier.run == later.run;
    if same_run && *status == Status::Running && slept_ms > SHORT_GAP_MS {
        found.push(Trouble::Slept { ms: slept_ms });
    }
    let by_min = later.offset_min.saturating_sub(earlier.offset_min);
    if by_min != 0 {
        found.push(Trouble::ZoneChanged { by_min });
    }
    found
}

/// Whether a span must be asked about: the app was closed, and for long.
fn is_gap(span: &Span) -> bool {
    span.kind == SpanKind::NewRun && span.ms > SHORT_GAP_MS
}

/// What a log adds up to.
pub fn fold(log: &Log) -> Job {
    let events = log.events();
    let mut folding = Folding::new(events);
    for at in 0..events.len() {
        folding.take(at);
    }
    folding.finish()
}

/// For each event, the place of the undo that takes it out, if one does.
///
/// Read from the end: by the time an undo is reached, it is known whether it was
/// itself undone.
fn undone_by(events: &[Event]) -> Vec<Option<usize>> {
    let mut by = vec![None; events.len()];
    for at in (0..events.len()).rev() {
        if by[at].is_some() {
            continue;
        }
        if let Some(target) = undo_target(events, at)
            && by[target].is_none()
        {
            by[target] = Some(at);
        }
    }
    by
}

/// The place of the event that the undo at this place names.
fn undo_target(events: &[Event], at: usize) -> Option<usize> {
    let What::Undone { event } = &events[at].what else {
        return None;
    };
    let target = events.binary_search_by_key(event, |one| one.id).ok()?;
    let can = target < at && !matches!(events[target].what, What::Opened(_));
    can.then_some(target)
}

/// A span that was not counted, because the app was closed.
struct Uncounted {
    event: EventId,
    ms: i64,
    from_ms: i64,
    to_ms: i64,
    owner: Owner,
}

/// Whom a span of work belongs to.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Owner {
    /// The step in hand.
    InHand,
    /// The step that was done as the so-manieth.
    Done(usize),
    /// No step.
    Nobody,
}

struct Folding<'a> {
    events: &'a [Event],
    undone_by: Vec<Option<usize>>,
    job: Job,
    /// Spans that end at or before this place are no work: the job was closed,
    /// and opened again by undoing that.
    shut_until: usize,
    in_hand_sure: bool,
    uncounted: Vec<Uncounted>,
}

impl<'a> Folding<'a> {
    fn new(events: &'a [Event]) -> Self {
        Self {
            events,
            undone_by: undone_by(events),
            job: Job::default(),
            shut_until: 0,
            in_hand_sure: true,
            uncounted: Vec::new(),
        }
    }

    fn take(&mut self, at: usize) {
        let events = self.events;
        let event = &events[at];
        if let Some(before) = at.checked_sub(1) {
            self.count(&events[before], event, at);
        }
        if let What::Planned { plan, .. } = &event.what {
            // Also of plans that were undone: a number is used once.
            let highest = plan.steps.iter().map(|step| step.number).max();
            self.job.numbered = self.job.numbered.max(highest.unwrap_or(0));
        }
        match (self.undone_by[at], &event.what) {
            (Some(undo), What::Closed { .. }) => self.shut_until = self.shut_until.max(undo),
            (Some(_), _) => {}
            (None, _) => self.apply(event, at),
        }
        self.job.head = Some((event.id, event.at));
    }

    /// Gives the span up to this event to whom it belongs.
    fn count(&mut self, before: &Event, event: &Event, at: usize) {
        let span = between(&before.at, &event.at);
        let job = &mut self.job;
        job.lasted_ms = job.lasted_ms.saturating_add(span.ms);
        for trouble in clock_trouble(&before.at, &event.at, &job.status) {
            job.find(event.id, trouble);
        }
        match job.status {
            Status::Running if at <= self.shut_until => {}
            Status::Running if is_gap(&span) => {
                self.in_hand_sure = false;
                let owner = self.owner();
                self.uncounted.push(Uncounted {
                    event: event.id,
                    ms: span.ms,
                    from_ms: before.at.wall_ms,
                    to_ms: event.at.wall_ms,
                    owner,
                });
            }
            Status::Running => {
                self.in_hand_sure &= span.kind != SpanKind::RanBackwards;
                let owner = self.owner();
                self.work(owner, span.ms);
            }
            Status::Paused(_) => {
                if let Some(pause) = job.pauses.last_mut() {
                    pause.ms = pause.ms.saturating_add(span.ms);
                }
            }
            Status::NotOpened | Status::Closed { .. } => {}
        }
    }

    const fn owner(&self) -> Owner {
        if self.job.remaining.is_empty() {
            Owner::Nobody
        } else {
            Owner::InHand
        }
    }

    /// Adds (or, when negative, takes away) work.
    fn work(&mut self, owner: Owner, ms: i64) {
        let job = &mut self.job;
        let share = match owner {
            Owner::InHand => &mut job.in_hand_ms,
            Owner::Nobody => &mut job.overhead_ms,
            Owner::Done(at) => match job.done.get_mut(at) {
                Some(done) => &mut done.work_ms,
                None => &mut job.overhead_ms,
            },
        };
        *share = share.saturating_add(ms);
        job.worked_ms = job.worked_ms.saturating_add(ms);
    }

    fn apply(&mut self, event: &Event, at: usize) {
        let job = &mut self.job;
        match &event.what {
            What::Opened(opened) => self.open(event, opened),
            What::Planned { plan, because } => self.plan(event, at, plan, because),
            What::Done { step } => self.done(event, *step),
            What::Undone { event: target } => {
                if undo_target(self.events, at).is_none() {
                    let event_named = *target;
                    job.find(event.id, Trouble::NothingToUndo { event: event_named });
                }
            }
            What::Paused { reason, note } => {
                if job.is_open(event.id) {
                    job.status = Status::Paused(*reason);
                    job.pauses.push(Pause {
                        reason: *reason,
                        note: note.clone(),
                        from: event.at,
                        ms: 0,
                    });
                }
            }
            What::Resumed => {
                if job.is_open(event.id) {
                    job.status = Status::Running;
                }
            }
            What::Gap {
                from_ms,
                to_ms,
                work_ms,
            } => self.answer_gap(*from_ms, *to_ms, *work_ms),
            What::Answered { question, answer } => job.answer(question, answer),
            What::TaskAdded(task) => job.add_task(task, event.id),
            What::TaskDropped(task) => job.drop_task(task),
            What::Blocked(way) => job.block(way),
            What::Unblocked(op) => job.unblock(op),
            What::FoundBroken(part) => job.found_broken(part),
            What::FittedWith { fitted } => job.fit_with(fitted),
            What::TurnedBack => job.turn_back(),
            What::TaskLeft(task) => job.leave_task(task),
            What::NotToHand(part) => job.lacks(part),
            What::Read { step, taken } => job.read(event.id, *step, *taken),
            What::FailureKept { step, note } => job.failures_kept.push((*step, note.clone())),
            What::Confirmed { step } => job.confirmed.push(*step),
            What::Heeded { hazard, step } => job.heeded.push((hazard.clone(), *step)),
            What::DemandMet {
                hazard,
                step,
                demand,
            } => job.met.push(DemandMet {
                event: event.id,
                hazard: hazard.clone(),
                step: *step,
                demand: *demand,
            }),
            What::WaitBegun { hazard } => job.waits_begun.push((hazard.clone(), job.lasted_ms)),
            What::WaitCutShort { wait, step, why } => job.cut_short.push(CutShort {
                wait: wait.clone(),
                step: *step,
                why: why.clone(),
            }),
            What::FastenerLost(mishap) => {
                job.lost.push(mishap.clone());
                job.mishaps.push(MishapNoted::of(event, Fate::Lost, mishap));
            }
            What::FastenerStripped(mishap) => {
                job.stripped.push(mishap.clone());
                job.mishaps
                    .push(MishapNoted::of(event, Fate::Stripped, mishap));
            }
            What::SpareUsed(mishap) => {
                job.spares.push(mishap.clone());
                job.mishaps.push(MishapNoted::of(event, Fate::New, mishap));
            }
            What::Explained {
                fastening,
                difference,
                note,
            } => job.explained.push(Explanation {
                fastening: fastening.clone(),
                difference: *difference,
                note: note.clone(),
            }),
            What::Accounted { owed, note } => job.accounted.push((owed.clone(), note.clone())),
            What::Note { text, step } => job.notes.push(NoteTaken::of(event, text, *step)),
            What::CatalogWrong { text, step } => {
                job.catalog_notes.push(NoteTaken::of(event, text, *step));
            }
            What::PhotoTaken(photo) => job.photos.push(PhotoTaken {
                event: event.id,
                at: event.at,
                photo: photo.clone(),
            }),
            What::LeaveBy { at_ms } => job.leave_by_ms = *at_ms,
            What::HandedOver { to, note } => job.handed_over = Some((to.clone(), note.clone())),
            What::Closed { outcome, note } => {
                if job.is_open(event.id) {
                    job.status = Status::Closed {
                        outcome: *outcome,
                        note: note.clone(),
                    };
                }
            }
        }
    }

    fn open(&mut self, event: &Event, opened: &Opened) {
        let id = event.id;
        let job = &mut self.job;
        if job.opened.is_some() {
            job.find(id, Trouble::OpenedTwice);
            return;
        }
        job.opened = Some(opened.clone());
        job.opened_at = Some(event.at);
        job.status = Status::Running;
        job.setup = opened.setup.clone();
        job.leave_by_ms = opened.leave_by_ms;
        for task in &opened.tasks {
            job.add_task(task, id);
        }
        job.replan_due = None;
    }

    /// A new plan takes the place of what was left of the old one. A step that
    /// was done when the plan was made, and undone since, is not in it: it comes
    /// first.
    fn plan(&mut self, event: &Event, at: usize, plan: &PlanSnapshot, because: &Reason) {
        let counted_as_done = |number: u32| {
            let mut earlier = self.events[..at].iter().zip(&self.undone_by);
            earlier.any(|(one, undo)| {
                matches!(one.what, What::Done { step } if step == number)
                    && undo.is_some_and(|undo| undo > at)
            })
        };
        let in_hand = self.job.remaining.first().map(|step| step.step.clone());
        let job = &mut self.job;
        job.remaining.retain(|step| counted_as_done(step.number));
        job.remaining.extend(plan.steps.iter().cloned());
        if job.remaining.first().map(|step| &step.step) != in_hand.as_ref() {
            self.let_go();
        }
        let job = &mut self.job;
        job.plans.push(PlanMade {
            event: event.id,
            because: because.clone(),
            steps: plan.steps.len(),
            total_s: plan.total_s,
            band: plan.band,
        });
        for hazard in &plan.hazards {
            job.hazards.retain(|known| known.id != hazard.id);
            job.hazards.push(hazard.clone());
        }
        job.plan = Some(plan.clone());
        job.replan_due = None;
        job.is_open(event.id);
    }

    /// Another step is in hand than before: what was worked on the old one
    /// belongs to no step.
    fn let_go(&mut self) {
        let job = &mut self.job;
        job.overhead_ms = job.overhead_ms.saturating_add(job.in_hand_ms);
        job.in_hand_ms = 0;
        self.in_hand_sure = true;
        for gap in &mut self.uncounted {
            if gap.owner == Owner::InHand {
                gap.owner = Owner::Nobody;
            }
        }
    }

    fn done(&mut self, event: &Event, number: u32) {
        let job = &mut self.job;
        job.is_open(event.id);
        let Some(at) = job.remaining.iter().position(|step| step.number == number) else {
            let before = job.done.iter().any(|done| done.step.number == number);
            job.find(
                event.id,
                if before {
                    Trouble::DoneTwice { step: number }
                } else {
                    Trouble::NoSuchStep { step: number }
                },
            );
            return;
        };
        if at > 0 {
            job.find(event.id, Trouble::OutOfOrder { step: number });
        }
        let step = job.remaining.remove(at);
        for task in &mut job.tasks {
            // A swap that was in hand at the turn-back is finished all the same.
            let asked = matches!(task.state, TaskProgress::Open | TaskProgress::LeftOpen);
            if asked && step.completes.contains(&task.task.task.op()) {
                task.state = TaskProgress::Done;
            }
        }
        let place = job.done.len();
        job.done.push(DoneStep {
            event: event.id,
            at: event.at,
            lasted_ms: job.lasted_ms,
            step,
            work_ms: job.in_hand_ms,
            sure: self.in_hand_sure,
        });
        job.in_hand_ms = 0;
        self.in_hand_sure = true;
        for gap in &mut self.uncounted {
            if gap.owner == Owner::InHand {
                gap.owner = Owner::Done(place);
            }
        }
    }

    /// The technician says what a span was: of one that was not counted, the
    /// part outside it and the work inside it are counted now; of one that was
    /// counted (the device slept), the idle part is taken away again.
    fn answer_gap(&mut self, from_ms: i64, to_ms: i64, work_ms: i64) {
        let long = to_ms.saturating_sub(from_ms).max(0);
        let work = work_ms.clamp(0, long);
        let overlaps = |gap: &Uncounted| from_ms < gap.to_ms && to_ms > gap.from_ms;
        match self.uncounted.iter().rposition(overlaps) {
            Some(at) => {
                let gap = self.uncounted.remove(at);
                let outside = gap.ms.saturating_sub(long).max(0);
                self.work(gap.owner, outside.saturating_add(work).min(gap.ms));
            }
            None => {
                let owner = self.owner();
                let counted = match owner {
                    Owner::InHand => self.job.in_hand_ms,
                    Owner::Nobody | Owner::Done(_) => self.job.overhead_ms,
                };
                self.in_hand_sure = false;
                self.work(owner, -(long - work).min(counted.max(0)));
            }
        }
    }

    fn finish(mut self) -> Job {
        for gap in &self.uncounted {
            let trouble = Trouble::GapUnanswered { ms: gap.ms };
            self.job.find(gap.event, trouble);
        }
        self.job
    }
}

impl Job {
    fn find(&mut self, event: EventId, trouble: Trouble) {
        self.findings.push(Finding { event, trouble });
    }

    /// Whether the job is open; if it is not, that is a finding.
    fn is_open(&mut self, event: EventId) -> bool {
        let open = matches!(self.status, Status::Running | Status::Paused(_));
        if !open {
            self.find(event, Trouble::OutsideJob);
        }
        open
    }

    fn add_task(&mut self, task: &NamedTask, since: EventId) {
        let open = |one: &TaskState| one.state == TaskProgress::Open && one.task.task == task.task;
        if self.tasks.iter().any(open) {
            return;
        }
        self.replan_due = Some(Reason::TaskAdded);
        let left = |one: &&mut TaskState| {
            one.state == TaskProgress::LeftOpen && one.task.task == task.task
        };
        if let Some(left) = self.tasks.iter_mut().find(left) {
            left.state = TaskProgress::Open;
            return;
        }
        self.tasks.push(TaskState {
            task: task.clone(),
            since,
            state: TaskProgress::Open,
        });
    }

    /// What is open is left open, and the unit is to be closed.
    fn turn_back(&mut self) {
        for one in &mut self.tasks {
            if one.state == TaskProgress::Open {
                one.state = TaskProgress::LeftOpen;
                self.replan_due = Some(Reason::ClosingUp);
            }
        }
    }

    /// This task is left open. Where it was the last, the unit is closed.
    fn leave_task(&mut self, task: &SaidTask) {
        let open = |one: &&mut TaskState| one.state == TaskProgress::Open && one.task.task == *task;
        if let Some(one) = self.tasks.iter_mut().find(open) {
            one.state = TaskProgress::LeftOpen;
            self.replan_due = Some(Reason::PartNotToHand);
        }
    }

    fn lacks(&mut self, part: &NotToHand) {
        self.not_to_hand
            .retain(|known| known.task.task != part.task.task);
        self.not_to_hand.push(part.clone());
    }

    fn drop_task(&mut self, task: &SaidTask) {
        for one in &mut self.tasks {
            if one.state == TaskProgress::Open && one.task.task == *task {
                one.state = TaskProgress::Dropped;
                self.replan_due = Some(Reason::TaskDropped);
            }
        }
    }

    fn answer(&mut self, question: &QuestionId, answer: &AnswerId) {
        let rests_on = self.plan.as_ref().and_then(|plan| {
            let mut all = plan.rests_on.iter();
            all.find(|one| one.question == *question)
        });
        if rests_on.is_some_and(|one| one.answer != *answer) {
            self.replan_due = Some(Reason::Answered);
        }
        self.setup.answers.insert(question.clone(), answer.clone());
    }

    fn block(&mut self, way: &BlockedWay) {
        self.blocked.retain(|known| known.op != way.op);
        self.blocked.push(way.clone());
        self.replan_due = Some(Reason::RouteBlocked);
    }

    fn unblock(&mut self, op: &SaidOp) {
        let before = self.blocked.len();
        self.blocked.retain(|known| known.op != *op);
        if self.blocked.len() < before {
            self.replan_due = Some(Reason::RouteOpen);
        }
    }

    /// That a part is broken changes the plan only through a task or a blocked
    /// way; then it is the reason.
    fn found_broken(&mut self, part: &NamedTask) {
        self.broken.push(part.clone());
        if let Some(due) = &mut self.replan_due {
            *due = Reason::PartBroken;
        }
    }

    fn fit_with(&mut self, fitted: &[OptionId]) {
        if self.setup.fitted != fitted {
            self.setup.fitted = fitted.to_vec();
            self.replan_due = Some(Reason::FittedOtherwise);
        }
    }

    fn read(&mut self, event: EventId, number: u32, taken: Taken) {
        let step = self.step(number);
        let step_id = step.map(|step| step.step.clone());
        let asked = step.and_then(|step| step.reading.clone());
        self.readings.push(ReadingTaken {
            event,
            step: number,
            step_id,
            passed: asked.as_ref().map(|asked| passes(asked, taken)),
            asked,
            taken,
        });
    }
}
