//! Texts: nothing that a person reads is empty, and the unit id can be a file name.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::{Demand, Reading, Step};
use crate::model::Catalog;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    unit(catalog, report);
    things(catalog, report);
    asked(catalog, report);
    for (part, at) in catalog.parts.iter().zip(&draft.parts) {
        text(&part.name, at, "name", report);
        maybe(part.about.as_ref(), at, "about", report);
        maybe(part.like.as_ref(), at, "like", report);
        let hand_backs = part.swap.iter().flat_map(|swap| &swap.hand_backs);
        for (nth, piece) in hand_backs.enumerate() {
            let at = at.field("swap").field("hand_backs").nth(nth);
            let at = at.about(EntryKind::HandBack, piece.id.as_str());
            text(&piece.name, &at, "name", report);
        }
    }
    for (connection, at) in catalog.connections.iter().zip(&draft.connections) {
        text(&connection.cable, at, "cable", report);
        text(&connection.port, at, "port", report);
        maybe(connection.unseen_swap.as_ref(), at, "unseen_swap", report);
    }
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        step_words(&step.entry, &place.path, report);
    }
}

fn unit(catalog: &Catalog, report: &mut Report) {
    let at = Path::root().field("unit");
    let unit = &catalog.unit;
    if !is_slug(&unit.id) {
        report.add(
            FaultKind::BadId,
            &at.field("id"),
            tr!(
                "The unit id is also the file name, and “{}” cannot be one.",
                unit.id
            ),
            tr!("Use lowercase letters, digits and single hyphens: “perch-22”."),
        );
    }
    for (field, words) in [
        ("name", &unit.name),
        ("kind", &unit.kind),
        ("revision", &unit.revision),
        ("about", &unit.about),
        ("safety", &unit.safety),
        ("source", &unit.source),
    ] {
        text(words, &at, field, report);
    }
}

fn is_slug(id: &str) -> bool {
    id.split('-').all(|word| {
        !word.is_empty()
            && word
                .bytes()
                .all(|byte| byte.is_ascii_lowercase() || byte.is_ascii_digit())
    })
}

fn things(catalog: &Catalog, report: &mut Report) {
    let root = Path::root();
    for (nth, face) in catalog.faces.iter().enumerate() {
        let at = root
            .field("faces")
            .nth(nth)
            .about(EntryKind::Face, face.id.as_str());
        text(&face.name, &at, "name", report);
        text(&face.turn, &at, "turn", report);
        for (nth, feature) in face.features.iter().enumerate() {
            let at = at.field("features").nth(nth);
            maybe(feature.label.as_ref(), &at, "label", report);
        }
    }
    for (nth, tool) in catalog.tools.iter().enumerate() {
        let at = root
            .field("tools")
            .nth(nth)
            .about(EntryKind::Tool, tool.id.as_str());
        text(&tool.name, &at, "name", report);
    }
    for (nth, fastener) in catalog.fasteners.iter().enumerate() {
        let at = root.field("fasteners").nth(nth);
        let at = at.about(EntryKind::Fastener, fastener.id.as_str());
        text(&fastener.name, &at, "name", report);
        maybe(fastener.thread.as_ref(), &at, "thread", report);
        if let Some(drive) = &fastener.drive {
            text(&drive.size, &at.field("drive"), "size", report);
        }
    }
    for (nth, consumable) in catalog.consumables.iter().enumerate() {
        let at = root.field("consumables").nth(nth);
        let at = at.about(EntryKind::Consumable, consumable.id.as_str());
        text(&consumable.name, &at, "name", report);
        text(&consumable.unit, &at, "unit", report);
    }
    for (nth, spare) in catalog.spares.iter().enumerate() {
        let at = root
            .field("spares")
            .nth(nth)
            .about(EntryKind::Spare, spare.id.as_str());
        text(&spare.name, &at, "name", report);
        text(&spare.number, &at, "number", report);
        maybe(spare.price.as_ref(), &at, "price", report);
    }
    for (nth, hazard) in catalog.hazards.iter().enumerate() {
        let at = root.field("hazards").nth(nth);
        let at = at.about(EntryKind::Hazard, hazard.entry.id.as_str());
        text(&hazard.entry.text, &at, "text", report);
        maybe(hazard.entry.short.as_ref(), &at, "short", report);
        for (nth, demand) in hazard.entry.demands.iter().enumerate() {
            let at = at.field("demands").nth(nth);
            match demand {
                Demand::Isolate(words) => text(words, &at, "isolate", report),
                Demand::Wear(words) => text(words, &at, "wear", report),
                Demand::Do(words) => text(words, &at, "do", report),
                Demand::WaitMinutes(_) | Demand::People(_) => {}
            }
        }
    }
    for (nth, service) in catalog.services.iter().enumerate() {
        let at = root.field("services").nth(nth);
        let at = at.about(EntryKind::Service, service.entry.id.as_str());
        text(&service.entry.name, &at, "name", report);
    }
}

fn asked(catalog: &Catalog, report: &mut Report) {
    let root = Path::root();
    for (nth, option) in catalog.options.iter().enumerate() {
        let at = root.field("options").nth(nth);
        let at = at.about(EntryKind::Option, option.id.as_str());
        text(&option.name, &at, "name", report);
        maybe(option.group.as_ref(), &at, "group", report);
    }
    for (nth, question) in catalog.questions.iter().enumerate() {
        let at = root.field("questions").nth(nth);
        let at = at.about(EntryKind::Question, question.id.as_str());
        text(&question.text, &at, "text", report);
        for (nth, answer) in question.answers.iter().enumerate() {
            let at = at.field("answers").nth(nth);
            let at = at.about(EntryKind::Answer, answer.id.as_str());
            text(&answer.text, &at, "text", report);
        }
    }
}

fn step_words(step: &Step, at: &Path, report: &mut Report) {
    text(&step.action, at, "do", report);
    maybe(step.how.as_ref(), at, "how", report);
    maybe(step.confirm.as_ref(), at, "confirm", report);
    match &step.reading {
        Some(Reading::Value { what, unit, .. }) => {
            let at = at.field("reading").field("value");
            text(what, &at, "what", report);
            text(unit, &at, "unit", report);
        }
        Some(Reading::Seen(words)) => text(words, &at.field("reading"), "seen", report),
        None => {}
    }
    if let Some(wait) = &step.starts_wait {
        text(&wait.text, &at.field("starts_wait"), "text", report);
    }
}

fn maybe(words: Option<&String>, at: &Path, field: &str, report: &mut Report) {
    if let Some(words) = words {
        text(words, at, field, report);
    }
}

fn text(words: &str, at: &Path, field: &str, report: &mut Report) {
    text_at(words, &at.field(field), report);
}

/// Reports a text that is empty.
pub(super) fn text_at(words: &str, at: &Path, report: &mut Report) {
    if words.trim().is_empty() {
        report.add(
            FaultKind::EmptyText,
            at,
            tr!("This text is empty."),
            tr!("Write what the technician should read, or leave the field out."),
        );
    }
}
