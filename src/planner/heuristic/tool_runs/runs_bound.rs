//! The bound on tool and face changes: the sum over all projections.

use std::cell::RefCell;

use crate::bit_set::BitSet;
use crate::request::Prices;

use super::super::leg_profile::LegProfile;
use super::super::state_facts::StateFacts;
use super::super::task_profile::TaskProfile;
use super::joint_projection::{JointContext, JointProjection};
use super::operations::{OperationGraph, OperationSet};
use super::projection::Projection;
use super::run_count::{NOT_COUNTED, RemainingRuns};

pub struct ToolRunsBound {
    graph: OperationGraph,
    /// The tools, then the faces.
    projections: RefCell<Vec<Projection>>,
    tools: usize,
    joint: RefCell<Option<JointProjection>>,
    /// The price of a tool change, and of a face change, in tenths.
    prices: [u64; 2],
}

/// A lower bound on what the changes cost, in tenths.
pub struct RefinedChanges {
    pub least: u64,
    /// Asking with a higher limit would find no better one.
    pub is_final: bool,
}

impl ToolRunsBound {
    #[cold]
    pub fn new(
        legs: &[Option<LegProfile>],
        tasks: Vec<TaskProfile>,
        reopening: Vec<u64>,
        prices: &Prices,
    ) -> Self {
        let graph = OperationGraph::new(legs, tasks, reopening);
        let tools = graph.resource_count(|used| &used.tools);
        let faces = graph.resource_count(|used| &used.faces);
        let of_tools = (0..tools).map(|tool| Projection::new(&graph, tool, |used| &used.tools));
        let of_faces = (0..faces).map(|face| Projection::new(&graph, face, |used| &used.faces));
        let projections = of_tools.chain(of_faces).collect();
        let prices = [prices.tool_change, prices.face_change].map(u64::from);
        Self {
            joint: RefCell::new(JointProjection::new(&graph, tools, prices)),
            graph,
            projections: RefCell::new(projections),
            tools,
            prices,
        }
    }

    /// The operations that are left where riders of the legs `in_place` are moved in place;
    /// and, with the work of that, those that are left where a part that must remain for
    /// something is opened once more after it, or another route is opened as well.
    pub fn remaining(
        &self,
        facts: &StateFacts,
        in_place: &BitSet,
    ) -> (RemainingRuns, Option<(RemainingRuns, u64)>) {
        let (operations, reopening) = self.graph.remaining(facts, in_place);
        let with_reopening =
            reopening.map(|work| (self.not_counted(operations.without_conditions()), work));
        (self.not_counted(operations), with_reopening)
    }

    fn not_counted(&self, operations: OperationSet) -> RemainingRuns {
        let projections = self.projections.borrow();
        let counts = projections.iter().map(|projection| {
            let count = if projection.is_used_in(&operations) {
                NOT_COUNTED
            } else {
                0
            };
            [count; 2]
        });
        let counts = counts.collect();
        RemainingRuns { operations, counts }
    }

    /// Whether [`Self::refine`] can find more than [`Self::least`].
    pub fn can_refine(&self) -> bool {
        self.joint.borrow().is_some()
    }

    /// Tool and face changes cost at least this, with this tool in hand and this face up.
    pub fn least(&self, runs: &mut RemainingRuns, tool: u16, face: u16) -> u64 {
        self.sum(runs, tool, face, |_| true)
    }

    /// The same with some tools and faces looked at together: exact for those where the
    /// result is below the limit.
    pub fn refine(
        &self,
        runs: &mut RemainingRuns,
        tool: u16,
        face: u16,
        limit: u64,
    ) -> RefinedChanges {
        let least = self.least(runs, tool, face);
        let is_final = least < limit;
        let separate = RefinedChanges { least, is_final };
        let mut joint = self.joint.borrow_mut();
        let Some(joint) = joint.as_mut().filter(|_| is_final) else {
            return separate;
        };
        let others = self.sum(runs, tool, face, |projection| !joint.includes(projection));
        let current = joint.current(tool, face);
        let mut context = JointContext {
            graph: &self.graph,
            projections: &mut self.projections.borrow_mut(),
        };
        let found = joint.least(&mut context, current, runs, limit.saturating_sub(others));
        found.map_or(separate, |found| RefinedChanges {
            least: least.max(others + found),
            is_final: others + found < limit,
        })
    }

    /// The sum over the projections with these indices, each by itself.
    fn sum(
        &self,
        runs: &mut RemainingRuns,
        tool: u16,
        face: u16,
        is_included: impl Fn(usize) -> bool,
    ) -> u64 {
        let mut projections = self.projections.borrow_mut();
        let all = projections.iter_mut().zip(&mut runs.counts).enumerate();
        let mut least = 0;
        for (index, (projection, counts)) in all.filter(|(index, _)| is_included(*index)) {
            let (price, resource, current) = match index.checked_sub(self.tools) {
                None => (self.prices[0], index, tool),
                Some(index) => (self.prices[1], index, face),
            };
            let is_current = resource == usize::from(current);
            let count = &mut counts[usize::from(is_current)];
            if *count == NOT_COUNTED {
                *count = projection.least(&self.graph, is_current, &runs.operations);
            }
            least += u64::from(*count) * price;
        }
        least
    }
}
