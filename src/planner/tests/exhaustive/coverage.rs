//! How much of the truth the heuristic sees, summed over all states of a sample.
//!
//! A heuristic that has become weaker finds the same plans, only slower. So these sums have
//! baselines: what the sample itself is must be equal, and what the planner makes of it must
//! not be worse.

use lidoff_testkit::baseline::{at_least, at_most};

/// Costs are in units of search cost.
#[derive(Debug, Default, PartialEq, Eq)]
pub struct Coverage {
    pub states: usize,
    /// The sum of the true remaining costs.
    pub remaining: u64,
    /// The sums of the heuristic by itself, and refined as far as it goes.
    pub heuristic: u64,
    pub refined: u64,
    /// The sum of the edge bounds of all legal moves, and of the true costs through them.
    pub edge_bounds: u64,
    pub edge_costs: u64,
    pub legal_moves: usize,
    /// Moves that the search generates.
    pub generated_moves: usize,
    /// Pairs of states with one key, at three differences in cost; and those of which one
    /// dominates the other.
    pub pairs: usize,
    pub dominated_pairs: usize,
}

impl Coverage {
    /// Fails where this is worse than the baseline, or was measured on another sample.
    pub fn compare_with(&self, baseline: &Self) {
        let sample = |coverage: &Self| {
            (
                coverage.states,
                coverage.remaining,
                coverage.edge_costs,
                coverage.legal_moves,
                coverage.pairs,
            )
        };
        assert_eq!(
            sample(self),
            sample(baseline),
            "the sample itself has changed, so the baseline must be measured again: {self:?}"
        );
        at_least("the heuristic", self.heuristic, baseline.heuristic);
        at_least("the refined heuristic", self.refined, baseline.refined);
        at_least("the edge bounds", self.edge_bounds, baseline.edge_bounds);
        at_least(
            "pairs of which one dominates the other",
            self.dominated_pairs as u64,
            baseline.dominated_pairs as u64,
        );
        at_most(
            "generated moves",
            self.generated_moves as u64,
            baseline.generated_moves as u64,
        );
    }
}
