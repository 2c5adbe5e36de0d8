//! Each rule, on a unit small enough to see it.

mod clock;
mod ends;
mod ledger;
mod riders;
mod tasks;
mod ways_out_and_back;

use crate::builder::TestUnit;
use lidoff_planner::{Op, PartState, Task, UnitState, Way};

use super::{IllegalPlan, SimulatedPlan, Violation, simulate};

/// Simulates a plan from a closed unit.
fn walk(on: &TestUnit, tasks: &[Task], ops: &[Op]) -> Result<SimulatedPlan, IllegalPlan> {
    walk_from(on, &UnitState::closed(&on.catalog), tasks, ops)
}

fn walk_from(
    on: &TestUnit,
    from: &UnitState,
    tasks: &[Task],
    ops: &[Op],
) -> Result<SimulatedPlan, IllegalPlan> {
    simulate(&on.catalog, &on.setup, tasks, from, &on.prices, ops)
}

/// The simulation of a plan that must be legal.
fn done(on: &TestUnit, tasks: &[Task], ops: &[Op]) -> SimulatedPlan {
    walk(on, tasks, ops).unwrap_or_else(|illegal| panic!("{illegal}"))
}

/// Where the plan is illegal, and why.
fn broken(on: &TestUnit, tasks: &[Task], ops: &[Op]) -> (usize, Violation) {
    match walk(on, tasks, ops) {
        Ok(_) => panic!("this should not be legal"),
        Err(illegal) => (illegal.index, illegal.violation),
    }
}

fn out(on: &TestUnit, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::InPlace)
}

fn back(on: &TestUnit, part: &str) -> Op {
    Op::PutBack(on.part(part), Way::InPlace)
}

fn bench_out(on: &TestUnit, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::Bench)
}

fn bench_back(on: &TestUnit, part: &str) -> Op {
    Op::PutBack(on.part(part), Way::Bench)
}

/// A closed unit but for this part.
fn with_part(on: &TestUnit, part: &str, state: PartState) -> UnitState {
    let mut from = UnitState::closed(&on.catalog);
    from.parts[on.part(part).index()] = state;
    from
}
