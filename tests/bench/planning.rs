//! How long a plan takes: every single task and every pair of tasks on each demo
//! unit as it is usually fitted.

use std::fmt::Write as _;

use lidoff::app::planning::LIMITS;
use lidoff::catalog::model::Catalog;
use lidoff::catalog::read;
use lidoff::catalog::setup::{SaidSetup, Setup};
use lidoff::plan::gently::{Endless, at_once};
use lidoff::plan::request::with_services;
use lidoff::plan::{Proof, Request, Task, UnitState, plan_gently};
use lidoff::time::estimate::prices;

/// The demo units.
pub const UNITS: [(&str, &str); 2] = [
    (
        "perch-22.json",
        include_str!("../../catalogs/perch-22.json"),
    ),
    (
        "sorrel-14.json",
        include_str!("../../catalogs/sorrel-14.json"),
    ),
];

/// Plans everything on one of the units; `now_ms` is a clock. What it took, in
/// words.
pub fn run(unit: usize, now_ms: impl Fn() -> f64) -> String {
    let (name, text) = UNITS[unit];
    let catalog = read(name, text).expect("the demo units are checked by another test");
    let setup = Setup::new(&catalog, &SaidSetup::usual(&catalog)).expect("the usual unit");
    let tasks = tasks(&catalog, &setup);
    let singles = tasks.iter().map(|task| vec![*task]);
    let pairs = (0..tasks.len())
        .flat_map(|one| (one + 1..tasks.len()).map(move |other| (one, other)))
        .map(|(one, other)| vec![tasks[one], tasks[other]]);
    let mut report = String::new();
    for (what, asked) in [
        ("single tasks", singles.collect::<Vec<_>>()),
        ("pairs of tasks", pairs.collect()),
    ] {
        let line = measured(&catalog, &setup, &asked, &now_ms);
        writeln!(report, "{name}, {what}: {line}").expect("a string takes all");
    }
    report
}

fn measured(
    catalog: &Catalog,
    setup: &Setup,
    asked: &[Vec<Task>],
    now_ms: &impl Fn() -> f64,
) -> String {
    let (prices, from) = (prices(catalog), UnitState::closed(catalog));
    let mut times = Vec::new();
    let mut unproven = 0;
    for tasks in asked {
        let tasks = with_services(catalog, setup, tasks);
        let request = Request {
            catalog,
            setup,
            tasks: &tasks,
            from: &from,
            prices: &prices,
            blocked: &[],
            limits: LIMITS,
        };
        let start = now_ms();
        // As the app does, from the outside: what is compiled there is small and slow.
        let plan = at_once(plan_gently(&request, &mut Endless));
        times.push(now_ms() - start);
        match plan {
            Ok(plan) if plan.proof == Proof::Cheapest => {}
            Ok(_) => unproven += 1,
            Err(refusal) => panic!("{}", refusal.words(catalog)),
        }
    }
    times.sort_by(f64::total_cmp);
    let at = |share: f64| times[((times.len() - 1) as f64 * share).round() as usize];
    format!(
        "n = {}, p50 {:.2} ms, p95 {:.2} ms, max {:.2} ms, not proven within the limit: {unproven}",
        times.len(),
        at(0.5),
        at(0.95),
        at(1.0)
    )
}

fn tasks(catalog: &Catalog, setup: &Setup) -> Vec<Task> {
    let there = || catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let replace = there().filter(|(_, part)| part.swap.is_some());
    let reseat = there().filter(|(_, part)| part.reseat.is_some());
    let inspect = there().filter(|(_, part)| part.inspect.is_some());
    replace
        .map(|(at, _)| Task::Replace(at))
        .chain(reseat.map(|(at, _)| Task::Reseat(at)))
        .chain(inspect.map(|(at, _)| Task::Inspect(at)))
        .collect()
}
