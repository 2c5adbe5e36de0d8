//! What an operation opens the way for.

use crate::explain::task_of;
use crate::{Phase, Task};

use super::line::Line;
use super::{Asks, Need};

/// What the operation at this place is for.
pub(super) fn need(line: &Line, at: usize) -> Need {
    let action = line.action(at);
    match action.op.phase() {
        Phase::Fit => task_of(action.op).map_or(Need::Nothing, |task| Need::Work {
            task,
            brought_by: brought_by(line, task),
        }),
        Phase::Refit => Need::Closes {
            opened_for: opened_for(line, at),
        },
        Phase::StripDown => opens(line, at),
    }
}

/// The replacement that brings this service operation along.
fn brought_by(line: &Line, task: Task) -> Option<lidoff_catalog::model::PartIx> {
    let Task::Serve(service) = task else {
        return None;
    };
    let request = &line.problem.request;
    request.tasks.iter().find_map(|other| {
        let Task::Replace(part) = *other else {
            return None;
        };
        let swap = request.catalog.part(part).swap.as_ref()?;
        swap.services.contains(&service).then_some(part)
    })
}

/// The tasks for which the part was opened as far as it is closed from here.
fn opened_for(line: &Line, at: usize) -> Vec<Task> {
    let Some(closes) = line.action(at).moves else {
        return Vec::new();
    };
    let opened = (0..at).rev().find(|before| {
        let opens = line.action(*before).moves;
        opens.is_some_and(|it| it.part == closes.part && it.to == closes.from && it.to > it.from)
    });
    match opened.map(|before| opens(line, before)) {
        Some(Need::Opens { mut tasks, .. }) => {
            // What comes later still is no reason to close: it is opened once more.
            let is_done = |task: &Task| (0..at).any(|it| line.action(it).op == task.op());
            tasks.retain(is_done);
            tasks
        }
        _ => Vec::new(),
    }
}

fn opens(line: &Line, at: usize) -> Need {
    // Ways back are a reason only where no task is: what is off goes back the way
    // it came, and so asks for the same.
    for back_too in [false, true] {
        let reached = Reached::from(line, at, back_too);
        if let Some(end) = reached.end {
            return Need::Opens {
                chain: reached.chain(end),
                tasks: reached.tasks(),
            };
        }
    }
    Need::Nothing
}

/// What an operation opens the way for, one after the other.
struct Reached<'a> {
    line: &'a Line<'a>,
    /// Each that was reached, with the one that it was reached from.
    from: Vec<Option<usize>>,
    /// The nearest task work or, where that is looked at too, way back.
    end: Option<usize>,
}

impl<'a> Reached<'a> {
    fn from(line: &'a Line<'a>, at: usize, back_too: bool) -> Self {
        let mut reached = Self {
            line,
            from: vec![None; line.acts.len()],
            end: None,
        };
        let mut queue = vec![at];
        let mut turn = 0;
        while let Some(here) = queue.get(turn).copied() {
            turn += 1;
            if line.action(here).op.phase() != Phase::StripDown {
                reached.end = reached.end.or(Some(here));
                continue;
            }
            for next in here + 1..line.acts.len() {
                let phase = line.action(next).op.phase();
                let counts = back_too || phase != Phase::Refit;
                if counts && reached.from[next].is_none() && opens_for(line, here, next) {
                    reached.from[next] = Some(here);
                    queue.push(next);
                }
            }
        }
        reached
    }

    /// From the first that is asked for to this one.
    fn chain(&self, end: usize) -> Vec<Asks> {
        let mut chain = Vec::new();
        let mut at = end;
        while let Some(before) = self.from[at] {
            if let Some(moved) = self.line.action(before).moves {
                chain.push(Asks {
                    op: self.line.action(at).op,
                    part: self.line.problem.numbers.part(moved.part),
                    level: moved.to,
                });
            }
            at = before;
        }
        chain.reverse();
        chain
    }

    fn tasks(&self) -> Vec<Task> {
        let reached = self.from.iter().enumerate();
        let reached = reached.filter(|(_, from)| from.is_some());
        reached
            .filter_map(|(at, _)| task_of(self.line.action(at).op))
            .collect()
    }
}

/// Whether the later operation could not be done, were the part that the earlier
/// one moves still as it was.
fn opens_for(line: &Line, earlier: usize, later: usize) -> bool {
    let (one, other) = (line.action(earlier), line.action(later));
    let Some(moved) = one.moves else { return false };
    if let Some(next) = other.moves
        && next.part == moved.part
    {
        return next.from == moved.to && next.to > next.from;
    }
    let mut state = line.states[later].clone();
    if state.of(moved.part) < moved.to {
        return false;
    }
    state.set(moved.part, moved.from);
    !other.test.is_met(&state)
}
