//! The plans of the demo units, told so briefly that they can be kept: the same
//! request must have the same plan on every machine, and in the browser.

use std::fmt::Write as _;

use crate::demo::CATALOGS;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::read;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_estimate::estimate::prices;
use lidoff_planner::request::with_services;
use lidoff_planner::{Limits, Op, Request, Task, UnitState, plan};

/// As they were kept.
pub const EXPECTED: &str = include_str!("demo_plans.txt");

/// As this machine plans them.
pub fn plan_demo_units() -> String {
    let mut told = String::new();
    for (name, text) in CATALOGS {
        let catalog = read(name, text).expect("the demo units are checked by another test");
        let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).expect("the usual unit");
        let tasks = tasks(&catalog, &setup);
        for (at, task) in tasks.iter().enumerate() {
            // Alone, and with the next one.
            let pair = [*task, tasks[(at + 1) % tasks.len()]];
            let alone = line(&catalog, &setup, &pair[..1]);
            let both = line(&catalog, &setup, &pair);
            writeln!(told, "{name} {task:?}: {alone}; and the next: {both}")
                .expect("a string takes all");
        }
    }
    told
}

fn tasks(catalog: &Catalog, setup: &Setup) -> Vec<Task> {
    let there = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let offered_tasks = there.flat_map(|(at, part)| {
        let replace = part.swap.iter().map(move |_| Task::Replace(at));
        let reseat = part.reseat.iter().map(move |_| Task::Reseat(at));
        let inspect = part.inspect.iter().map(move |_| Task::Inspect(at));
        replace.chain(reseat).chain(inspect)
    });
    offered_tasks.collect()
}

/// Tenths of a second, operations, a number that hangs on every operation and on the
/// order, and how many states were looked at: a bound that has become looser, or a
/// search that leaves out less, is seen by that alone.
fn line(catalog: &Catalog, setup: &Setup, tasks: &[Task]) -> String {
    let tasks = with_services(catalog, setup, tasks);
    let request = Request {
        catalog,
        setup,
        tasks: &tasks,
        from: &UnitState::closed(catalog),
        prices: &prices(catalog),
        blocked: &[],
        limits: Limits::INTERACTIVE,
    };
    match plan(&request) {
        Ok(plan) => {
            let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
            let (total, number) = (plan.cost.total, digest(&format!("{ops:?}")));
            format!("{total} {} {number:08x} in {}", ops.len(), plan.states)
        }
        Err(refusal) => refusal.words(catalog),
    }
}

/// FNV-1a, 32 bits (G. Fowler, L. C. Noll, K.-P. Vo; the constants from memory): any
/// that spreads well would do.
fn digest(text: &str) -> u32 {
    text.bytes().fold(0x811C_9DC5, |sum: u32, byte| {
        (sum ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    })
}
