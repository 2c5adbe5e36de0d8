//! Spares: their texts are not empty, and none supersedes itself.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use super::texts::text_at;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, spare) in draft.catalog.spares.iter().enumerate() {
        let at = Path::root().field("spares").nth(nth);
        let at = at.about(EntryKind::Spare, spare.id.as_str());
        for (field, texts) in [("replaces", &spare.replaces), ("includes", &spare.includes)] {
            for (nth, text) in texts.iter().enumerate() {
                text_at(text, &at.field(field).nth(nth), report);
            }
        }
        if let Some(words) = &spare.return_old {
            text_at(words, &at.field("return_old"), report);
        }
        let itself = spare.replaces.iter().position(|old| *old == spare.number);
        if let Some(nth) = itself {
            report.add(
                FaultKind::StandsInForItself,
                &at.field("replaces").nth(nth),
                tr!("The order number {} supersedes itself.", spare.number),
                tr!("List only the older numbers."),
            );
        }
    }
}
