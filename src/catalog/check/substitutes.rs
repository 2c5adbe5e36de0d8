//! Tools that can do the work of another: they exist, and can be set to the same torques.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::figures::stated_torque;
use super::ids::unknown;
use super::path::Path;
use crate::format::Tool;
use crate::model::{Catalog, ToolIx};
use lidoff_i18n::{plain, tr};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    for (ix, tool) in catalog.tools() {
        let at = Path::root().field("tools").nth(ix.index());
        let at = at.about(EntryKind::Tool, tool.id.as_str());
        for (nth, id) in tool.instead.iter().enumerate() {
            let at = at.field("instead").nth(nth);
            let mut tools = catalog.tools.iter();
            match tools.find(|other| other.id == *id) {
                None => {
                    let known = catalog.tools.iter().map(|tool| tool.id.as_str());
                    unknown(EntryKind::Tool, id.as_str(), known, &at, report);
                }
                Some(other) if other.id == tool.id => report.add(
                    FaultKind::StandsInForItself,
                    &at,
                    tr!("A tool cannot stand in for itself."),
                    tr!("Name another tool, or remove it."),
                ),
                Some(other) => covers_torques(catalog, ix, other, &at, report),
            }
        }
    }
}

fn covers_torques(catalog: &Catalog, tool: ToolIx, other: &Tool, at: &Path, report: &mut Report) {
    let steps = catalog.steps.iter().filter(|step| step.tool == Some(tool));
    let torques = steps.flat_map(|step| &step.redo);
    let mut torques = torques.filter_map(|set| stated_torque(catalog, *set));
    let is_covered = |nm: f64| {
        let range = other.torque;
        range.is_some_and(|range| range.low_nm <= nm && nm <= range.high_nm)
    };
    if let Some(torque) = torques.find(|torque| !is_covered(torque.nm)) {
        report.add(
            FaultKind::TorqueWithoutTool,
            at,
            tr!(
                "{} N·m is asked for, but this tool cannot be set to it.",
                plain(torque.nm)
            ),
            tr!("Use a torque driver whose range covers it."),
        );
    }
}
