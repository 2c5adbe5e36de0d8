//! From a request to a problem.

use crate::op::{Op, Phase, Way};
use crate::request::{Request, Task};
use crate::state::PartState;
use lidoff_catalog::model::{OpIx, PartIx, StepIx};

use super::action::{Action, PartMove};
use super::part_legs::PartLegs;
use super::part_numbering::PartNumbering;
use super::precondition::Precondition;
use super::preconditions_of_ops::{PreconditionReader, task_bit};
use super::search_state::SearchState;

/// A request made ready for the search.
#[derive(Clone, Debug)]
pub struct Problem<'a> {
    pub request: Request<'a>,
    pub numbering: PartNumbering,
    /// Every operation that could be wanted: ways out, task work, ways back; each group in
    /// catalog order.
    pub actions: Vec<Action>,
    pub part_legs: Vec<PartLegs>,
    /// Waits that some step of these operations waits for, by catalog index.
    waits: Vec<usize>,
}

impl<'a> Problem<'a> {
    #[cold]
    pub fn new(request: Request<'a>) -> Self {
        let numbering = PartNumbering::new(&request);
        let part_legs = |local| {
            let part = request.catalog.part(numbering.part(local));
            PartLegs {
                eases: part.ease.is_some(),
                comes_off_on_bench: part.bench_off.is_some(),
            }
        };
        let part_legs = (0..numbering.len()).map(part_legs).collect();
        let mut problem = Self {
            request,
            numbering,
            actions: Vec::new(),
            part_legs,
            waits: Vec::new(),
        };
        let ops = problem.ops();
        problem.waits = problem.awaited(&ops);
        // The virtual ones first: where one action stands for several, it is the cheapest.
        let stays_off = ops.iter().filter_map(|op| problem.stay_off(*op));
        let actions = stays_off.chain(ops.iter().filter_map(|op| problem.action(*op)));
        problem.actions = actions.collect();
        problem
    }

    pub fn initial_state(&self) -> SearchState {
        let from = self.request.from;
        let mut state = SearchState::new(self.numbering.len(), self.waits.len());
        for local in 0..self.numbering.len() {
            state.set_part(local, from.of(self.numbering.part(local)));
        }
        state.tasks = (0..self.request.tasks.len()).fold(0, |bits, task| bits | 1 << task);
        state.tool = from
            .tool
            .map_or(SearchState::NONE, |tool| tool.index() as u16);
        state.face = from
            .face
            .map_or(SearchState::NONE, |face| face.index() as u16);
        for (wait, left) in &from.waits {
            if let Some(local) = self.waits.iter().position(|known| *known == wait.index()) {
                state.waits[local] = *left;
            }
        }
        state
    }

    pub fn has_waits(&self) -> bool {
        !self.waits.is_empty()
    }

    fn ops(&self) -> Vec<Op> {
        let parts = || (0..self.numbering.len()).map(|local| self.numbering.part(local));
        let has_leg = |op: &Op| op.leg(self.request.catalog).is_some();
        let ways = |part| Way::all_of(self.request.catalog.part(part));
        let out = parts().flat_map(|part| {
            std::iter::once(Op::Ease(part)).chain(ways(part).map(move |way| Op::TakeOff(part, way)))
        });
        let task_work = self.request.tasks.iter().map(|task| task.op());
        let back = parts().flat_map(|part| {
            let back = ways(part).map(move |way| Op::PutBack(part, way));
            back.chain(std::iter::once(Op::Settle(part)))
        });
        out.filter(has_leg)
            .filter(|op| !self.is_unusable(*op))
            .chain(task_work)
            .chain(back.filter(has_leg))
            .collect()
    }

    /// Whether this way out is blocked and its part has not been opened by it: then
    /// nothing depends on it and it is left out. A way that was used before it was blocked
    /// still holds the part open, and the heuristic counts on both ways of a rider: those
    /// are kept but never applicable (`Action::is_blocked`).
    fn is_unusable(&self, op: Op) -> bool {
        let is_left_out = |part: PartIx| {
            let known = self.request.catalog.part(part);
            let reached = self.request.from.of(part);
            let is_ahead = match op {
                Op::Ease(_) => reached < PartState::Eased,
                _ => reached < PartState::Off,
            };
            is_ahead && (known.take_off.is_none() || known.bench_off.is_none())
        };
        self.request.blocked.contains(&op) && op.part().is_some_and(is_left_out)
    }

    fn awaited(&self, ops: &[Op]) -> Vec<usize> {
        let catalog = self.request.catalog;
        let steps = ops
            .iter()
            .flat_map(|op| op.steps(catalog, self.request.setup));
        let mut waits: Vec<usize> = steps
            .filter_map(|step| catalog.step(step).after_wait)
            .map(|wait| wait.index())
            .collect();
        lidoff_catalog::insertion_sort(&mut waits, |one, next| one > next);
        waits.dedup();
        waits
    }

