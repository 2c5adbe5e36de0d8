//! Black-box tests of the planner. They depend only on the planner and the testkit, so that
//! mutation testing builds no more than these.

#![allow(clippy::unwrap_used)]

mod access;
mod blocked;
mod checks;
mod explanation;
mod limits;
mod long_chains;
mod messages;
mod must_remain;
mod optimality;
mod prerequisite_closure;
mod progress;
mod properties;
mod published;
mod reference;
mod riders;
mod routes;
mod simulator;
mod tasks;
