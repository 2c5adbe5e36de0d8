//! Times by the clocks: how long the work has taken so far, irregularities of the
//! clocks, and the gap that the technician is asked about.

use super::job::{Job, Status};
use crate::finding::Irregularity;
use crate::measured::measured_ms;
use crate::stamp::{Span, SpanKind, Stamp, between};

/// A restart of the app that takes no longer than this counts as work (a reload, an
/// update); a longer one is asked about, ms. Common practice, no source.
pub const SHORT_GAP_MS: i64 = 60_000;

/// A span that the technician is to be asked about: wall clock, ms.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct OpenGap {
    /// When the app was last alive.
    pub from_ms: i64,
    /// When the app was running again.
    pub to_ms: i64,
}

impl Job {
    /// Work up to now, ms.
    pub fn elapsed_ms(&self, now: &Stamp) -> i64 {
        self.worked_ms.saturating_add(self.running_ms(now))
    }

    /// Work on the current step up to now, ms.
    pub fn step_elapsed_ms(&self, now: &Stamp) -> i64 {
        self.in_hand_ms.saturating_add(self.running_ms(now))
    }

    /// Total time from the first event up to now, ms; pauses included.
    pub fn lasted_ms(&self, now: &Stamp) -> i64 {
        let since = self.head.map_or(0, |(_, at)| between(&at, now).ms);
        self.lasted_ms.saturating_add(since)
    }

    /// How much of that is certain to have passed, ms.
    pub fn measured_ms(&self, now: &Stamp) -> i64 {
        let restart = self.restart.as_ref();
        let since = self
            .head
            .map_or(0, |(_, at)| measured_ms(&at, now, restart));
        self.measured_ms.saturating_add(since)
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

    /// Clock irregularities since the last event that must be shown.
    pub fn clock_irregularities(&self, now: &Stamp) -> Vec<Irregularity> {
        match self.head {
            // A screen's moment may be a little older than the event; within a run
            // the monotonic clock does not go back.
            Some((_, at)) if at.run == now.run && now.mono_ms < at.mono_ms => Vec::new(),
            Some((_, at)) => clock_irregularities(&at, now, &self.status),
            None => Vec::new(),
        }
    }

    /// The span to ask about when a run starts, before anything is appended: the app was
    /// closed during work. `last_alive` is the last heartbeat, if it is later than the last
    /// event.
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

/// The irregularities of the clocks between two stamps.
pub(super) fn clock_irregularities(
    earlier: &Stamp,
    later: &Stamp,
    status: &Status,
) -> Vec<Irregularity> {
    let span = between(earlier, later);
    let mut found = Vec::new();
    match span.kind {
        SpanKind::ClockChanged { by_ms } => found.push(Irregularity::ClockChanged { by_ms }),
        SpanKind::RanBackwards => found.push(Irregularity::ClockRanBackwards),
        SpanKind::Slept | SpanKind::Steady | SpanKind::NewRun | SpanKind::ClocksApart => {}
    }
    // The device was asleep for the time that the monotonic clock is missing.
    let awake_ms = later.mono_ms.saturating_sub(earlier.mono_ms);
    let slept_ms = span.ms.saturating_sub(awake_ms);
    let same_run = earlier.run == later.run;
    if same_run && *status == Status::Running && slept_ms > SHORT_GAP_MS {
        found.push(Irregularity::Slept { ms: slept_ms });
    }
    let by_min = later.offset_min.saturating_sub(earlier.offset_min);
    if by_min != 0 {
        found.push(Irregularity::ZoneChanged { by_min });
    }
    found
}

/// Whether a span must be asked about: the app was closed for a long time.
pub(super) fn is_gap(span: &Span) -> bool {
    span.kind == SpanKind::NewRun && span.ms > SHORT_GAP_MS
}
