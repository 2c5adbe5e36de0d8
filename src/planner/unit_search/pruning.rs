//! Which actions are forced, and which are worth trying.

use std::cell::RefCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::heuristic::Heuristic;
use crate::op::Phase;
use crate::problem::{Action, Problem, SearchState};
use crate::state::PartState;

use super::changeover::Changeover;
use super::move_context::MoveContext;
use super::pruning_tables::PruningTables;

/// A list of actions for each tool in hand and face up.
type ActionsByResources = FxHashMap<(u16, u16), Rc<[usize]>>;

pub(super) struct Pruning<'a> {
    problem: &'a Problem<'a>,
    pub heuristic: Heuristic<'a>,
    tables: PruningTables,
    /// Actions that may be forced, by the tool in hand and the face up.
    candidates: RefCell<ActionsByResources>,
    is_off: bool,
}

impl<'a> Pruning<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        Self {
            problem,
            heuristic: Heuristic::new(problem),
            tables: PruningTables::new(problem),
            candidates: RefCell::default(),
            is_off: false,
        }
    }

    /// Tries every legal action in every state.
    pub fn switched_off(self) -> Self {
        Self {
            is_off: true,
            ..self
        }
    }

    pub fn context(&'a self, state: &'a SearchState) -> MoveContext<'a> {
        MoveContext::new(&self.tables, &self.heuristic, state)
    }

    fn forces_actions(&self) -> bool {
        !self.is_off && !self.problem.has_waits()
    }

    /// The action that is applied here before anything else, if there is one.
    pub fn forced_action(&self, state: &SearchState) -> Option<usize> {
        if !self.forces_actions() {
            return None;
        }
        let actions = &self.problem.actions;
        let candidates = self.candidates_with(state);
        let mut applicable = candidates
            .iter()
            .copied()
            .filter(|index| actions[*index].is_applicable(state));
        let first = applicable.next()?;
        let context = self.context(state);
        std::iter::once(first).chain(applicable).find(|index| {
            let action = &actions[*index];
            self.is_forced(*index, action, &context) && self.is_useful(action, &context)
        })
    }

    /// The actions that could be forced in some state with this tool in hand and this face
    /// up: they cost no change and leave both.
    fn candidates_with(&self, state: &SearchState) -> Rc<[usize]> {
        let mut known = self.candidates.borrow_mut();
        let list = known.entry((state.tool, state.face));
        Rc::clone(list.or_insert_with(|| self.find_candidates_with(state).collect()))
    }

    fn find_candidates_with(&self, state: &SearchState) -> impl Iterator<Item = usize> {
        let may_be_forced =
            move |index: usize, action: &Action| match (action.op.phase(), action.part_move) {
                (Phase::Fit, _) => true,
                (phase, Some(moved)) => {
                    let must_remain =
                        phase == Phase::StripDown && self.tables.must_remain.contains(moved.part);
                    self.tables.is_least_work[index] && !must_remain
                }
                (_, None) => false,
            };
        let actions = self.problem.actions.iter().enumerate();
        let candidates = actions.filter(move |(index, action)| {
            action.needs_no_change(state) && may_be_forced(*index, action)
        });
        candidates.map(|(index, _)| index)
    }

    fn is_forced(&self, index: usize, action: &Action, context: &MoveContext) -> bool {
        match (action.op.phase(), action.part_move) {
            (Phase::Fit, _) => true,
            (Phase::StripDown, Some(moved)) => {
                self.tables.is_least_work[index]
                    && !self.tables.must_remain.contains(moved.part)
                    && context.is_certain_to_open(moved)
            }
            (_, Some(moved)) => self.tables.is_least_work[index] && context.is_back_for_good(moved),
            (_, None) => false,
        }
    }

    /// The actions that are applicable here and could be useful.
    pub fn allowed_actions(&self, context: &MoveContext) -> SmallVec<[usize; 16]> {
        let actions = self.problem.actions.iter().enumerate();
        let useful = actions.filter(|(_, action)| {
            action.is_applicable(context.state) && (self.is_off || self.is_useful(action, context))
        });
        let mut useful: SmallVec<[usize; 16]> = useful.map(|(index, _)| index).collect();
        if self.forces_actions() {
            let forcing = self.forcing_changeovers(&useful, context);
            useful.retain(|index| {
                let changeover = Changeover::before(&self.problem.actions[*index], context.state);
                forcing
                    .iter()
                    .all(|(first, forcing)| first == index || !forcing.is_part_of(changeover))
            });
        }
        useful
    }

    /// Changeovers after which an action is forced, each with the first such action.
    fn forcing_changeovers(
        &self,
        useful: &[usize],
        context: &MoveContext,
    ) -> Vec<(usize, Changeover)> {
        let mut forcing: Vec<(usize, Changeover)> = Vec::new();
        for index in useful {
            let action = &self.problem.actions[*index];
            let changeover = Changeover::before(action, context.state);
            let has_no_change_within = action.tools.changes == 0 && action.faces.changes == 0;
            if has_no_change_within
                && forcing.iter().all(|(_, known)| *known != changeover)
                && self.is_forced(*index, action, context)
            {
                forcing.push((*index, changeover));
            }
        }
        forcing
    }

    fn is_useful(&self, action: &Action, context: &MoveContext) -> bool {
        match (action.op.phase(), action.part_move) {
            (Phase::Fit, _) => true,
            (Phase::StripDown, Some(moved)) => {
                let may_go_on = moved.from == PartState::Eased
                    && (self.problem.numbering.has_two_ways(moved.part)
                        || self.tables.needs_itself.contains(moved.part));
                may_go_on || !context.is_unneeded(moved.part)
            }
            (_, Some(moved)) => {
                // What nothing needs is named by nothing. What the part's own way back
                // names is open just before that way, and need not be open after it.
                self.tables.must_remain.contains(moved.part)
                    || self.tables.needs_itself.contains(moved.part)
                    || context.is_unneeded(moved.part)
                    || !context.is_certain_to_reopen(moved)
            }
            (_, None) => false,
        }
    }
}
