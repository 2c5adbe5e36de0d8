//! Planning that holds nobody up: whoever waits for a plan is asked now and then,
//! and can make it rest, show what there is, or stop.

use std::task::{Context, Poll};

use super::Tenths;

pub use lidoff_catalog::block_on;

/// Whoever waits for a plan. What the plan is does not depend on the answers,
/// unless one of them is [`Go::Stop`].
pub trait Patience {
    /// How to go on. Pending makes the planner rest until the context is woken;
    /// then it asks again.
    fn ask(&mut self, so_far: &SoFar, context: &mut Context<'_>) -> Poll<Go>;
}

/// How far the planner is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct SoFar {
    /// States looked at.
    pub states: usize,
    /// No plan takes less.
    pub at_least: Tenths,
    /// What the best plan takes that was looked for so far, where one was found.
    pub best: Option<Tenths>,
}

/// How to go on.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Go {
    /// On.
    On,
    /// On, once it has looked for a plan that could be shown.
    Look,
    /// No farther: with the best plan that there is, and the bound so far.
    Stop,
}

/// Waits until the end.
#[derive(Clone, Copy, Debug)]
pub struct Endless;

impl Patience for Endless {
    fn ask(&mut self, _: &SoFar, _: &mut Context<'_>) -> Poll<Go> {
        Poll::Ready(Go::On)
    }
}
