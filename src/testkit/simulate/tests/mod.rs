//! Each rule, on a unit small enough to see it.

mod clock;
mod ends;
mod legs;
mod riders;
mod tally;
mod tasks;

use crate::builder::OnBench;
use lidoff_planner::{Op, PartState, Task, UnitState, Way};

use super::{Illegal, Walk, Why, simulate};

/// Walks from closed.
fn walk(on: &OnBench, tasks: &[Task], ops: &[Op]) -> Result<Walk, Illegal> {
    walk_from(on, &UnitState::closed(&on.catalog), tasks, ops)
}

fn walk_from(on: &OnBench, from: &UnitState, tasks: &[Task], ops: &[Op]) -> Result<Walk, Illegal> {
    simulate(&on.catalog, &on.setup, tasks, from, &on.prices, ops)
}

/// The walk that must be legal.
fn done(on: &OnBench, tasks: &[Task], ops: &[Op]) -> Walk {
    walk(on, tasks, ops).unwrap_or_else(|illegal| panic!("{illegal}"))
}

/// Where the walk goes wrong, and why.
fn broken(on: &OnBench, tasks: &[Task], ops: &[Op]) -> (usize, Why) {
    match walk(on, tasks, ops) {
        Ok(_) => panic!("this should not be legal"),
        Err(illegal) => (illegal.at, illegal.why),
    }
}

fn out(on: &OnBench, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::InPlace)
}

fn back(on: &OnBench, part: &str) -> Op {
    Op::PutBack(on.part(part), Way::InPlace)
}

fn bench_out(on: &OnBench, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::Bench)
}

fn bench_back(on: &OnBench, part: &str) -> Op {
    Op::PutBack(on.part(part), Way::Bench)
}

/// The closed unit but for this part.
fn with_part(on: &OnBench, part: &str, state: PartState) -> UnitState {
    let mut from = UnitState::closed(&on.catalog);
    from.parts[on.part(part).index()] = state;
    from
}
