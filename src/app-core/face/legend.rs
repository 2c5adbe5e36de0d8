//! The legend of the numbered fasteners: numbers, drive, thread and length.

use lidoff_i18n::{length, threaded, tr};

use lidoff_catalog::format::{Drive, DriveSystem, Fastener};
use lidoff_catalog::model::{Catalog, FasteningIx};
use lidoff_i18n::localize;

/// One line of a legend.
#[derive(Clone, Debug, PartialEq)]
pub struct Line {
    /// First number.
    pub from: usize,
    /// Last number.
    pub to: usize,
    /// Their drive, if they have one.
    pub drive: Option<Drive>,
    /// Thread and length, "M3 × 8", as far as they are known.
    pub size: Option<String>,
    /// Name of the kind.
    pub name: String,
}

impl Line {
    pub(super) fn new(catalog: &Catalog, at: FasteningIx, before: usize, many: usize) -> Self {
        let kind = catalog.fastener(catalog.fastening(at).fastener);
        Self {
            from: before + 1,
            to: before + many,
            drive: kind.drive.clone(),
            size: size_words(kind),
            name: kind.name.clone(),
        }
    }

    /// "1–4 · T10 · M3 × 8"; for what has neither drive nor size, its name.
    pub fn words(&self) -> String {
        let numbers = if self.from == self.to {
            self.from.to_string()
        } else {
            format!("{}–{}", self.from, self.to)
        };
        let mut words = vec![numbers];
        words.extend(self.drive.as_ref().map(drive_words));
        words.extend(self.size.clone());
        if words.len() == 1 {
            words.push(localize(&self.name).into_owned());
        }
        words.join(" · ")
    }
}

/// The drive as printed on its driver. Only the size distinguishes the two cross recesses
/// of ISO 4757, H and Z ("PH1", "PZ1").
pub fn drive_words(drive: &Drive) -> String {
    let size = &drive.size;
    match drive.system {
        DriveSystem::Hexalobular => size.clone(),
        DriveSystem::Cross => tr!("cross {size}", size = size),
        DriveSystem::Slotted => tr!("slot {size}", size = size),
        DriveSystem::HexSocket => tr!("hexagon socket {size}", size = size),
        DriveSystem::Hexagon => tr!("hexagon {size}", size = size),
    }
}

/// Thread and length, as far as they are known, in the units that come first.
pub fn size_words(kind: &Fastener) -> Option<String> {
    match (&kind.thread, kind.length_mm) {
        (Some(thread), Some(length)) => Some(threaded(thread, length)),
        (Some(thread), None) => Some(thread.clone()),
        (None, Some(mm)) => Some(length(mm)),
        (None, None) => None,
    }
}
