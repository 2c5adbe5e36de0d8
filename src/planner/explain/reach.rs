//! How far a job can come at all from here, if nothing ever had to stay.

use crate::PartState;
use crate::outcome::Blocked;
use crate::problem::{Action, Holds, Node, Problem};

/// How far each part comes, and which tasks get done, if nothing ever had to
/// stay in place: what is out of reach here is out of reach for good.
pub(super) struct Reach<'a> {
    problem: &'a Problem<'a>,
    start: Node,
    most: Vec<PartState>,
    /// Tasks that are not done, as bits.
    left: u64,
}

/// What stands in the way of something.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Culprit {
    /// A part that does not come far enough, by number.
    Part(usize),
    /// A task that must be done first, by place.
    Task(usize),
}

impl<'a> Reach<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let start = problem.start();
        let most = (0..problem.numbers.len())
            .map(|part| start.of(part))
            .collect();
        let mut reach = Self {
            problem,
            left: start.tasks,
            start,
            most,
        };
        while reach.goes_on() {}
        reach
    }

    /// Whether one more round comes any farther.
    fn goes_on(&mut self) -> bool {
        let mut changed = false;
        for action in &self.problem.actions {
            if action.shut || !self.may(action) {
                continue;
            }
            if let Some(moved) = action.moves
                && moved.to > self.most[moved.part]
                && moved.from <= self.most[moved.part]
            {
                self.most[moved.part] = moved.to;
                changed = true;
            }
            if self.left & action.does != 0 {
                self.left &= !action.does;
                changed = true;
            }
        }
        changed
    }

    /// Whether what it needs comes to hold.
    fn may(&self, action: &Action) -> bool {
        self.left & action.blocked_by & !action.does == 0 && self.holds(&action.needs)
    }

    fn holds(&self, needs: &Holds) -> bool {
        match needs {
            Holds::All(all) => all.iter().all(|one| self.holds(one)),
            Holds::Any(any) | Holds::Away(any) => any.iter().any(|one| self.holds(one)),
            Holds::Own(part, level) => self.most[*part] >= *level,
            Holds::Done(tasks) => self.left & tasks == 0,
            Holds::On(_) | Holds::InPlace(_) => true,
        }
    }

    /// Whether the part, where it is open, has a way back that can be walked.
    pub fn comes_back(&self, part: usize) -> bool {
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

    /// What keeps this task work from being done: from one thing that is in the
    /// way to the next, down to where that closes on itself or ends; and where
    /// the other routes end. Both empty where nothing keeps it.
    pub fn why_not(&self, action: &Action) -> (Vec<Blocked>, Vec<Blocked>) {
        let mut chain: Vec<Culprit> = Vec::new();
        let mut at = self.culprits(action).first().copied();
        while let Some(culprit) = at {
            let closed = chain.contains(&culprit);
            chain.push(culprit);
            if closed {
                break;
            }
            at = self.behind(culprit).first().copied();
        }
        let mut ends = Vec::new();
        let mut seen = Vec::new();
        let mut open = self.culprits(action);
        while let Some(culprit) = open.pop() {
            if seen.contains(&culprit) {
                continue;
            }
            seen.push(culprit);
            let behind = self.behind(culprit);
            if behind.is_empty() && chain.last() != Some(&culprit) {
                ends.push(culprit);
            }
            open.extend(behind);
        }
        let told = |culprits: Vec<Culprit>| {
            culprits
                .into_iter()
                .map(|culprit| self.told(culprit))
                .collect()
        };
        (told(chain), told(ends))
    }

    fn told(&self, culprit: Culprit) -> Blocked {
        let request = &self.problem.request;
        match culprit {
            Culprit::Task(task) => Blocked::Task(request.tasks[task]),
            Culprit::Part(local) => {
                let part = self.problem.numbers.part(local);
                let is_blocked = request.blocked.iter().any(|op| op.part() == Some(part));
                if is_blocked && self.behind(culprit).is_empty() {
                    Blocked::Shut(part)
                } else {
                    Blocked::Part(part)
                }
            }
        }
    }

    /// What is in the way of this, in catalog order; nothing where it ends here.
    fn behind(&self, culprit: Culprit) -> Vec<Culprit> {
        let mut found = Vec::new();
        for action in &self.problem.actions {
            let concerns = match culprit {
                Culprit::Task(task) => action.does >> task & 1 == 1,
                Culprit::Part(part) => action.moves.is_some_and(|moved| {
                    moved.part == part && moved.from == self.most[part] && moved.to > moved.from
                }),
            };
            if concerns {
                found.extend(self.culprits(action));
            }
        }
        found
    }

    /// What keeps this from being done.
    fn culprits(&self, action: &Action) -> Vec<Culprit> {
        let mut found = Vec::new();
        self.of_formula(&action.needs, &mut found);
        self.of_tasks(action.blocked_by & !action.does, &mut found);
        found
    }

    fn of_tasks(&self, tasks: u64, found: &mut Vec<Culprit>) {
        let many = self.problem.request.tasks.len();
        let left = (0..many).filter(|task| (self.left & tasks) >> task & 1 == 1);
        found.extend(left.map(Culprit::Task));
    }

    fn of_formula(&self, needs: &Holds, found: &mut Vec<Culprit>) {
        match needs {
            Holds::All(some) | Holds::Any(some) | Holds::Away(some) => {
                if !self.holds(needs) {
                    some.iter().for_each(|one| self.of_formula(one, found));
                }
            }
            Holds::Own(part, level) if self.most[*part] < *level => {
                found.push(Culprit::Part(*part));
            }
            Holds::Done(tasks) => self.of_tasks(*tasks, found),
            Holds::Own(..) | Holds::On(_) | Holds::InPlace(_) => {}
        }
    }
}
