//! What a failed reading means: it belongs to a reading, and what it names exists.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::ids::unknown;
use super::path::Path;
use super::texts::text_at;
use crate::format::{AddedTask, Adjustment, OnFailure, PartId};
use crate::model::{Catalog, Part};
use lidoff_i18n::{plain, tr};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        let Some(on_failure) = &step.entry.on_failure else {
            continue;
        };
        let at = place.path.field("on_failure");
        if step.entry.reading.is_none() {
            report.add(
                FaultKind::FailsWithoutReading,
                &at,
                tr!("The step says what a failed reading means, but it has no reading."),
                tr!("Add “reading”, or remove “on_failure”."),
            );
        }
        match on_failure {
            OnFailure::Stop(words) => text_at(words, &at.field("stop"), report),
            OnFailure::Isolate(id) => source(catalog, id, &at.field("isolate"), report),
            OnFailure::Adjust(adjustment) => adjust(adjustment, &at.field("adjust"), report),
            OnFailure::Add(task) => added(catalog, task, &at.field("add"), report),
        }
    }
}

fn source(catalog: &Catalog, id: &PartId, at: &Path, report: &mut Report) {
    let sources = || catalog.sources().map(|(_, part)| part.id.as_str());
    if !sources().any(|known| known == id.as_str()) {
        unknown(EntryKind::Source, id.as_str(), sources(), at, report);
    }
}

fn adjust(adjustment: &Adjustment, at: &Path, report: &mut Report) {
    if adjustment.actions.is_empty() {
        report.add(
            FaultKind::NothingThere,
            &at.field("do"),
            tr!("The adjustment has no actions."),
            tr!("Write what to adjust, and by how much."),
        );
    }
    for (nth, action) in adjustment.actions.iter().enumerate() {
        text_at(action, &at.field("do").nth(nth), report);
    }
    if adjustment.at_most == 0 {
        report.add(
            FaultKind::BadNumber,
            &at.field("at_most"),
            tr!("The count must be at least 1."),
            tr!("Say how often it may be adjusted before the reading counts as failed."),
        );
    }
    let most = f64::from(adjustment.at_most);
    if !(0.0..=most).contains(&adjustment.expected) {
        report.add(
            FaultKind::BadNumber,
            &at.field("expected"),
            tr!(
                "The expected number of adjustments must be between 0 and {most}, not {}.",
                plain(adjustment.expected),
                most = plain(most)
            ),
            tr!("Give the average over many jobs, for example 0.5."),
        );
    }
}

/// The task exists and the catalog says how it is done.
fn added(catalog: &Catalog, task: &AddedTask, at: &Path, report: &mut Report) {
    let (field, id, offers): (_, _, fn(&Part) -> bool) = match task {
        AddedTask::Replace(id) => ("replace", id, |part| part.swap.is_some()),
        AddedTask::Reseat(id) => ("reseat", id, |part| part.reseat.is_some()),
        AddedTask::Inspect(id) => ("inspect", id, |part| part.inspect.is_some()),
        AddedTask::Serve(id) => {
            let services = || catalog.services().map(|(_, one)| one.entry.id.as_str());
            if !services().any(|known| known == id.as_str()) {
                let at = at.field("serve");
                unknown(EntryKind::Service, id.as_str(), services(), &at, report);
            }
            return;
        }
    };
    let offering = || catalog.parts().filter(|(_, part)| offers(part));
    let ids = || offering().map(|(_, part)| part.id.as_str());
    if !ids().any(|known| known == id.as_str()) {
        unknown(
            EntryKind::Part,
            id.as_str(),
            ids(),
            &at.field(field),
            report,
        );
    }
}
