//! The plans of the demo units in short form: the same request must have the same plan on
//! every machine, and in the browser.

use std::fmt::Write as _;

use crate::demo::CATALOGS;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::read;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_estimate::estimate::prices;
use lidoff_planner::request::with_services;
use lidoff_planner::{Limits, Op, Request, Task, UnitState, plan};

/// The plans that were written down.
pub const EXPECTED: &str = include_str!("demo_plans.txt");

/// The plans that this machine makes.
pub fn plan_demo_units() -> String {
    let mut report = String::new();
    for (name, text) in CATALOGS {
        let catalog = read(name, text).expect("the demo units are checked by another test");
        let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).expect("the usual unit");
        let tasks = tasks(&catalog, &setup);
        for (at, task) in tasks.iter().enumerate() {
            // The task alone, and with the next one.
            let pair = [*task, tasks[(at + 1) % tasks.len()]];
            let alone = line(&catalog, &setup, &pair[..1]);
            let both = line(&catalog, &setup, &pair);
            writeln!(report, "{name} {task:?}: {alone}; and the next: {both}")
                .expect("a string takes all");
        }
    }
    report
}

/// The lines of `found` that differ from `expected`, and those that are missing. Times, operations
/// and their order must be equal; fewer states are welcome.
pub fn differences(expected: &str, found: &str) -> Vec<String> {
    let (mut expected, mut found) = (expected.lines(), found.lines());
    let mut differences = Vec::new();
    loop {
        match (expected.next(), found.next()) {
            (None, None) => return differences,
            (Some(expected), Some(found)) if is_no_worse(expected, found) => {}
            (expected, found) => differences.push(format!(
                "expected: {}\n   found: {}",
                expected.unwrap_or("no more lines"),
                found.unwrap_or("no more lines")
            )),
        }
    }
}

/// Whether the lines are equal, but for fewer states in the second one.
fn is_no_worse(expected: &str, found: &str) -> bool {
    let (mut expected_words, mut found_words) = (expected.split(' '), found.split(' '));
    let mut follows_in = false;
    loop {
        match (expected_words.next(), found_words.next()) {
            (None, None) => return true,
            (Some(one), Some(other)) if one == other => follows_in = one == "in",
            (Some(one), Some(other)) if follows_in => match (states(one), states(other)) {
                (Some(most), Some(states)) if states <= most => follows_in = false,
                _ => return false,
            },
            _ => return false,
        }
    }
}

/// `12` or `12;`.
fn states(word: &str) -> Option<usize> {
    word.strip_suffix(';').unwrap_or(word).parse().ok()
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

/// The time in tenths of a second, the number of operations, a digest of all operations in
/// order, and the number of expanded states, which shows a weaker heuristic.
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

/// FNV-1a, 32 bits (G. Fowler, L. C. Noll, K.-P. Vo; the constants from memory). Any hash that
/// spreads well would do.
fn digest(text: &str) -> u32 {
    text.bytes().fold(0x811C_9DC5, |sum: u32, byte| {
        (sum ^ u32::from(byte)).wrapping_mul(0x0100_0193)
    })
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::differences;

    const LINE: &str = "a.json Replace(1): 1738 5 68a70f90 in 4; and the next: 3006 8 5b6e in 5\n";

    #[test]
    fn fewer_states_are_no_difference() {
        let fewer = LINE.replace("in 4", "in 3");
        assert_eq!(differences(LINE, LINE), Vec::<String>::new());
        assert_eq!(differences(LINE, &fewer), Vec::<String>::new());
        assert_eq!(differences(&fewer, LINE).len(), 1, "one state more");
    }

    #[test]
    fn another_time_another_order_and_a_missing_line_are_differences() {
        for (old, new) in [("1738", "1737"), ("68a7", "68a8"), (" 8 ", " 7 ")] {
            assert_eq!(differences(LINE, &LINE.replace(old, new)).len(), 1, "{new}");
        }
        assert_eq!(differences(LINE, "").len(), 1);
        assert_eq!(differences("", LINE).len(), 1);
    }
}
