//! A job from end to end: what a log adds up to, whatever is in it, and whether
//! plans, times and tallies hold on the demo units.

#![allow(clippy::unwrap_used)]

mod also;
mod clocks;
mod desk;
mod plans;
mod reasons;
mod replans;
mod store;
mod story;
mod support;
mod total;
mod wrap_up;
