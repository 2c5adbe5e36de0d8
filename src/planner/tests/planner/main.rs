//! Checks of the planner from outside, of its package alone, so that changing the
//! planner to see whether they notice (`make mutants`) builds no more than these.

#![allow(clippy::unwrap_used)]

mod access;
mod blocked;
mod explanation;
mod limits;
mod long_chains;
mod messages;
mod must_remain;
mod progress;
mod properties;
mod published;
mod reference;
mod riders;
mod routes;
mod simulator;
mod tasks;
