//! Hazards: the signal word matches what can be hurt, and what ends a control exists.
//!
//! ANSI Z535.4-2007, 4.14: DANGER, WARNING and CAUTION are for hazards to
//! people; NOTICE is for practices not related to personal injury.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::ids::unknown;
use super::path::Path;
use crate::format::{Hazard, Scope, SignalWord};
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    for (nth, hazard) in draft.catalog.hazards.iter().enumerate() {
        let at = Path::root().field("hazards").nth(nth);
        let at = at.about(EntryKind::Hazard, hazard.entry.id.as_str());
        controls(draft, &hazard.entry, &at, report);
        let at = at.field("signal");
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

/// How long the control of a hazard holds, and what it is called meanwhile.
fn controls(draft: &Draft, hazard: &Hazard, at: &Path, report: &mut Report) {
    let catalog = &draft.catalog;
    let steps = || catalog.steps.iter().map(|step| step.entry.id.as_str());
    let parts = || catalog.parts.iter().map(|part| part.id.as_str());
    let hazards = || catalog.hazards.iter().map(|other| other.entry.id.as_str());
    let lasts = at.field("lasts");
    match &hazard.lasts {
        Scope::Step | Scope::Job => {}
        Scope::Until(step) => {
            if !steps().any(|id| id == step.as_str()) {
                unknown(EntryKind::Step, step.as_str(), steps(), &lasts, report);
            }
        }
        Scope::WhileOpen(part) | Scope::WhileIsolated(part) | Scope::WhileLive(part) => {
            if !parts().any(|id| id == part.as_str()) {
                unknown(EntryKind::Part, part.as_str(), parts(), &lasts, report);
            }
        }
    }
    for (nth, step) in hazard.ended_by.iter().enumerate() {
        if !steps().any(|id| id == step.as_str()) {
            let at = at.field("ended_by").nth(nth);
            unknown(EntryKind::Step, step.as_str(), steps(), &at, report);
        }
    }
    for (nth, other) in hazard.replaces.iter().enumerate() {
        if !hazards().any(|id| id == other.as_str()) {
            let at = at.field("replaces").nth(nth);
            unknown(EntryKind::Hazard, other.as_str(), hazards(), &at, report);
        }
    }
    if let Some(short) = &hazard.short {
        let letters = short.chars().count();
        let most = Hazard::SHORT_NAME_LENGTH;
        if letters > most {
            report.add(
                FaultKind::LongShortName,
                &at.field("short"),
                tr!(
                    "This name has {letters} characters; a badge has room for {most}.",
                    letters,
                    most
                ),
                tr!("Name what is worn, or the hazard, in two words: “Wrist strap”."),
            );
        }
    }
}
