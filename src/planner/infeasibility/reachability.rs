//! Reachability if nothing ever had to remain in place.
//!
//! This is the *delete relaxation* of classical planning: effects only open parts and do
//! tasks, and never close anything. What is unreachable here is unreachable for good.

use crate::outcome::Blocked;
use crate::problem::{Action, Precondition, Problem, SearchState};
use crate::state::PartState;

/// The fixed point of the relaxation.
pub(super) struct Reachability<'a> {
    problem: &'a Problem<'a>,
    initial_state: SearchState,
    /// How far open each part can come.
    furthest: Vec<PartState>,
    /// Tasks that cannot be done, as bits.
    undone: u64,
}

/// What keeps a task from being done.
pub(super) struct Obstacles {
    /// From one obstacle to the next, down to where the chain ends or closes on itself.
    pub chain: Vec<Blocked>,
    /// Where the other routes end.
    pub other_ends: Vec<Blocked>,
}

/// What is in the way of something.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Obstacle {
    /// A part, by its local number, that does not come far enough open.
    Part(usize),
    /// A task, by its index, that must be done first.
    Task(usize),
}

impl<'a> Reachability<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let initial_state = problem.initial_state();
        let furthest = (0..problem.numbering.len())
            .map(|part| initial_state.part_state(part))
            .collect();
        let mut reachability = Self {
            problem,
            undone: initial_state.tasks,
            initial_state,
            furthest,
        };
        while reachability.advance() {}
        reachability
    }

    /// Applies every action once. Returns whether that changed anything.
    fn advance(&mut self) -> bool {
        let mut has_changed = false;
        for action in &self.problem.actions {
            if action.is_blocked || !self.can_apply(action) {
                continue;
            }
            if let Some(moved) = action.part_move
                && moved.to > self.furthest[moved.part]
                && moved.from <= self.furthest[moved.part]
            {
                self.furthest[moved.part] = moved.to;
                has_changed = true;
            }
            if self.undone & action.completes != 0 {
                self.undone &= !action.completes;
                has_changed = true;
            }
        }
        has_changed
    }

    fn can_apply(&self, action: &Action) -> bool {
        self.undone & action.after_tasks & !action.completes == 0
            && self.holds(&action.precondition)
    }

    fn holds(&self, precondition: &Precondition) -> bool {
        match precondition {
            Precondition::All(all) => all.iter().all(|one| self.holds(one)),
            Precondition::Any(any) | Precondition::OpenOrAway(any) => {
                any.iter().any(|one| self.holds(one))
            }
            Precondition::AtLeast(part, state) => self.furthest[*part] >= *state,
            Precondition::TasksDone(tasks) => self.undone & tasks == 0,
            Precondition::NotOff(_)
            | Precondition::Fitted(_)
            | Precondition::FittedBeforeLive(_) => true,
        }
    }

    /// Whether the part, where it is open, has a way back whose preconditions can hold.
    pub fn can_close(&self, part: usize) -> bool {
        let mut current = self.initial_state.part_state(part);
        // At most two legs.
        for _ in 0..2 {
            if current == PartState::Fitted {
                return true;
            }
            let ways_back = self.problem.actions.iter().filter_map(|action| {
                let moved = action.part_move?;
                let is_way_back = moved.part == part && moved.from == current && !moved.opens();
                (is_way_back && self.holds(&action.precondition)).then_some(moved.to)
            });
            match ways_back.min() {
                Some(next) => current = next,
                None => return false,
            }
        }
        current == PartState::Fitted
    }

    /// What keeps this action from being applied; both lists are empty where nothing does.
    pub fn obstacles_to(&self, action: &Action) -> Obstacles {
        let mut chain: Vec<Obstacle> = Vec::new();
        let mut next = self.direct_obstacles(action).first().copied();
        while let Some(obstacle) = next {
            let closes_on_itself = chain.contains(&obstacle);
            chain.push(obstacle);
            if closes_on_itself {
                break;
            }
            next = self.obstacles_behind(obstacle).first().copied();
        }
        let mut other_ends = Vec::new();
        let mut visited = Vec::new();
        let mut open = self.direct_obstacles(action);
        while let Some(obstacle) = open.pop() {
            if visited.contains(&obstacle) {
                continue;
            }
            visited.push(obstacle);
            let behind = self.obstacles_behind(obstacle);
            if behind.is_empty() && chain.last() != Some(&obstacle) {
                other_ends.push(obstacle);
            }
            open.extend(behind);
        }
        let named = |obstacles: Vec<Obstacle>| {
            let obstacles = obstacles.into_iter();
            obstacles.map(|obstacle| self.name(obstacle)).collect()
        };
        Obstacles {
            chain: named(chain),
            other_ends: named(other_ends),
        }
    }

    /// The obstacle in terms of the catalog.
    fn name(&self, obstacle: Obstacle) -> Blocked {
        let request = &self.problem.request;
        match obstacle {
            Obstacle::Task(task) => Blocked::Task(request.tasks[task]),
            Obstacle::Part(local) => {
                let part = self.problem.numbering.part(local);
                let is_blocked = request.blocked.iter().any(|op| op.part() == Some(part));
                if is_blocked && self.obstacles_behind(obstacle).is_empty() {
                    Blocked::Shut(part)
                } else {
                    Blocked::Part(part)
                }
            }
        }
    }

    /// What is in the way of an obstacle's removal, in catalog order; empty where the chain
    /// ends here.
    fn obstacles_behind(&self, obstacle: Obstacle) -> Vec<Obstacle> {
        let mut behind = Vec::new();
        for action in &self.problem.actions {
            let would_remove = match obstacle {
                Obstacle::Task(task) => action.completes >> task & 1 == 1,
                Obstacle::Part(part) => action.part_move.is_some_and(|moved| {
                    moved.part == part && moved.from == self.furthest[part] && moved.opens()
                }),
            };
            if would_remove {
                behind.extend(self.direct_obstacles(action));
            }
        }
        behind
    }

    fn direct_obstacles(&self, action: &Action) -> Vec<Obstacle> {
        let mut obstacles = Vec::new();
        self.add_unmet(&action.precondition, &mut obstacles);
        self.add_undone(action.after_tasks & !action.completes, &mut obstacles);
        obstacles
    }

    fn add_undone(&self, tasks: u64, into: &mut Vec<Obstacle>) {
        let all = 0..self.problem.request.tasks.len();
        let undone = all.filter(|task| (self.undone & tasks) >> task & 1 == 1);
        into.extend(undone.map(Obstacle::Task));
    }

    fn add_unmet(&self, precondition: &Precondition, into: &mut Vec<Obstacle>) {
        match precondition {
            Precondition::All(several)
            | Precondition::Any(several)
            | Precondition::OpenOrAway(several) => {
                if !self.holds(precondition) {
                    several.iter().for_each(|one| self.add_unmet(one, into));
                }
            }
            Precondition::AtLeast(part, state) if self.furthest[*part] < *state => {
                into.push(Obstacle::Part(*part));
            }
            Precondition::TasksDone(tasks) => self.add_undone(*tasks, into),
            Precondition::AtLeast(..)
            | Precondition::NotOff(_)
            | Precondition::Fitted(_)
            | Precondition::FittedBeforeLive(_) => {}
        }
    }
}
