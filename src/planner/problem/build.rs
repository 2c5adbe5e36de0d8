//! From a request to a problem.

use crate::{Op, PartState, Request, Task, Way};
use lidoff_catalog::format::ReachedState;
use lidoff_catalog::model::{OpIx, PartIx};

use super::Shape;
use super::action::{Action, Move};
use super::formula::Holds;
use super::node::Node;
use super::numbering::Numbering;

/// A request made ready to be searched.
#[derive(Clone, Debug)]
pub struct Problem<'a> {
    pub request: Request<'a>,
    pub numbers: Numbering,
    /// Every operation that could be wanted: out, task work, back; each in
    /// catalog order.
    pub actions: Vec<Action>,
    /// Which legs each part has.
    pub shapes: Vec<Shape>,
    /// Waits that some step of these operations waits for, by catalog index.
    waits: Vec<usize>,
}

impl<'a> Problem<'a> {
    #[cold]
    pub fn new(request: Request<'a>) -> Self {
        let numbers = Numbering::new(&request);
        let shape = |at| {
            let part = request.catalog.part(numbers.part(at));
            Shape {
                eases: part.ease.is_some(),
                benches: part.bench_off.is_some(),
            }
        };
        let shapes = (0..numbers.len()).map(shape).collect();
        let mut problem = Self {
            request,
            numbers,
            actions: Vec::new(),
            shapes,
            waits: Vec::new(),
        };
        let ops = problem.ops();
        problem.waits = problem.awaited(&ops);
        problem.actions = ops.into_iter().map(|op| problem.action(op)).collect();
        problem
    }

    /// The state that the request begins with.
    pub fn start(&self) -> Node {
        let from = self.request.from;
        let mut node = Node::new(self.numbers.len(), self.waits.len());
        for at in 0..self.numbers.len() {
            node.set(at, from.of(self.numbers.part(at)));
        }
        node.tasks = self.all_tasks();
        node.tool = from.tool.map_or(Node::NO, |tool| tool.index() as u16);
        node.face = from.face.map_or(Node::NO, |face| face.index() as u16);
        for (wait, left) in &from.waits {
            if let Some(at) = self.waits.iter().position(|known| *known == wait.index()) {
                node.waits[at] = *left;
            }
        }
        node
    }

    /// Whether waits play a part.
    pub fn has_waits(&self) -> bool {
        !self.waits.is_empty()
    }

    fn all_tasks(&self) -> u64 {
        (0..self.request.tasks.len()).fold(0, |bits, at| bits | 1 << at)
    }

    fn bit(&self, task: Task) -> u64 {
        self.request
            .tasks
            .iter()
            .position(|one| *one == task)
            .map_or(0, |at| 1 << at)
    }

    fn ops(&self) -> Vec<Op> {
        let parts = || (0..self.numbers.len()).map(|at| self.numbers.part(at));
        let has = |op: Op| op.leg(self.request.catalog).is_some();
        let out = parts().flat_map(|part| {
            [
                Op::Ease(part),
                Op::TakeOff(part, Way::InPlace),
                Op::TakeOff(part, Way::Bench),
            ]
        });
        let work = self.request.tasks.iter().map(|task| match *task {
            Task::Replace(part) => Op::Swap(part),
            Task::Reseat(part) => Op::Reseat(part),
            Task::Inspect(part) => Op::Inspect(part),
            Task::Serve(service) => Op::Serve(service),
        });
        let back = parts().flat_map(|part| {
            [
                Op::PutBack(part, Way::InPlace),
                Op::PutBack(part, Way::Bench),
                Op::Settle(part),
            ]
        });
        let moves = |op: &Op| has(*op);
        out.filter(moves)
            .filter(|op| !self.is_out_of_reach(*op))
            .chain(work)
            .chain(back.filter(moves))
            .collect()
    }

