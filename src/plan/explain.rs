//! Why there is no plan: the chain of requirements that cannot be met.

use crate::catalog::model::PartIx;
use crate::plan::outcome::{Blocked, Refusal};
use crate::plan::problem::{Holds, Node, Problem};
use crate::plan::{Op, PartState, Phase, Request, Task};

/// The reason why this task cannot even be asked for, if there is one.
pub(super) fn refused(request: &Request, task: Task) -> Option<Refusal> {
    let catalog = request.catalog;
    let there = |part: PartIx| request.setup.holds(&catalog.part(part).when);
    let (there, offered) = match task {
        Task::Replace(part) => (there(part), catalog.part(part).swap.is_some()),
        Task::Reseat(part) => (there(part), catalog.part(part).reseat.is_some()),
        Task::Inspect(part) => (there(part), catalog.part(part).inspect.is_some()),
        Task::Serve(service) => (request.setup.holds(&catalog.service(service).when), true),
    };
    if !there {
        Some(Refusal::NotFitted(task))
    } else if !offered {
        Some(Refusal::NotOffered(task))
    } else {
        None
    }
}

/// Why a problem has no plan.
pub(super) fn why_none(problem: &Problem) -> Refusal {
    let reach = Reach::new(problem);
    for task in problem.request.tasks {
        let work = problem.actions.iter().find(|action| {
            action.op.phase() == Phase::Fit && action.does != 0 && task_of(action.op) == Some(*task)
        });
        if let Some(work) = work
            && !reach.holds(&work.needs)
        {
            return Refusal::Unreachable {
                task: *task,
                chain: reach.chain(&work.needs),
            };
        }
    }
    for part in 0..problem.numbers.len() {
        if !reach.comes_back(part) {
            return Refusal::CannotClose(problem.numbers.part(part));
        }
    }
    Refusal::Conflict
}

fn task_of(op: Op) -> Option<Task> {
    match op {
        Op::Swap(part) => Some(Task::Replace(part)),
        Op::Reseat(part) => Some(Task::Reseat(part)),
        Op::Inspect(part) => Some(Task::Inspect(part)),
        Op::Serve(service) => Some(Task::Serve(service)),
        _ => None,
    }
}

/// How far each part can come at all from here, if nothing ever had to stay.
struct Reach<'a> {
    problem: &'a Problem<'a>,
    start: Node,
    most: Vec<PartState>,
}

impl<'a> Reach<'a> {
    fn new(problem: &'a Problem<'a>) -> Self {
        let start = problem.start();
        let most = (0..problem.numbers.len())
            .map(|part| start.of(part))
            .collect();
        let mut reach = Self {
            problem,
            start,
            most,
        };
        loop {
            let mut changed = false;
            for action in &problem.actions {
                let Some(moved) = action.moves else { continue };
                if moved.to > reach.most[moved.part]
                    && moved.from <= reach.most[moved.part]
                    && reach.holds(&action.needs)
                {
                    reach.most[moved.part] = moved.to;
                    changed = true;
                }
            }
            if !changed {
                return reach;
            }
        }
    }

    fn holds(&self, needs: &Holds) -> bool {
        match needs {
            Holds::All(all) => all.iter().all(|one| self.holds(one)),
            Holds::Any(any) | Holds::Away(any) => any.iter().any(|one| self.holds(one)),
            Holds::Own(part, level) => self.most[*part] >= *level,
            Holds::On(_) | Holds::InPlace(_) | Holds::Done(_) => true,
        }
    }

    /// Whether the part, where it is open, has a way back that can be walked.
    fn comes_back(&self, part: usize) -> bool {
        let mut at = self.start.of(part);
        // Two legs at the most.
        for _ in 0..2 {
            if at == PartState::Fitted {
                return true;
            }
            let back = self.problem.actions.iter().filter_map(|action| {
                let moved = action.moves?;
                let this = moved.part == part && moved.from == at && moved.to < at;
                (this && self.holds(&action.needs)).then_some(moved.to)
            });
            match back.min() {
                Some(next) => at = next,
                None => return false,
            }
        }
        at == PartState::Fitted
    }

    /// From a formula that cannot hold, down to where it closes on itself or ends.
    fn chain(&self, needs: &Holds) -> Vec<Blocked> {
        let mut chain = Vec::new();
        let mut seen = vec![false; self.most.len()];
        let mut at = self.culprit(needs);
        while let Some(part) = at {
            chain.push(Blocked::Part(self.problem.numbers.part(part)));
            if seen[part] {
                break;
            }
            seen[part] = true;
            at = self.next(part);
        }
        chain
    }

    /// The part whose way is shut, and so shuts this formula.
    fn culprit(&self, needs: &Holds) -> Option<usize> {
        match needs {
            Holds::All(all) => all
                .iter()
                .filter(|one| !self.holds(one))
                .find_map(|one| self.culprit(one)),
            Holds::Any(any) | Holds::Away(any) => any.iter().find_map(|one| self.culprit(one)),
            Holds::Own(part, level) => (self.most[*part] < *level).then_some(*part),
            Holds::On(_) | Holds::InPlace(_) | Holds::Done(_) => None,
        }
    }

    /// What shuts the way of this part.
    fn next(&self, part: usize) -> Option<usize> {
        let outward = self.problem.actions.iter().filter(|action| {
            action.moves.is_some_and(|moved| {
                moved.part == part && moved.from == self.most[part] && moved.to > moved.from
            })
        });
        outward
            .filter(|action| !self.holds(&action.needs))
            .find_map(|action| self.culprit(&action.needs))
    }
}
