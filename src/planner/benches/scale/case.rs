//! One unit, one request: time, memory and quality.

use std::time::Instant;

use lidoff_planner::{Limits, Proof, Refusal, Request, UnitState, plan};

use lidoff_testkit::builder::TestUnit;
use lidoff_testkit::scale_unit;

#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScaleResult {
    pub parts: usize,
    pub tasks: usize,
    /// Planning time in ms.
    pub ms: f64,
    /// Expanded states.
    pub states: usize,
    /// Peak memory in MiB, the catalog included.
    pub mib: f64,
    /// The number of operations; 0 where no plan was found within the limit.
    pub ops: usize,
    /// How far the plan may be above the proven bound, in per cent.
    pub gap: Option<f64>,
}

impl ScaleResult {
    /// One line, for the process that started this one.
    pub fn line(&self) -> String {
        let gap = self
            .gap
            .map_or_else(|| "none".to_owned(), |gap| gap.to_string());
        format!(
            "{} {} {} {} {} {} {gap}",
            self.parts, self.tasks, self.ms, self.states, self.mib, self.ops
        )
    }

    pub fn read(line: &str) -> Option<Self> {
        let mut words = line.split_whitespace();
        Some(Self {
            parts: words.next()?.parse().ok()?,
            tasks: words.next()?.parse().ok()?,
            ms: words.next()?.parse().ok()?,
            states: words.next()?.parse().ok()?,
            mib: words.next()?.parse().ok()?,
            ops: words.next()?.parse().ok()?,
            gap: words.next()?.parse().ok(),
        })
    }
}

/// A* and weighted A*, each within the limit.
const SEARCHES: usize = 2;

/// Plans `tasks` tasks on a unit of `parts` parts, with the limit of the screens.
pub fn run(parts: usize, tasks: usize) -> ScaleResult {
    let on = TestUnit::new(scale_unit::file(parts));
    let asked = scale_unit::tasks(&on.catalog, tasks);
    let from = UnitState::closed(&on.catalog);
    let request = Request {
        catalog: &on.catalog,
        setup: &on.setup,
        tasks: &asked,
        from: &from,
        prices: &on.prices,
        blocked: &[],
        limits: Limits::INTERACTIVE,
    };
    let start = Instant::now();
    let plan = plan(&request);
    let ms = start.elapsed().as_secs_f64() * 1000.0;
    let (states, ops, gap) = match &plan {
        Ok(plan) => {
            let gap = match plan.proof {
                Proof::Cheapest => 0.0,
                Proof::AtLeast(bound) => {
                    (f64::from(plan.cost.total) / f64::from(bound.max(1)) - 1.0) * 100.0
                }
            };
            (plan.states, plan.ops.len(), Some(gap))
        }
        Err(Refusal::Limit { states }) => (*states, 0, None),
        Err(refusal) => panic!("{}", refusal.words(&on.catalog)),
    };
    assert!(
        states <= SEARCHES * Limits::INTERACTIVE.states,
        "the limit did not hold"
    );
    ScaleResult {
        parts,
        tasks,
        ms,
        states,
        mib: peak_mib(),
        ops,
        gap,
    }
}

/// The peak memory of this process, as counted by Linux; 0 elsewhere.
fn peak_mib() -> f64 {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find(|line| line.starts_with("VmHWM:"));
    let kib = line.and_then(|line| line.split_whitespace().nth(1)?.parse::<f64>().ok());
    kib.unwrap_or(0.0) / 1024.0
}
