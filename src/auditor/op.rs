//! Operations, as the auditor sees them.

/// The number of a part or source of the unit.
pub(crate) type ThingNr = usize;

/// What a step belongs to. `leg` is the number of the leg in [`Thing::legs`](super::unit::Thing).
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub(crate) enum Op {
    MakeSafe,
    Out {
        thing: ThingNr,
        leg: usize,
    },
    Back {
        thing: ThingNr,
        leg: usize,
    },
    Swap(ThingNr),
    Reseat(ThingNr),
    Inspect(ThingNr),
    LeaveOut(ThingNr),
    Serve(usize),
    Start,
    /// A check of a part, or of the whole unit. `dead`: done before the unit is live.
    Check {
        of: Option<ThingNr>,
        dead: bool,
    },
    HandOver,
}

impl Op {
    /// The part or source that it is done to.
    pub fn thing(self) -> Option<ThingNr> {
        match self {
            Self::Out { thing, .. }
            | Self::Back { thing, .. }
            | Self::Swap(thing)
            | Self::Reseat(thing)
            | Self::Inspect(thing)
            | Self::LeaveOut(thing) => Some(thing),
            Self::Check { of, .. } => of,
            _ => None,
        }
    }

    /// Whether it is neither preparation nor a check nor hand-over.
    pub fn is_work(self) -> bool {
        !matches!(
            self,
            Self::MakeSafe | Self::Start | Self::Check { .. } | Self::HandOver
        )
    }
}
