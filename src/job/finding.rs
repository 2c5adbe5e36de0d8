//! What a fold found odd: told, never hidden, and never a reason to stop.

use std::fmt;

use super::event::EventId;

/// Something odd in a log.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Finding {
    /// The event at which it was found.
    pub event: EventId,
    /// What was found.
    pub trouble: Trouble,
}

/// What was found odd.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Trouble {
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
    /// The app was closed in mid-step, and nobody said yet what that span was;
    /// it is not counted as work.
    GapUnanswered {
        /// How long it was, ms.
        ms: i64,
    },
    /// A step is said to be done that the plan of that time does not have.
    NoSuchStep {
        /// Its number.
        step: u32,
    },
    /// A step is said to be done that was done before.
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
    /// Something happened before the job was opened, or after it was closed.
    OutsideJob,
    /// The job was opened a second time; the first stands.
    OpenedTwice,
}

impl fmt::Display for Trouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::ClockChanged { by_ms } => {
                let way = if *by_ms < 0 { "back" } else { "forward" };
                let minutes = by_ms.unsigned_abs() as f64 / 60_000.0;
                write!(
                    f,
                    "The clock of this device was set {way} by {minutes:.1} min; the job's time was \
                     kept by its other clock."
                )
            }
            Self::ClockRanBackwards => f.write_str(
                "The clock of this device went backwards; the time up to here is not counted.",
            ),
            Self::Slept { ms } => write!(
                f,
                "This device slept for {:.1} min in mid-step; that counts as work unless you say \
                 otherwise.",
                *ms as f64 / 60_000.0
            ),
            Self::ZoneChanged { by_min } => write!(
                f,
                "Local time changed by {by_min:+} min (daylight saving, or another time zone); the \
                 job's time is not touched by it."
            ),
            Self::GapUnanswered { ms } => write!(
                f,
                "The app was closed for {:.1} min in mid-step; until you say what that was, it is \
                 not counted as work.",
                *ms as f64 / 60_000.0
            ),
            Self::NoSuchStep { step } => write!(
                f,
                "Step {step} was marked done, but the plan of that moment does not have it."
            ),
            Self::DoneTwice { step } => write!(f, "Step {step} was marked done twice."),
            Self::OutOfOrder { step } => {
                write!(
                    f,
                    "Step {step} was marked done before one that comes earlier."
                )
            }
            Self::NothingToUndo { event } => write!(f, "There is no event {event} to undo."),
            Self::OutsideJob => f.write_str("This was noted while the job was not open."),
            Self::OpenedTwice => f.write_str("The job was opened twice; the first one stands."),
        }
    }
}
