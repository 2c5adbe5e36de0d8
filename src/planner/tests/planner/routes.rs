//! Two routes to the same place: the heuristic assumes only one of them is open, and must not
//! forget that the other can be opened as well.

use lidoff_catalog::format::{CatalogFile, Leg, OrderAnchor, Service, Step, Swap};
use lidoff_planner::{Op, Task, plan};
use lidoff_testkit::builder::{TestUnit, any, free, leg, off, part, service, step_with, unit};
use lidoff_testkit::planning_case::PlanningCase;

/// Out and back, each with a tool and a time (s), or bare-handed.
fn moved(id: &str, out: (f64, Option<&str>), back: (f64, Option<&str>), needs: Leg) -> Leg {
    let step = |name: String, (seconds, tool): (f64, Option<&str>)| Step {
        tool: tool.map(Into::into),
        face: None,
        ..step_with(&name, seconds, "lever", "front")
    };
    Leg {
        out: vec![step(format!("{id}-out"), out)],
        back: vec![step(format!("{id}-back"), back)],
        ..needs
    }
}

/// The core lies under the lid. The run with the lever comes after the core was replaced, and
/// needs the lid or the flap off. The flap comes off with the driver in this time, and goes
/// back at once.
fn lid_and_flap(flap_out: f64) -> CatalogFile {
    let mut file = unit("lid-and-flap");
    let (driver, pliers) = (Some("driver"), Some("pliers"));
    let mut lid = part("lid");
    lid.take_off = Some(moved("lid", (2.0, driver), (3.0, pliers), leg("-", free())));
    let mut flap = part("flap");
    flap.take_off = Some(moved(
        "flap",
        (flap_out, driver),
        (0.1, None),
        leg("-", free()),
    ));
    let mut core = part("core");
    core.take_off = Some(moved(
        "core",
        (2.0, pliers),
        (3.0, pliers),
        leg("-", off("lid")),
    ));
    core.swap = Some(Swap::default());
    file.parts = vec![lid, flap, core];
    file.services = vec![Service {
        after: vec![OrderAnchor::Swap("core".into())],
        steps: vec![Step {
            face: None,
            ..step_with("run", 1.0, "lever", "front")
        }],
        ..service("run", any([off("lid"), off("flap")]))
    }];
    file
}

fn cheapest(file: CatalogFile) -> (u32, Vec<Op>) {
    let on = TestUnit::new(file);
    let tasks = vec![
        Task::Replace(on.part("core")),
        Task::Serve(on.service("run")),
    ];
    let job = PlanningCase::on(&on, &tasks);
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
    (plan.cost.total, ops)
}

/// Lid and core out and back, and the run.
const WORK: u32 = 20 + 30 + 20 + 30 + 10;

/// Driver, pliers and lever, once each: the flap comes off while the driver is in hand, and
/// the lid is back before the run. Without the flap the pliers are fetched twice.
#[test]
fn another_route_is_opened_as_well_where_that_saves_a_change() {
    let (total, ops) = cheapest(lid_and_flap(3.0));
    assert_eq!(total, WORK + 30 + 1 + 3 * 50, "{ops:?}");
}

/// As above, but the flap takes longer than the change.
#[test]
fn another_route_stays_closed_where_it_takes_longer_than_the_change() {
    let (total, ops) = cheapest(lid_and_flap(6.0));
    assert_eq!(total, WORK + 4 * 50, "{ops:?}");
}
