//! Hazards: the signal word matches what can be hurt.
//!
//! ANSI Z535.4-2007, 4.14: DANGER, WARNING and CAUTION are for hazards to
//! people; NOTICE is for practices not related to personal injury.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::SignalWord;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, hazard) in draft.catalog.hazards.iter().enumerate() {
        let at = Path::root().field("hazards").nth(nth);
        let at = at
            .about(EntryKind::Hazard, hazard.entry.id.as_str())
            .field("signal");
        let hurts = hazard.entry.class.hurts_people();
        let notice = hazard.entry.signal == SignalWord::Notice;
        if hurts && notice {
            report.add(
                FaultKind::HarmPlayedDown,
                &at,
                tr!(
                    "This hazard can hurt people, but the signal word NOTICE is for damage \
                     to things only."
                ),
                tr!("Use “caution”, “warning” or “danger”."),
            );
        }
        if !hurts && !notice {
            report.add(
                FaultKind::HarmOverstated,
                &at,
                tr!(
                    "This signal word is for injury to people, but this hazard only damages \
                     things."
                ),
                tr!("Use “notice”, or give the hazard a class that can hurt people."),
            );
        }
    }
}
