//! One operation as the search sees it.

use crate::cost::Tenths;
use crate::op::Op;
use crate::request::{Prices, Request};
use crate::state::PartState;
use lidoff_catalog::model::{FaceIx, StepIx, ToolIx};

use super::compiled_precondition::CompiledPrecondition;
use super::precondition::Precondition;
use super::resource_use::ResourceUse;
use super::search_state::SearchState;
use super::timed_steps::{TimedStep, play_steps, run_down_waits, timed_steps};

/// An operation with its precondition, cost and effect.
#[derive(Clone, Debug)]
pub struct Action {
    pub op: Op,
    pub steps: Vec<StepIx>,
    /// The part that it moves.
    pub part_move: Option<PartMove>,
    /// The task that it does, as a bit.
    pub completes: u64,
    /// Tasks that must be done before it, as bits.
    pub after_tasks: u64,
    /// Tasks that must not be done before it, as bits: no part is put back once it is left out.
    pub before_tasks: u64,
    /// The request blocks it. It stays in the problem because its part was opened before
    /// the block, see `Problem::is_unusable`.
    pub is_blocked: bool,
    /// It is no operation of the plan: what stays off counts as back at the end.
    pub is_virtual: bool,
    pub precondition: Precondition,
    /// The precondition, and that the part is where the move begins.
    pub compiled: CompiledPrecondition,
    /// Sum of step times.
    pub work: Tenths,
    pub tools: ResourceUse,
    pub faces: ResourceUse,
    timed_steps: Option<Vec<TimedStep>>,
}

/// The effect on a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct PartMove {
    pub part: usize,
    pub from: PartState,
    pub to: PartState,
}

impl PartMove {
    /// Whether it opens the part further.
    pub fn opens(self) -> bool {
        self.to > self.from
    }
}

/// What an action costs in one state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct ActionCost {
    pub tool_changes: u32,
    pub face_changes: u32,
    pub waiting: Tenths,
    pub total: Tenths,
}

impl Action {
    pub fn new(
        request: &Request,
        waits: &[usize],
        op: Op,
        steps: Vec<StepIx>,
        precondition: Precondition,
        parts: usize,
    ) -> Self {
        let Request {
            catalog, prices, ..
        } = *request;
        let each = || steps.iter().map(|step| catalog.step(*step));
        Self {
            op,
            part_move: None,
            completes: 0,
            after_tasks: 0,
            before_tasks: 0,
            is_blocked: false,
            is_virtual: false,
            compiled: CompiledPrecondition::compile(&precondition, parts),
            precondition,
            work: steps.iter().map(|step| prices.of(*step)).sum(),
            tools: ResourceUse::new(each().map(|step| step.tool.map(ToolIx::index))),
            faces: ResourceUse::new(each().map(|step| step.face.map(FaceIx::index))),
            timed_steps: timed_steps(catalog, prices, waits, &steps),
            steps,
        }
    }

    pub fn is_applicable(&self, state: &SearchState) -> bool {
        let is_wanted = self.completes == 0 || state.tasks & self.completes != 0;
        is_wanted
            && !self.is_blocked
            && state.tasks & self.after_tasks & !self.completes == 0
            && self.before_tasks & !state.tasks == 0
            && self.compiled.holds_in(state)
    }

    /// Whether it costs no change of tool or face in this state, and leaves both.
    pub fn needs_no_change(&self, state: &SearchState) -> bool {
        self.tools.keeps(state.tool) && self.faces.keeps(state.face)
    }

    /// What it costs in this state, and the state after it.
    pub fn apply(&self, state: &SearchState, prices: &Prices) -> (ActionCost, SearchState) {
        let mut next = state.clone();
        let mut cost = ActionCost {
            tool_changes: self.tools.changes_from(state.tool),
            face_changes: self.faces.changes_from(state.face),
            ..ActionCost::default()
        };
        match &self.timed_steps {
            Some(steps) => {
                let spent = play_steps(steps, &mut next, prices);
                cost.total = spent.total;
                cost.waiting = spent.waiting;
            }
            None => {
                cost.total = self.work
                    + cost.tool_changes * prices.tool_change
                    + cost.face_changes * prices.face_change;
                run_down_waits(&mut next, cost.total);
            }
        }
        next.tool = self.tools.current_after(state.tool);
        next.face = self.faces.current_after(state.face);
        next.tasks &= !self.completes;
        if let Some(moved) = self.part_move {
            next.set_part(moved.part, moved.to);
        }
        (cost, next)
    }
}
