//! Planning that can pause: the caller is polled every few states and can make the planner
//! rest, ask for a plan to show, or stop it.

use std::task::{Context, Poll};

use crate::cost::Tenths;

pub use lidoff_catalog::block_on;

/// The caller that waits for a plan. The plan does not depend on the answers, unless one of
/// them is [`Control::Stop`].
pub trait ProgressHandler {
    /// Decides how to go on. While this is pending the planner rests; when the context is
    /// woken, it asks again.
    fn ask(&mut self, progress: &Progress, context: &mut Context<'_>) -> Poll<Control>;
}

/// How far the planner is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Progress {
    /// States expanded so far.
    pub states: usize,
    /// No plan takes less.
    pub at_least: Tenths,
    /// The time of the best plan that [`Control::FindPlan`] has found so far.
    pub best: Option<Tenths>,
}

/// How to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Control {
    /// Go on.
    Continue,
    /// Find some plan that could be shown, then go on.
    FindPlan,
    /// Return the best plan found and the bound reached so far.
    Stop,
}

/// Never pauses and never stops.
#[derive(Clone, Copy, Debug)]
pub struct RunToEnd;

impl ProgressHandler for RunToEnd {
    fn ask(&mut self, _: &Progress, _: &mut Context<'_>) -> Poll<Control> {
        Poll::Ready(Control::Continue)
    }
}
