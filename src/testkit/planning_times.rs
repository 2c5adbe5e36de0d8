//! How long planning takes: every single task and every pair of tasks on each demo unit with
//! its usual options; and, half-way through each single task, a new plan with each of the
//! others added.

use std::fmt::Write as _;

use crate::demo::CATALOGS;
use crate::simulate::Simulation;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::read;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_estimate::estimate::prices;
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_planner::request::with_services;
use lidoff_planner::{Limits, Prices, Proof, Request, Task, UnitState, plan, plan_async};

/// Plans everything on one of the units and reports the times. `now_ms` is a clock.
pub fn run(unit: usize, now_ms: impl Fn() -> f64) -> String {
    let (name, text) = CATALOGS[unit];
    let catalog = read(name, text).expect("the demo units are checked by another test");
    let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).expect("the usual unit");
    let tasks = tasks(&catalog, &setup);
    let singles = tasks.iter().map(|task| vec![*task]);
    let pairs = (0..tasks.len())
        .flat_map(|one| (one + 1..tasks.len()).map(move |other| (one, other)))
        .map(|(one, other)| vec![tasks[one], tasks[other]])
        .filter(|pair| can_both(pair[0], pair[1]));
    let closed = UnitState::closed(&catalog);
    let from_closed = |tasks: Vec<Task>| TimedRequest {
        tasks: with_services(&catalog, &setup, &tasks),
        from: closed.clone(),
    };
    let mut report = String::new();
    for (what, asked) in [
        ("single tasks", singles.map(from_closed).collect::<Vec<_>>()),
        ("pairs of tasks", pairs.map(from_closed).collect()),
        ("one more half-way", half_way(&catalog, &setup, &tasks)),
    ] {
        let line = measured(&catalog, &setup, &asked, &now_ms);
        writeln!(report, "{name}, {what}: {line}").expect("a string takes all");
    }
    report
}

/// A request with its start state.
struct TimedRequest {
    tasks: Vec<Task>,
    from: UnitState,
}

/// For each task, when half of its operations are done, one more task.
fn half_way(catalog: &Catalog, setup: &Setup, tasks: &[Task]) -> Vec<TimedRequest> {
    let (prices, closed) = (prices(catalog), UnitState::closed(catalog));
    let mut all = Vec::new();
    for one in tasks {
        let alone = TimedRequest {
            tasks: with_services(catalog, setup, &[*one]),
            from: closed.clone(),
        };
        let plan = plan(&request(catalog, setup, &prices, &alone)).expect("it can be done");
        let mut simulation = Simulation::new(catalog, setup, &alone.tasks, &closed, &prices)
            .expect("the unit is the catalog's");
        for planned in &plan.ops[..plan.ops.len() / 2] {
            simulation
                .perform(planned.op)
                .expect("a plan can be walked");
        }
        let now = simulation.current_state();
        let is_done = |task: &Task| alone.tasks.contains(task) && !now.left.contains(task);
        for other in tasks.iter().filter(|other| can_both(*one, **other)) {
            let mut tasks = with_services(catalog, setup, &[*one, *other]);
            tasks.retain(|task| !is_done(task));
            all.push(TimedRequest {
                tasks,
                from: now.state.clone(),
            });
        }
    }
    all
}

fn request<'a>(
    catalog: &'a Catalog,
    setup: &'a Setup,
    prices: &'a Prices,
    asked: &'a TimedRequest,
) -> Request<'a> {
    Request {
        catalog,
        setup,
        tasks: &asked.tasks,
        from: &asked.from,
        prices,
        blocked: &[],
        limits: Limits::INTERACTIVE,
    }
}

fn measured(
    catalog: &Catalog,
    setup: &Setup,
    asked: &[TimedRequest],
    now_ms: &impl Fn() -> f64,
) -> String {
    let prices = prices(catalog);
    let mut times = Vec::new();
    let mut unproven = 0;
    for asked in asked {
        let request = request(catalog, setup, &prices, asked);
        let start = now_ms();
        // Called as the app calls it: generic code is compiled in the caller, which is made
        // small.
        let plan = block_on(plan_async(&request, &mut RunToEnd));
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

/// Whether one job can have both tasks: a part that is left out gets nothing else done.
fn can_both(one: Task, other: Task) -> bool {
    let is_left_out = |task| matches!(task, Task::LeaveOut(_));
    one != other
        && (one.op().part() != other.op().part() || !is_left_out(one) && !is_left_out(other))
}

fn tasks(catalog: &Catalog, setup: &Setup) -> Vec<Task> {
    let there = || catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let replace = there().filter(|(_, part)| part.swap.is_some());
    let reseat = there().filter(|(_, part)| part.reseat.is_some());
    let inspect = there().filter(|(_, part)| part.inspect.is_some());
    let leave_out = there().filter(|(_, part)| !part.leave_out.is_empty());
    replace
        .map(|(at, _)| Task::Replace(at))
        .chain(reseat.map(|(at, _)| Task::Reseat(at)))
        .chain(inspect.map(|(at, _)| Task::Inspect(at)))
        .chain(leave_out.map(|(at, _)| Task::LeaveOut(at)))
        .collect()
}
