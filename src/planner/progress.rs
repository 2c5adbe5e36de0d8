//! Planning that holds nobody up: whoever waits for a plan is asked now and then,
//! and can make it rest, show what there is, or stop.

use std::task::{Context, Poll};

use super::Tenths;

pub use lidoff_catalog::block_on;

/// Whoever waits for a plan. What the plan is does not depend on the answers,
/// unless one of them is [`Control::Stop`].
pub trait ProgressHandler {
    /// How to go on. Pending makes the planner rest until the context is woken;
    /// then it asks again.
    fn ask(&mut self, progress: &Progress, context: &mut Context<'_>) -> Poll<Control>;
}

/// How far the planner is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// States looked at.
    pub states: usize,
    /// No plan takes less.
    pub at_least: Tenths,
    /// What the best plan takes that was looked for so far, where one was found.
    pub best: Option<Tenths>,
}

/// How to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// On.
    On,
    /// On, once it has looked for a plan that could be shown.
    Look,
    /// No farther: with the best plan that there is, and the bound so far.
    Stop,
}

/// Waits until the end.
#[derive(Clone, Copy, Debug)]
pub struct RunToEnd;

impl ProgressHandler for RunToEnd {
    fn ask(&mut self, _: &Progress, _: &mut Context<'_>) -> Poll<Control> {
        Poll::Ready(Control::On)
    }
}
