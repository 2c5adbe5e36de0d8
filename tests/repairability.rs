//! The report in the terms of EN 45554:2020 (from memory), with figures worked
//! out by hand from the catalogs and the handbook's element times.

#![allow(clippy::unwrap_used)]

use lidoff_catalog::format::{ReuseClass, ToolClass};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::{Limits, Task, UnitState, plan};
use lidoff_report::exchange::repairability::{AccessLine, Repairability, repairability, text};

fn read(name: &str, json: &str) -> Catalog {
    lidoff_catalog::read(name, json).unwrap_or_else(|faults| panic!("{name}: {faults:#?}"))
}

fn perch() -> Catalog {
    read("perch-22.json", include_str!("../catalogs/perch-22.json"))
}

fn sorrel() -> Catalog {
    read("sorrel-14.json", include_str!("../catalogs/sorrel-14.json"))
}

fn report(catalog: &Catalog) -> Repairability {
    repairability(catalog, &Configuration::usual(catalog), Limits::default()).unwrap()
}

fn way<'a>(report: &'a Repairability, part: &str) -> &'a AccessLine {
    let line = report.parts.iter().find(|line| line.part.as_str() == part);
    line.unwrap().access.as_ref().unwrap()
}

fn ids(way: &AccessLine) -> Vec<&str> {
    way.through.iter().map(|part| part.as_str()).collect()
}

#[test]
fn the_kiosks_lower_cover_lies_two_steps_deep_and_takes_65_8_seconds() {
    let report = report(&perch());
    let lower_cover = way(&report, "lower-cover");
    assert_eq!(ids(lower_cover), ["paper-door", "lower-cover"]);
    // The paper door eased, the cover off: two steps. Each has one tool.
    assert_eq!(lower_cover.depth, 2);
    // Paper door: key 4.2, latch 2.0, aside 4.0. Cover: driver 4.2, turn 4.5, two
    // hindered screws out and aside 2 × (11.3 + 1.4), turn back 4.5, two captive
    // ones 2 × 6.0, snap 3.6, aside 1.4.
    let door = 4.2 + 2.0 + 4.0;
    let cover = 4.2 + 4.5 + 2.0 * (11.3 + 1.4) + 4.5 + 2.0 * 6.0 + 3.6 + 1.4;
    assert!(
        (lower_cover.seconds - (door + cover)).abs() < 0.001,
        "{lower_cover:?}"
    );
    assert!((lower_cover.seconds - 65.8).abs() < 0.001);
    assert!(lower_cover.proven);
}

#[test]
fn the_laptops_base_cover_lies_three_steps_deep_and_takes_223_1_seconds() {
    let report = report(&sorrel());
    let base = way(&report, "base-cover");
    assert_eq!(ids(base), ["foot-strip", "base-cover"]);
    // The foot strip off; the ten screws, then another tool; the cover off.
    assert_eq!(base.depth, 3);
    // Strip: lever 4.2, turn 4.5, two glued seams 2 × 30, aside 1.4, cleaned 30.
    // Cover: driver 4.2, screws out and aside: four short ones
    // 4 × (6.5 + 1.4), two 2 × (8.0 + 1.4), four long ones 4 × (11.0 + 1.4); pick 4.2,
    // three snaps 3 × 3.6, taken away 2.4, aside 1.4.
    let strip = 4.2 + 4.5 + 60.0 + 1.4 + 30.0;
    let screws = 4.0 * 7.9 + 2.0 * 9.4 + 4.0 * 12.4;
    let cover = 4.2 + screws + 4.2 + 3.0 * 3.6 + 2.4 + 1.4;
    assert!((base.seconds - (strip + cover)).abs() < 0.001, "{base:?}");
    assert!((base.seconds - 223.1).abs() < 0.001);
    assert_eq!(base.undone.get(&ReuseClass::Reusable), Some(&10));
    assert!(base.proven);
}

#[test]
fn every_part_that_can_be_replaced_has_a_proven_way_in_that_no_plan_beats() {
    for catalog in [perch(), sorrel()] {
        let report = report(&catalog);
        let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).unwrap();
        let prices = lidoff_estimate::estimate::prices(&catalog);
        for line in report.parts.iter().filter(|line| line.replaceable) {
            let access = line.access.as_ref().unwrap();
            assert!(access.proven, "{line:?}");
            assert_eq!(access.through.last(), Some(&line.part));
            assert!(access.depth as usize >= 1);
            // A plan with the same end takes longer: it goes the same way at the
            // least, and back.
            let part = catalog.find_part(line.part.as_str()).unwrap();
            let tasks = [Task::Replace(part)];
            let closed = UnitState::closed(&catalog);
            let plan = plan(&lidoff_planner::Request {
                catalog: &catalog,
                setup: &setup,
                tasks: &tasks,
                from: &closed,
                prices: &prices,
                blocked: &[],
                limits: Limits::default(),
            })
            .unwrap();
            let whole = f64::from(plan.cost.total) / 10.0;
            assert!(access.seconds < whole, "{line:?} {whole}");
        }
    }
}

#[test]
fn tools_and_fasteners_are_listed_by_class() {
    let catalog = perch();
    let report = report(&catalog);
    let tools: usize = report.tools.values().map(Vec::len).sum();
    assert_eq!(tools, catalog.tools().len());
    let basic = report.tools.get(&ToolClass::Basic).unwrap();
    assert!(
        basic.iter().any(|name| name == "Plastic tweezers"),
        "{basic:?}"
    );
    let removable = report.fasteners.get(&ReuseClass::Removable).unwrap();
    assert_eq!(removable.len(), 1);
    assert_eq!(removable[0].count, 4, "push rivets");
}

#[test]
fn the_report_explains_its_figures_as_text_and_as_json() {
    let report = report(&sorrel());
    let text = text(&report);
    assert!(text.contains("in the sense of EN 45554:2020"), "{text}");
    let base = text.lines().find(|line| line.starts_with("Base cover"));
    let base = base.unwrap();
    assert!(base.contains("   3 ") && base.contains("223.1 s"), "{base}");
    let json = serde_json::to_value(&report).unwrap();
    let base = json["parts"].as_array().unwrap().iter();
    let base = base.clone().find(|part| part["part"] == "base-cover");
    let access = &base.unwrap()["access"];
    assert_eq!(access["depth"], 3);
    assert_eq!(access["undone"]["reusable"], 10);
}
