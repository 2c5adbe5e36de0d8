//! Why the wrap-up cannot say "complete" yet.

use lidoff_catalog::format::{FasteningId, Text};
use lidoff_i18n::{localize, tr};

use crate::event::{EventKind, Owed};
use crate::planned::{Cable, HandBackPiece, OldPart};

/// Something that keeps the wrap-up from saying "complete".
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unaccounted {
    /// Fasteners of this set.
    Set {
        /// The set.
        fastening: FasteningId,
        /// The difference, as an explanation must name it.
        difference: i32,
        /// In words, with part and well.
        words: String,
    },
    /// Fasteners of this set are gone, or their places are left empty, and nobody
    /// said why.
    Gone {
        /// The set.
        fastening: FasteningId,
        /// How many, as a reason must name it.
        count: u32,
        /// In words, with part and well.
        words: String,
    },
    /// A cable that is still unplugged.
    Cable(Cable),
    /// A piece that was not moved to the new part.
    HandBack(HandBackPiece),
    /// A piece that was moved to a new part which did not go in.
    Astray(HandBackPiece),
    /// Something that must be done with an old part.
    OldPart(OldPart),
    /// Something happened to fasteners of a set that no step of the job touches.
    NoSuchSet(FasteningId),
}

impl Unaccounted {
    /// What is wrong, as text.
    pub fn describe(&self) -> String {
        match self {
            Self::Set { words, .. } | Self::Gone { words, .. } => words.clone(),
            Self::Cable(cable) => tr!(
                "{cable} is not plugged into {port}.",
                cable = localize(&cable.cable),
                port = localize(&cable.port)
            ),
            Self::HandBack(piece) => {
                tr!(
                    "{piece} was not moved to the new part.",
                    piece = localize(&piece.name)
                )
            }
            Self::Astray(piece) => tr!(
                "{piece} is on the new part, which was not fitted. Move it back to the old \
                 part.",
                piece = localize(&piece.name)
            ),
            Self::OldPart(old) => old.describe(),
            Self::NoSuchSet(id) => tr!(
                "There is an entry for fasteners “{set}”, but no step undoes them.",
                set = id
            ),
        }
    }

    /// The event that records a reason for it.
    pub fn because(&self, note: Text) -> EventKind {
        match (self, self.owed()) {
            (
                Self::Set {
                    fastening,
                    difference,
                    ..
                },
                _,
            ) => EventKind::Explained {
                fastening: fastening.clone(),
                difference: *difference,
                note,
            },
            (_, Some(owed)) => EventKind::Accounted { owed, note },
            (_, None) => EventKind::Note {
                text: note,
                step: None,
            },
        }
    }

    /// What a reason must name; `None` for a set, whose difference is explained.
    pub(super) fn owed(&self) -> Option<Owed> {
        Some(match self {
            Self::Set { .. } => return None,
            Self::Gone {
                fastening, count, ..
            } => Owed::Gone {
                fastening: fastening.clone(),
                count: *count,
            },
            Self::Cable(cable) => Owed::Cable(cable.connection.clone()),
            Self::HandBack(piece) | Self::Astray(piece) => Owed::HandBack(piece.id.clone()),
            Self::OldPart(old) => Owed::from(old),
            Self::NoSuchSet(id) => Owed::Strange(id.clone()),
        })
    }
}
