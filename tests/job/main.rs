//! A job from end to end: what a log adds up to, whatever is in it, and whether
//! plans, times and tallies hold on the demo units.

#![allow(clippy::unwrap_used)]

mod backup;
mod clocks;
mod desk;
mod half_done;
mod handed_on;
mod limits;
mod marginal_cost;
mod old_parts;
mod plans;
mod power;
mod reasons;
mod replans;
mod store;
mod story;
mod total;
mod unavailable_parts;
mod waits;
mod wrap_up;
