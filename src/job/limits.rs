//! Time limits: from the end of one step to the end of another. They are counted like waits,
//! from the stamps of the log, pauses included: paste dries whether anybody works or not. A
//! limit stops nothing. If it is exceeded, the job says so.

use lidoff_catalog::format::{Text, WaitId};

use super::event::EventId;
use super::finding::Irregularity;
use super::fold::{DoneStep, Job, Status};
use super::planned::WaitStarted;
use super::stamp::Stamp;

/// A time limit that runs.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct LimitLeft {
    pub limit: WaitId,
    /// What must be done in time.
    pub text: Text,
    /// Total length, ms.
    pub long_ms: i64,
    /// Remaining time, ms; below 0 once it is exceeded.
    pub left_ms: i64,
    /// Number of the step that must be done by then.
    pub until: u32,
}

/// A limit that was begun, and the step that ended it, if it was done.
type Begun<'j> = (&'j WaitStarted, &'j DoneStep, Option<&'j DoneStep>);

impl Job {
    /// The limits that run now, the tightest first.
    pub fn limits_running(&self, now: &Stamp) -> Vec<LimitLeft> {
        if !matches!(self.status, Status::Running | Status::Paused(_)) {
            return Vec::new();
        }
        let open = self.limits_begun().into_iter();
        let open = open.filter(|(.., end)| end.is_none());
        let running = open.filter_map(|(limit, start, _)| {
            let until = self.limit_end(limit)?;
            let since = self.lasted_ms(now).saturating_sub(start.lasted_ms).max(0);
            Some(LimitLeft {
                limit: limit.id.clone(),
                text: limit.text.clone(),
                long_ms: length_ms(limit),
                left_ms: length_ms(limit).saturating_sub(since),
                until,
            })
        });
        let mut running: Vec<LimitLeft> = running.collect();
        lidoff_catalog::insertion_sort(&mut running, |one, next| one.left_ms > next.left_ms);
        running
    }

    /// The limits that were exceeded by the last event.
    pub(super) fn limit_overruns(&self) -> Vec<(EventId, Irregularity)> {
        let begun = self.limits_begun().into_iter();
        let exceeded = begun.filter_map(|(limit, start, end)| {
            let (event, until_ms) = match end {
                Some(end) => (end.event, end.lasted_ms),
                // What is not to be done any more is not late.
                None => (self.limit_end(limit).and(self.head)?.0, self.lasted_ms),
            };
            let by_ms = until_ms
                .saturating_sub(start.lasted_ms)
                .saturating_sub(length_ms(limit));
            let text = limit.text.clone();
            (by_ms > 0).then_some((event, Irregularity::LimitExceeded { text, by_ms }))
        });
        exceeded.collect()
    }

    /// The remaining step that ends a limit.
    fn limit_end(&self, limit: &WaitStarted) -> Option<u32> {
        let mut remaining = self.remaining.iter();
        let end = remaining.find(|step| step.ends_limit.as_ref() == Some(&limit.id))?;
        Some(end.number)
    }

    /// Every limit that was begun. A limit that begins again replaces the one that runs.
    fn limits_begun(&self) -> Vec<Begun<'_>> {
        let mut begun: Vec<Begun<'_>> = Vec::new();
        for done in &self.done {
            let is_open = |id: &WaitId, one: &Begun<'_>| one.0.id == *id && one.2.is_none();
            if let Some(id) = &done.step.ends_limit
                && let Some(one) = begun.iter_mut().find(|one| is_open(id, one))
            {
                one.2 = Some(done);
            }
            if let Some(limit) = &done.step.starts_limit {
                begun.retain(|one| !is_open(&limit.id, one));
                begun.push((limit, done, None));
            }
        }
        begun
    }
}

fn length_ms(limit: &WaitStarted) -> i64 {
    i64::from(limit.seconds) * 1000
}