    fn preconditions(&self) -> PreconditionReader<'_> {
        PreconditionReader {
            request: &self.request,
            numbering: &self.numbering,
        }
    }

    /// The operation as an action; `None` where it makes a source live on a unit that goes out
    /// of use.
    fn action(&self, op: Op) -> Option<Action> {
        let precondition = self.preconditions().precondition(op);
        let steps = op.steps(self.request.catalog, self.request.setup);
        let mut action = self.bare_action(op, steps, precondition);
        action.completes = Task::done_by(op).map_or(0, |task| task_bit(&self.request, task));
        action.after_tasks = self.after_tasks(op);
        action.is_blocked = self.request.blocked.contains(&op);
        let refitted = action.part_move.filter(|_| op.phase() == Phase::Refit);
        if let Some(local) = refitted.map(|moved| moved.part) {
            if self.numbering.is_out_of_use() && self.numbering.is_source(local) {
                return None;
            }
            action.before_tasks = self.numbering.leaving(local);
        }
        Some(action)
    }

    /// An action that stands for "it stays off", for a way back of a part that need not go back.
    /// It is no operation of a plan: it is possible when all else is done, and costs nothing.
    fn stay_off(&self, op: Op) -> Option<Action> {
        let part = op.part().filter(|_| op.phase() == Phase::Refit)?;
        let local = self.numbering.local(part)?;
        self.numbering.stays_off(local).then(|| {
            let mut action = self.bare_action(op, Vec::new(), self.when_all_else_is_done());
            action.is_virtual = true;
            action
        })
    }

    fn bare_action(&self, op: Op, steps: Vec<StepIx>, precondition: Precondition) -> Action {
        let parts = self.numbering.len();
        let mut action = Action::new(&self.request, &self.waits, op, steps, precondition, parts);
        action.part_move = self.part_move(op);
        if let Some(moved) = action.part_move {
            action.compiled.require_exactly(moved.part, moved.from);
        }
        action
    }

    /// Every task is done, and all that goes back is back.
    fn when_all_else_is_done(&self) -> Precondition {
        let all = (0..self.request.tasks.len()).fold(0, |bits, task| bits | 1 << task);
        let back = (0..self.numbering.len()).filter(|local| !self.numbering.stays_off(*local));
        let back = back.map(Precondition::FittedBeforeLive);
        Precondition::All(
            std::iter::once(Precondition::TasksDone(all))
                .chain(back)
                .collect(),
        )
    }

    fn part_move(&self, op: Op) -> Option<PartMove> {
        let part = self.numbering.local(op.part()?)?;
        let in_unit = if self.part_legs[part].eases {
            PartState::Eased
        } else {
            PartState::Fitted
        };
        let (from, to) = match op {
            Op::Ease(_) => (PartState::Fitted, PartState::Eased),
            Op::TakeOff(_, Way::InPlace | Way::Other(_)) => (in_unit, PartState::Off),
            Op::TakeOff(_, Way::Bench) => (PartState::Fitted, PartState::Off),
            Op::PutBack(_, Way::InPlace | Way::Other(_)) => (PartState::Off, in_unit),
            Op::PutBack(_, Way::Bench) => (PartState::Off, PartState::Fitted),
            Op::Settle(_) => (PartState::Eased, PartState::Fitted),
            Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) | Op::LeaveOut(_) => {
                return None;
            }
        };
        Some(PartMove { part, from, to })
    }

    /// Tasks that forbid this operation until they are done, as bits.
    fn after_tasks(&self, op: Op) -> u64 {
        let catalog = self.request.catalog;
        let mut bits = 0;
        for task in self.request.tasks {
            let Task::Serve(service) = task else { continue };
            if catalog
                .service(*service)
                .before
                .iter()
                .any(|later| is_named(*later, op))
            {
                bits |= task_bit(&self.request, *task);
            }
        }
        if let Op::Serve(service) = op {
            for earlier in &catalog.service(service).after {
                bits |= match earlier {
                    OpIx::Swap(part) => task_bit(&self.request, Task::Replace(*part)),
                    OpIx::Service(service) => task_bit(&self.request, Task::Serve(*service)),
                    OpIx::TakeOff(_) | OpIx::PutBack(_) => 0,
                };
            }
        }
        bits
    }

    /// The parts that must be back before this operation, each with the tasks that need
    /// it off, as bits.
    pub fn must_be_back(&self, op: Op) -> impl Iterator<Item = (usize, u64)> + '_ {
        let after = match op {
            Op::Serve(service) => self.request.catalog.service(service).after.as_slice(),
            _ => &[],
        };
        after.iter().filter_map(|earlier| match earlier {
            OpIx::PutBack(part) => {
                let local = self.numbering.local(*part)?;
                let tasks = self.preconditions().tasks_that_need_off(*part);
                (self.numbering.leaving(local) == 0).then_some((local, tasks))
            }
            _ => None,
        })
    }
}

fn is_named(named: OpIx, op: Op) -> bool {
    match (named, op) {
        (OpIx::TakeOff(named), Op::TakeOff(part, _))
        | (OpIx::PutBack(named), Op::PutBack(part, _))
        | (OpIx::Swap(named), Op::Swap(part)) => named == part,
        (OpIx::Service(named), Op::Serve(service)) => named == service,
        _ => false,
    }
}
