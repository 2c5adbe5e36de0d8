//! What must hold before each operation: its formula, where its part must be, and the
//! order that services ask for.

use crate::op::{Op, Workplace};
use crate::request::{Request, Task};
use crate::state::PartState;
use lidoff_catalog::format::ReachedState;
use lidoff_catalog::model::{OpIx, PartIx};

use super::part_numbering::PartNumbering;
use super::precondition::Precondition;

/// Reads preconditions off one request.
pub struct PreconditionReader<'a> {
    pub request: &'a Request<'a>,
    pub numbering: &'a PartNumbering,
}

impl PreconditionReader<'_> {
    pub fn precondition(&self, op: Op) -> Precondition {
        let Request { catalog, setup, .. } = *self.request;
        let read = |needs| Precondition::read(needs, setup, self.numbering);
        match op {
            Op::Swap(part) => {
                let moved = catalog
                    .part(part)
                    .swap
                    .iter()
                    .flat_map(|swap| &swap.moves_over);
                let off = std::iter::once(part).chain(moved.copied());
                Precondition::All(
                    off.map(|part| self.at_least(part, PartState::Off))
                        .collect(),
                )
            }
            Op::Reseat(part) => self.at_least(
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
                .map_or(Precondition::NEVER, |inspect| read(&inspect.needs)),
            Op::Serve(service) => {
                let service = catalog.service(service);
                let after = service.after.iter().map(|op| self.comes_after(*op));
                Precondition::All(std::iter::once(read(&service.needs)).chain(after).collect())
            }
            Op::Ease(_) | Op::TakeOff(..) | Op::PutBack(..) | Op::Settle(_) => {
                let Some(leg) = op.leg(catalog) else {
                    return Precondition::NEVER;
                };
                let mut all = vec![read(&leg.needs)];
                if matches!(op, Op::PutBack(..) | Op::Settle(_)) {
                    all.push(read(&leg.refit_needs));
                }
                all.extend(self.workplace(op));
                Precondition::All(all)
            }
        }
    }

    fn at_least(&self, part: PartIx, state: PartState) -> Precondition {
        match self.numbering.local(part) {
            Some(part) => Precondition::AtLeast(part, state),
            None => Precondition::ALWAYS,
        }
    }

    /// On the bench a carrier of the part must be off, in place none may be.
    fn workplace(&self, op: Op) -> Vec<Precondition> {
        let Some(part) = op.part().and_then(|part| self.numbering.local(part)) else {
            return Vec::new();
        };
        match op {
            Op::TakeOff(_, Workplace::Bench) | Op::PutBack(_, Workplace::Bench) => {
                let carriers = self.numbering.carriers(part).iter();
                let off = carriers.map(|carrier| Precondition::AtLeast(*carrier, PartState::Off));
                vec![Precondition::Any(off.collect())]
            }
            _ => Precondition::no_carrier_off(part, self.numbering).collect(),
        }
    }

    fn comes_after(&self, op: OpIx) -> Precondition {
        match op {
            // These are tasks: see `Problem::after_tasks`.
            OpIx::Swap(_) | OpIx::Service(_) => Precondition::ALWAYS,
            OpIx::PutBack(part) => match self.numbering.local(part) {
                Some(local) => Precondition::All(vec![
                    Precondition::NotOff(local),
                    Precondition::TasksDone(self.tasks_that_need_off(part)),
                ]),
                None => Precondition::ALWAYS,
            },
            OpIx::TakeOff(part) => match self.numbering.local(part) {
                Some(local) => Precondition::Any(vec![
                    Precondition::AtLeast(local, PartState::Off),
                    Precondition::TasksDone(self.tasks_that_need_off(part)),
                ]),
                None => Precondition::ALWAYS,
            },
        }
    }

    /// The tasks that need this part off by its own leg, as bits.
    pub fn tasks_that_need_off(&self, part: PartIx) -> u64 {
        let catalog = self.request.catalog;
        let needs_off = |task: &Task| match *task {
            Task::Replace(replaced) => {
                let moved = catalog
                    .part(replaced)
                    .swap
                    .iter()
                    .flat_map(|swap| &swap.moves_over);
                replaced == part || moved.into_iter().any(|rider| *rider == part)
            }
            Task::Reseat(reseated) => {
                reseated == part && Op::reseat_at(catalog, reseated) == Some(ReachedState::Off)
            }
            Task::Inspect(_) | Task::Serve(_) => false,
        };
        let tasks = self.request.tasks.iter();
        tasks
            .filter(|task| needs_off(task))
            .fold(0, |bits, task| bits | task_bit(self.request, *task))
    }
}

/// The task's bit; 0 where the request does not ask for it.
pub fn task_bit(request: &Request, task: Task) -> u64 {
    let position = request.tasks.iter().position(|asked| *asked == task);
    position.map_or(0, |position| 1 << position)
}
