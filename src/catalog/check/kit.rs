//! The kit list: each item has an id and a name, and what steps and hazards name is on it.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::ids::{duplicate, plain_word, unknown};
use super::path::Path;
use super::texts::text_at;
use crate::format::KitId;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    let mut known: Vec<&str> = Vec::new();
    let item_path = |nth: usize, id: &str| {
        let at = Path::root().field("kit").nth(nth);
        at.about(EntryKind::KitItem, id)
    };
    for (nth, item) in catalog.kit.iter().enumerate() {
        let (id, at) = (item.id.as_str(), item_path(nth, item.id.as_str()));
        plain_word(EntryKind::KitItem, id, &at.field("id"), report);
        if known.contains(&id) {
            duplicate(EntryKind::KitItem, id, &at.field("id"), report);
        }
        known.push(id);
        text_at(&item.name, &at.field("name"), report);
    }
    let mut used = Vec::new();
    let mut named = |list: &[KitId], at: &Path| {
        for (nth, id) in list.iter().enumerate() {
            used.push(id.clone());
            if !known.contains(&id.as_str()) {
                let known = known.iter().copied();
                let at = at.field("kit").nth(nth);
                unknown(EntryKind::KitItem, id.as_str(), known, &at, report);
            }
        }
    };
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        named(&step.entry.kit, &place.path);
    }
    for (nth, hazard) in catalog.hazards.iter().enumerate() {
        let at = Path::root().field("hazards").nth(nth);
        let at = at.about(EntryKind::Hazard, hazard.entry.id.as_str());
        named(&hazard.entry.kit, &at);
    }
    for (nth, item) in catalog.kit.iter().enumerate() {
        if !used.contains(&item.id) {
            report.add(
                FaultKind::Unused,
                &item_path(nth, item.id.as_str()),
                tr!("This {sort} is not used.", sort = EntryKind::KitItem),
                tr!("Use it, or remove it."),
            );
        }
    }
}