    /// Whether this way out is blocked and has not been gone: then nothing rests on
    /// it. One that was gone before it was blocked is still what holds the part
    /// open, and of a rider's two ways the bound counts on both: those are kept, and
    /// cannot be gone ([`Action::shut`]).
    fn is_out_of_reach(&self, op: Op) -> bool {
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

    fn action(&self, op: Op) -> Action {
        let Request {
            catalog,
            setup,
            prices,
            ..
        } = self.request;
        let parts = self.numbers.len();
        let mut action = Action::new(
            catalog,
            setup,
            prices,
            &self.waits,
            op,
            self.needs(op),
            parts,
        );
        action.does = self.does(op);
        action.blocked_by = self.blocked_by(op);
        action.moves = self.moves(op);
        if let Some(moved) = action.moves {
            action.test.is(moved.part, moved.from);
        }
        action.shut = self.request.blocked.contains(&op);
        action
    }

    fn moves(&self, op: Op) -> Option<Move> {
        let part = self.numbers.local(op.part()?)?;
        let rest = if self.shapes[part].eases {
            PartState::Eased
        } else {
            PartState::Fitted
        };
        let (from, to) = match op {
            Op::Ease(_) => (PartState::Fitted, PartState::Eased),
            Op::TakeOff(_, Way::InPlace) => (rest, PartState::Off),
            Op::TakeOff(_, Way::Bench) => (PartState::Fitted, PartState::Off),
            Op::PutBack(_, Way::InPlace) => (PartState::Off, rest),
            Op::PutBack(_, Way::Bench) => (PartState::Off, PartState::Fitted),
            Op::Settle(_) => (PartState::Eased, PartState::Fitted),
            Op::Swap(_) | Op::Reseat(_) | Op::Inspect(_) | Op::Serve(_) => return None,
        };
        Some(Move { part, from, to })
    }

    fn does(&self, op: Op) -> u64 {
        match op {
            Op::Swap(part) => self.bit(Task::Replace(part)),
            Op::Reseat(part) => self.bit(Task::Reseat(part)),
            Op::Inspect(part) => self.bit(Task::Inspect(part)),
            Op::Serve(service) => self.bit(Task::Serve(service)),
            _ => 0,
        }
    }

    fn needs(&self, op: Op) -> Holds {
        let Request { catalog, setup, .. } = self.request;
        let read = |needs| Holds::read(needs, setup, &self.numbers);
        let own = |part: PartIx, level| {
            self.numbers
                .local(part)
                .map_or(Holds::ALWAYS, |at| Holds::Own(at, level))
        };
        match op {
            Op::Swap(part) => {
                let moved = catalog
                    .part(part)
                    .swap
                    .iter()
                    .flat_map(|swap| &swap.moves_over);
                let off = std::iter::once(part).chain(moved.copied());
                Holds::All(off.map(|part| own(part, PartState::Off)).collect())
            }
            Op::Reseat(part) => own(
                part,
                match Op::reseat_at(catalog, part) {
                    Some(ReachedState::Eased) => PartState::Eased,
                    _ => PartState::Off,
                },
            ),
            Op::Inspect(part) => catalog
                .part(part)
                .inspect
                .as_ref()
                .map_or(Holds::NEVER, |how| read(&how.needs)),
            Op::Serve(service) => {
                let service = catalog.service(service);
                let after = service.after.iter().map(|op| self.comes_after(*op));
                Holds::All(std::iter::once(read(&service.needs)).chain(after).collect())
            }
            Op::Ease(_) | Op::TakeOff(..) | Op::PutBack(..) | Op::Settle(_) => {
                let Some(leg) = op.leg(catalog) else {
                    return Holds::NEVER;
                };
                let mut all = vec![read(&leg.needs)];
                if matches!(op, Op::PutBack(..) | Op::Settle(_)) {
                    all.push(read(&leg.refit_needs));
                }
                all.extend(self.place(op));
                Holds::All(all)
            }
        }
    }

    /// What the way asks of the part's carriers.
    fn place(&self, op: Op) -> Vec<Holds> {
        let Some(part) = op.part().and_then(|part| self.numbers.local(part)) else {
            return Vec::new();
        };
        match op {
            Op::TakeOff(_, Way::Bench) | Op::PutBack(_, Way::Bench) => {
                let carriers = self.numbers.carriers(part).iter();
                vec![Holds::Any(
                    carriers.map(|at| Holds::Own(*at, PartState::Off)).collect(),
                )]
            }
            _ => Holds::present(part, &self.numbers).collect(),
        }
    }

    /// Tasks still to be done that forbid this operation until they are.
    fn blocked_by(&self, op: Op) -> u64 {
        let catalog = self.request.catalog;
        let mut bits = 0;
        for task in self.request.tasks {
            let Task::Serve(service) = task else { continue };
            if catalog
                .service(*service)
                .before
                .iter()
                .any(|later| is(*later, op))
            {
                bits |= self.bit(*task);
            }
        }
        if let Op::Serve(service) = op {
            for earlier in &catalog.service(service).after {
                bits |= match earlier {
                    OpIx::Swap(part) => self.bit(Task::Replace(*part)),
                    OpIx::Service(service) => self.bit(Task::Serve(*service)),
                    OpIx::TakeOff(_) | OpIx::PutBack(_) => 0,
                };
            }
        }
        bits
    }

    /// The parts that must be back before this, each with the tasks for whose sake
    /// they come off, as bits.
    pub fn must_be_back(&self, op: Op) -> impl Iterator<Item = (usize, u64)> + '_ {
        let after = match op {
            Op::Serve(service) => self.request.catalog.service(service).after.as_slice(),
            _ => &[],
        };
        after.iter().filter_map(|earlier| match earlier {
            OpIx::PutBack(part) => Some((self.numbers.local(*part)?, self.need_off(*part))),
            _ => None,
        })
    }

    fn comes_after(&self, op: OpIx) -> Holds {
        match op {
            OpIx::Swap(_) | OpIx::Service(_) => Holds::ALWAYS,
            OpIx::PutBack(part) => match self.numbers.local(part) {
                Some(at) => Holds::All(vec![Holds::On(at), Holds::Done(self.need_off(part))]),
                None => Holds::ALWAYS,
            },
            OpIx::TakeOff(part) => match self.numbers.local(part) {
                Some(at) => Holds::Any(vec![
                    Holds::Own(at, PartState::Off),
                    Holds::Done(self.need_off(part)),
                ]),
                None => Holds::ALWAYS,
            },
        }
    }

    /// The tasks that need this part off by its own leg.
    fn need_off(&self, part: PartIx) -> u64 {
        let catalog = self.request.catalog;
        let needs = |task: &Task| match *task {
            Task::Replace(one) => {
                let moved = catalog
                    .part(one)
                    .swap
                    .iter()
                    .flat_map(|swap| &swap.moves_over);
                one == part || moved.into_iter().any(|rider| *rider == part)
            }
            Task::Reseat(one) => {
                one == part && Op::reseat_at(catalog, one) == Some(ReachedState::Off)
            }
            Task::Inspect(_) | Task::Serve(_) => false,
        };
        self.request
            .tasks
            .iter()
            .filter(|task| needs(task))
            .fold(0, |bits, task| bits | self.bit(*task))
    }
}

fn is(named: OpIx, op: Op) -> bool {
    match (named, op) {
        (OpIx::TakeOff(one), Op::TakeOff(part, _))
        | (OpIx::PutBack(one), Op::PutBack(part, _))
        | (OpIx::Swap(one), Op::Swap(part)) => one == part,
        (OpIx::Service(one), Op::Serve(service)) => one == service,
        _ => false,
    }
}
