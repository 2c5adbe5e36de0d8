//! Figures: counts, masses, lengths, torques and quantities are possible values, and
//! required lists are not empty.

use super::draft::Draft;
use super::entry_kind::EntryKind;
use super::fault::{FaultKind, Report};
use super::path::Path;
use crate::format::{Demand, Torque, TorqueRange};
use crate::model::{Catalog, FasteningIx, Step};
use lidoff_i18n::{plain, tr};

pub(super) fn check(draft: &Draft, report: &mut Report) {
    let catalog = &draft.catalog;
    let root = Path::root();
    if catalog.make_safe.is_empty() {
        report.add(
            FaultKind::NothingThere,
            &root.field("make_safe"),
            tr!("The unit has no make-safe steps."),
            tr!("Describe how to shut it down, isolate it from its supply and secure it."),
        );
    }
    if catalog.faces.is_empty() {
        report.add(
            FaultKind::NothingThere,
            &root.field("faces"),
            tr!("The unit has no faces."),
            tr!("Describe at least the face that is up when the job begins."),
        );
    }
    let changes = root.field("changes");
    for (field, seconds) in [
        ("tool_s", catalog.tool_change_s),
        ("turn_s", catalog.turn_s),
    ] {
        if let Some(seconds) = seconds
            && !(seconds.is_finite() && seconds >= 0.0)
        {
            let what = tr!(
                "A tool change or turn must take 0 s or more, not {}.",
                plain(seconds)
            );
            let fix = tr!("Give the time in seconds.");
            report.add(FaultKind::BadNumber, &changes.field(field), what, fix);
        }
    }
    for (nth, fastener) in catalog.fasteners.iter().enumerate() {
        let at = root.field("fasteners").nth(nth);
        let at = at.about(EntryKind::Fastener, fastener.id.as_str());
        above_nothing(fastener.length_mm, &at.field("length_mm"), report);
        torque(fastener.torque, &at.field("torque"), report);
    }
    for (fastening, at) in catalog.fastenings.iter().zip(&draft.fastenings) {
        torque(fastening.entry.torque, &at.field("torque"), report);
    }
    for (nth, tool) in catalog.tools.iter().enumerate() {
        let at = root.field("tools").nth(nth);
        let at = at.about(EntryKind::Tool, tool.id.as_str()).field("torque");
        if let Some(TorqueRange { low_nm, high_nm }) = tool.torque
            && !(low_nm > 0.0 && high_nm.is_finite() && low_nm < high_nm)
        {
            report.add(
                FaultKind::BadNumber,
                &at,
                tr!("The lowest setting must be above 0 N·m and below the highest."),
                tr!("Give the range as it is printed on the tool, in N·m."),
            );
        }
    }
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        torque_tool(catalog, step, &place.path, report);
    }
    for (part, at) in catalog.parts.iter().zip(&draft.parts) {
        above_nothing(part.mass_kg, &at.field("mass_kg"), report);
    }
    for (step, place) in catalog.steps.iter().zip(&draft.steps) {
        for (nth, used) in step.entry.uses.iter().enumerate() {
            let at = place.path.field("uses").nth(nth).field("quantity");
            above_nothing(Some(used.quantity), &at, report);
        }
    }
    for (nth, hazard) in catalog.hazards.iter().enumerate() {
        let at = root.field("hazards").nth(nth);
        let at = at
            .about(EntryKind::Hazard, hazard.entry.id.as_str())
            .field("demands");
        for (nth, demand) in hazard.entry.demands.iter().enumerate() {
            demands_something(demand, &at.nth(nth), report);
        }
    }
}

fn above_nothing(figure: Option<f64>, at: &Path, report: &mut Report) {
    if let Some(figure) = figure
        && !(figure.is_finite() && figure > 0.0)
    {
        report.add(
            FaultKind::BadNumber,
            at,
            tr!("This must be above 0, not {}.", plain(figure)),
            tr!("Give a value above 0, or leave the field out."),
        );
    }
}

fn torque(torque: Option<Torque>, at: &Path, report: &mut Report) {
    let Some(Torque { nm, tolerance_nm }) = torque else {
        return;
    };
    above_nothing(Some(nm), &at.field("nm"), report);
    if !(tolerance_nm >= 0.0 && tolerance_nm < nm) && nm > 0.0 {
        report.add(
            FaultKind::BadNumber,
            &at.field("tolerance_nm"),
            tr!(
                "A torque of {} N·m cannot have a tolerance of {} N·m.",
                plain(nm),
                plain(tolerance_nm)
            ),
            tr!("Give the tolerance to either side; it must be below the torque."),
        );
    }
}

fn demands_something(demand: &Demand, at: &Path, report: &mut Report) {
    let (field, what) = match demand {
        Demand::WaitMinutes(0) => ("wait-minutes", tr!("The wait must be at least 1 minute.")),
        Demand::People(0 | 1) => ("people", tr!("The number of people must be at least 2.")),
        _ => return,
    };
    let fix = tr!("Give the number, or remove the demand.");
    report.add(FaultKind::BadNumber, &at.field(field), what, fix);
}

/// A stated torque needs a tool that can be set to it.
fn torque_tool(catalog: &Catalog, step: &Step, at: &Path, report: &mut Report) {
    // A tool that is not there is reported as such.
    let tool = step.tool.and_then(|tool| catalog.tools().nth(tool.index()));
    let Some(range) = tool.and_then(|(_, tool)| tool.torque) else {
        let stated = step
            .redo
            .iter()
            .find_map(|set| stated_torque(catalog, *set));
        if let Some(torque) = stated {
            report.add(
                FaultKind::TorqueWithoutTool,
                &at.field("tool"),
                tr!(
                    "{} N·m is asked for, but this tool has no setting.",
                    plain(torque.nm)
                ),
                tr!("Tighten with a torque driver, and give its range under “torque”."),
            );
        }
        return;
    };
    for torque in step
        .redo
        .iter()
        .filter_map(|set| stated_torque(catalog, *set))
    {
        if torque.nm < range.low_nm || torque.nm > range.high_nm {
            report.add(
                FaultKind::TorqueWithoutTool,
                &at.field("tool"),
                tr!(
                    "{} N·m is asked for, but this tool is set from {} to {} N·m.",
                    plain(torque.nm),
                    plain(range.low_nm),
                    plain(range.high_nm)
                ),
                tr!("Use a torque driver whose range covers it."),
            );
        }
    }
}

pub(super) fn stated_torque(catalog: &Catalog, set: FasteningIx) -> Option<Torque> {
    let fastening = catalog.fastening(set);
    // A kind that is not there is reported as such, and so is a torque that cannot be.
    let kind = catalog.fasteners().nth(fastening.fastener.index());
    let of_kind = kind.and_then(|(_, kind)| kind.torque);
    let stated = fastening.entry.torque.or(of_kind);
    stated.filter(|torque| torque.nm > 0.0 && torque.nm.is_finite())
}
