//! Irregularities in a log: always shown, and never a reason to stop working.

use std::fmt;

use super::event::EventId;
use lidoff_catalog::format::Text;
use lidoff_i18n::{localize, number, tr};

/// An irregularity in a log, with its event.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The event at which it was found.
    pub event: EventId,
    /// What was found.
    pub irregularity: Irregularity,
}

/// What is irregular.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Irregularity {
    /// The wall clock was set while the job ran: forward, or back when negative.
    ClockChanged {
        /// By how much, ms.
        by_ms: i64,
    },
    /// The clock ran backwards; the time up to this event is not counted.
    ClockRanBackwards,
    /// The device slept in mid-step, and that is counted as work.
    Slept {
        /// How long, ms.
        ms: i64,
    },
    /// Local time changed against UTC: daylight saving, or another time zone.
    ZoneChanged {
        /// By how much, minutes.
        by_min: i16,
    },
    /// The app was closed during a step, and the technician has not said yet what that time was;
    /// it is not counted as work.
    GapUnanswered {
        /// How long it was, ms.
        ms: i64,
    },
    /// A step was marked done that was not in the plan at that time.
    NoSuchStep {
        /// Its number.
        step: u32,
    },
    /// A step was marked done twice.
    DoneTwice {
        /// Its number.
        step: u32,
    },
    /// A step was done before one that comes earlier.
    OutOfOrder {
        /// Its number.
        step: u32,
    },
    /// An undo names an event that does not come before it, or that opened the
    /// job.
    NothingToUndo {
        /// The event that it names.
        event: EventId,
    },
    /// A time limit was exceeded.
    LimitExceeded {
        /// What had to be done in time.
        text: Text,
        /// By how much, ms.
        by_ms: i64,
    },
    /// Something happened before the job was opened, or after it was closed.
    OutsideJob,
    /// The job was opened a second time; the first stands.
    OpenedTwice,
    /// A newer version recorded something that this one does not know.
    UnknownEvent,
}

fn minutes(ms: f64) -> String {
    number(ms / 60_000.0, 1)
}

impl fmt::Display for Irregularity {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ClockChanged { by_ms } => {
                let minutes = minutes(by_ms.unsigned_abs() as f64);
                f.write_str(&if *by_ms < 0 {
                    tr!(
                        "This device's clock was set back by {minutes} min. Working time \
                         was measured by its internal timer.",
                        minutes
                    )
                } else {
                    tr!(
                        "This device's clock was set forward by {minutes} min. Working time \
                         was measured by its internal timer.",
                        minutes
                    )
                })
            }
            Self::ClockRanBackwards => f.write_str(&tr!("This device's clock ran backwards. \
                                                         The time up to this point is not \
                                                         counted.")),
            Self::Slept { ms } => f.write_str(&tr!(
                "This device was asleep for {minutes} min during a step. That time counts \
                 as work unless you change it.",
                minutes = minutes(*ms as f64)
            )),
            Self::ZoneChanged { by_min } => f.write_str(&tr!(
                "Local time changed by {minutes} min (daylight saving or another time \
                 zone). Working time is not affected.",
                minutes = format!("{by_min:+}")
            )),
            Self::GapUnanswered { ms } => f.write_str(&tr!(
                "The app was closed for {minutes} min during a step. That time does not \
                 count as work until you say what it was.",
                minutes = minutes(*ms as f64)
            )),
            Self::NoSuchStep { step } => f.write_str(&tr!(
                "Step {step} was marked done, but \
                                                           it was not in the plan at that \
                                                           time.",
                step
            )),
            Self::DoneTwice { step } => {
                f.write_str(&tr!("Step {step} was marked done twice.", step))
            }
            Self::OutOfOrder { step } => f.write_str(&tr!(
                "Step {step} was marked done before an earlier step.",
                step
            )),
            Self::NothingToUndo { event } => f.write_str(&tr!(
                "Event {event} cannot be \
                                                               undone. The undo entry is \
                                                               ignored.",
                event
            )),
            Self::LimitExceeded { text, by_ms } => f.write_str(&tr!(
                "Time limit exceeded by {minutes} min: {what}.",
                minutes = minutes(*by_ms as f64),
                what = localize(text)
            )),
            Self::OutsideJob => f.write_str(&tr!("This was entered while the job was not \
                                                  open.")),
            Self::OpenedTwice => f.write_str(&tr!("The job was opened twice. Only the first \
                                                   time counts.")),
            Self::UnknownEvent => f.write_str(&tr!(
                "A newer version of Lidoff recorded something here that this version does \
                 not know. It is kept, but has no effect here. Update Lidoff."
            )),
        }
    }
}
