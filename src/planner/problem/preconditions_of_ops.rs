//! What must hold before each operation: its formula, where its part must be, and the
//! order that services ask for.

use crate::op::{Op, Way};
use crate::request::{Request, Task};
use crate::state::PartState;
use lidoff_catalog::format::{Formula, ReachedState};
use lidoff_catalog::model::{OpIx, PartIx, ResolvedFormula};

use super::part_numbering::PartNumbering;
use super::precondition::Precondition;

/// Reads preconditions off one request.
///
/// Making a source live usually needs the unit closed. That names every part as one that
/// must remain in place, and no part that must remain can be pruned. But where all legs of a
/// part need the source isolated and no task needs a source live, nothing has to make way:
/// a plan that makes the source live before such a part is opened must isolate it again, and
/// without these two operations it is legal still and no dearer. So those parts are *unbound*.
pub struct PreconditionReader<'a> {
    pub request: &'a Request<'a>,
    pub numbering: &'a PartNumbering,
}

impl PreconditionReader<'_> {
    pub fn precondition(&self, op: Op) -> Precondition {
        let Request { catalog, setup, .. } = *self.request;
        let unbound = self.unbound(op);
        let read = |needs| Precondition::read(needs, setup, self.numbering, &unbound);
        match op {
            Op::Swap(part) => {
                let moved = catalog
                    .part(part)
                    .swap
                    .iter()
                    .flat_map(|swap| &swap.moves_over);
                let off = std::iter::once(part).chain(moved.copied());
                let off = off.map(|part| self.at_least(part, PartState::Off));
                let isolated = catalog.part(part).swap.iter().map(|swap| read(&swap.needs));
                Precondition::All(off.chain(isolated).collect())
            }
            Op::Reseat(part) => {
                let state = match Op::reseat_at(catalog, part) {
                    Some(ReachedState::Eased) => PartState::Eased,
                    _ => PartState::Off,
                };
                let reseat = catalog.part(part).reseat.iter();
                let isolated = reseat.map(|reseat| read(&reseat.needs));
                let state = std::iter::once(self.at_least(part, state));
                Precondition::All(state.chain(isolated).collect())
            }
            Op::LeaveOut(part) => Precondition::All(vec![
                self.at_least(part, PartState::Off),
                read(&catalog.part(part).leave_out_needs),
            ]),
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

    /// The parts that need not make way for this operation, by local number.
    fn unbound(&self, op: Op) -> Vec<usize> {
        let Request { catalog, tasks, .. } = *self.request;
        let source = match op {
            Op::PutBack(part, _) if catalog.part(part).is_source() => part,
            _ => return Vec::new(),
        };
        if tasks.iter().any(|task| task.needs_live(catalog)) {
            return Vec::new();
        }
        let is_unbound = |local: &usize| {
            let mut legs = catalog.part(self.numbering.part(*local)).legs();
            legs.all(|leg| needs_off(&leg.needs, source))
        };
        (0..self.numbering.len()).filter(is_unbound).collect()
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
            Op::TakeOff(_, Way::Bench) | Op::PutBack(_, Way::Bench) => {
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
            OpIx::PutBack(part) => Precondition::atom(part, self.numbering, |local| {
                Precondition::All(vec![
                    Precondition::NotOff(local),
                    Precondition::TasksDone(self.tasks_that_need_off(part)),
                ])
            }),
            OpIx::TakeOff(part) => Precondition::atom(part, self.numbering, |local| {
                Precondition::Any(vec![
                    Precondition::AtLeast(local, PartState::Off),
                    Precondition::TasksDone(self.tasks_that_need_off(part)),
                ])
            }),
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
            Task::LeaveOut(left) => left == part,
            Task::Inspect(_) | Task::Serve(_) => false,
        };
        let tasks = self.request.tasks.iter();
        tasks
            .filter(|task| needs_off(task))
            .fold(0, |bits, task| bits | task_bit(self.request, *task))
    }
}

/// Whether the formula cannot hold while this source is live.
fn needs_off(needs: &ResolvedFormula, source: PartIx) -> bool {
    match needs {
        Formula::All(all) => all.iter().any(|one| needs_off(one, source)),
        Formula::Off(part) => *part == source,
        _ => false,
    }
}

/// The task's bit; 0 where the request does not ask for it.
pub fn task_bit(request: &Request, task: Task) -> u64 {
    let position = request.tasks.iter().position(|asked| *asked == task);
    position.map_or(0, |position| 1 << position)
}
