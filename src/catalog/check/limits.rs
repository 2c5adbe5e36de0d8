//! Time limits: each begins once, and a later step of the same operation, or of the way back
//! of the same part, ends it. Whether the estimates fit is for `lidoff check`, which knows the
//! times.

use super::draft::{Direction, Draft, StepList, StepPlace};
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::ids::{duplicate, plain_word, unknown};
use super::precedence;
use super::texts::text_at;
use crate::model::PartIx;
use lidoff_i18n::tr;

pub(super) fn check(draft: &Draft, report: &mut Report) {
    // The id, where it begins, and whether a step ends it.
    let mut begun: Vec<(&str, &StepPlace, bool)> = Vec::new();
    for (step, place) in draft.catalog.steps.iter().zip(&draft.steps) {
        let Some(limit) = &step.entry.starts_limit else {
            continue;
        };
        let at = place.path.field("starts_limit");
        let id = limit.id.as_str();
        plain_word(EntryKind::Limit, id, &at.field("id"), report);
        if begun.iter().any(|(known, ..)| *known == id) {
            duplicate(EntryKind::Limit, id, &at.field("id"), report);
        } else {
            begun.push((id, place, false));
        }
        text_at(&limit.text, &at.field("text"), report);
        if limit.seconds == 0 {
            report.add(
                FaultKind::BadNumber,
                &at.field("seconds"),
                tr!("The limit must be at least 1 second."),
                tr!("Give the time, or remove the limit."),
            );
        }
    }
    for (step, place) in draft.catalog.steps.iter().zip(&draft.steps) {
        let Some(id) = &step.entry.ends_limit else {
            continue;
        };
        let at = place.path.field("ends_limit");
        let this = |(known, ..): &&mut (&str, &StepPlace, bool)| *known == id.as_str();
        let Some((_, start, is_ended)) = begun.iter_mut().find(this) else {
            let known = begun.iter().map(|(known, ..)| *known);
            unknown(EntryKind::Limit, id.as_str(), known, &at, report);
            continue;
        };
        *is_ended = true;
        if !can_end(start, place) {
            report.add(
                FaultKind::LimitEndedElsewhere,
                &at,
                tr!(
                    "The time limit “{id}” does not begin before this step in the same operation.",
                    id
                ),
                tr!("End it in a later step of the operation, or on the way back of its part."),
            );
        }
    }
    for (id, start, is_ended) in begun {
        if !is_ended {
            report.add(
                FaultKind::LimitNeverEnded,
                &start.path.field("starts_limit"),
                tr!("No step ends the time limit “{id}”.", id),
                tr!("Name it in “ends_limit” of the step that must be done in time."),
            );
        }
    }
}

/// Whether this step can end a limit that begins there.
fn can_end(start: &StepPlace, end: &StepPlace) -> bool {
    let goes_back = matches!(end.list, StepList::Leg(_, _, Direction::Back));
    let same_part = worked_part(start.list).is_some_and(|part| worked_part(end.list) == Some(part));
    let is_hand_back = matches!(
        (start.list, end.list),
        (
            StepList::Swap(_) | StepList::HandBack(..),
            StepList::HandBack(..)
        )
    );
    (start.list == end.list || same_part && (goes_back || is_hand_back))
        && !precedence::not_before(start, end)
}

/// The part that a list of steps takes off, works on, or puts back.
const fn worked_part(list: StepList) -> Option<PartIx> {
    match list {
        StepList::Leg(part, ..)
        | StepList::Swap(part)
        | StepList::HandBack(part, _)
        | StepList::Reseat(part) => Some(part),
        _ => None,
    }
}
