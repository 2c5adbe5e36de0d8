//! The states of a unit as a space to be searched.
//!
//! Three facts keep the space small; each rests on this: taking an operation
//! out of a sequence never adds a tool or face change, and opening more never
//! makes a formula false, but for parts that something wants to stay (*stayers*:
//! parts under `in-place`, carriers of riders that matter, parts that a service
//! wants back first).
//!
//! * A part is taken out only if a route to a task that is left, or the way back
//!   of a part that is open, goes through it.
//! * A part that is certain to be needed open again is not put back, unless it
//!   is a stayer: it would have to come out once more.
//! * What must be done sooner or later, can be done now, asks for no change of
//!   tool or face and shuts nothing (task work; a leg that is certain, of no
//!   stayer; putting back a part that nothing goes through any more) is done now,
//!   and nothing else is tried. Of a rider's two ways only the one that takes less
//!   work is done so: the other could save nothing. Where waits play a part this is
//!   not used, because then it matters what is done while one runs.

use crate::plan::bits::Bits;
use crate::plan::bound::Bound;
use crate::plan::problem::{Action, Node, Place, Problem};
use crate::plan::search::Space;
use crate::plan::{PartState, Phase};

/// One second's tenth, in units of search cost: the parts disturbed break ties
/// below it.
pub(super) const TENTH: u64 = 1 << 12;

/// The search space of a problem.
pub(super) struct UnitSpace<'a> {
    problem: &'a Problem<'a>,
    bound: Bound<'a>,
    /// For each part: every part that some way of it goes through, all the way
    /// down.
    through: Vec<Bits>,
    /// The same for each task.
    tasks: Vec<Bits>,
    stayers: Bits,
    /// Of each action: whether no other way of the same leg takes less work. Of a
    /// part that can be eased and has two ways, none is.
    least_way: Vec<bool>,
}

impl<'a> UnitSpace<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let parts = problem.numbers.len();
        let mut stayers = Bits::none(parts);
        for action in &problem.actions {
            action.needs.stayers(&mut stayers);
        }
        let through = through(problem);
        let tasks = problem.request.tasks.iter().enumerate().map(|(task, _)| {
            let mut set = Bits::none(parts);
            for action in problem
                .actions
                .iter()
                .filter(|action| action.does == 1 << task)
            {
                action.needs.mentions(&mut set);
            }
            let direct: Vec<usize> = set.iter().collect();
            for part in direct {
                set.unite(&through[part]);
            }
            set
        });
        let tasks = tasks.collect();
        Self {
            problem,
            bound: Bound::new(problem),
            through,
            tasks,
            stayers,
            least_way: least_ways(problem),
        }
    }

    /// Parts that a route to a task that is left goes through.
    fn wanted(&self, node: &Node) -> Bits {
        let mut set = Bits::none(self.problem.numbers.len());
        for (task, through) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                set.unite(through);
            }
        }
        set
    }

    /// Parts that an open part's way back goes through; how many open parts go
    /// through each.
    fn held_open(&self, node: &Node) -> Vec<u16> {
        let mut count = vec![0; self.problem.numbers.len()];
        for part in 0..count.len() {
            if node.of(part) != PartState::Fitted {
                for held in self.through[part].iter().filter(|held| *held != part) {
                    count[held] += 1;
                }
            }
        }
        count
    }
}

fn least_ways(problem: &Problem) -> Vec<bool> {
    let is_least = |action: &Action| {
        let Some(moved) = action.moves else {
            return true;
        };
        if !problem.numbers.has_two_ways(moved.part) {
            return true;
        }
        let outward = moved.to > moved.from;
        let mut ways = problem.actions.iter().filter(|other| {
            other
                .moves
                .is_some_and(|at| at.part == moved.part && (at.to > at.from) == outward)
        });
        !problem.shapes[moved.part].eases && ways.all(|other| other.work >= action.work)
    };
    problem.actions.iter().map(is_least).collect()
}

/// For each part, every part that some way of it goes through.
fn through(problem: &Problem) -> Vec<Bits> {
    let parts = problem.numbers.len();
    let mut through = vec![Bits::none(parts); parts];
    for action in &problem.actions {
        if let Some(moved) = action.moves {
            action.needs.mentions(&mut through[moved.part]);
        }
    }
    loop {
        let mut changed = false;
        for part in 0..parts {
            let mut set = through[part].clone();
            for next in through[part].iter() {
                set.unite(&through[next]);
            }
            if set != through[part] {
                through[part] = set;
                changed = true;
            }
        }
        if !changed {
            return through;
        }
    }
}

impl Space for UnitSpace<'_> {
    type State = Node;
    type Place = Place;
    type Act = usize;

    fn place(&self, node: &Node) -> Place {
        node.place.clone()
    }

    /// No dearer, and no wait ends later.
    fn covers(&self, node: &Node, cost: u64, other: &Node, others: u64) -> bool {
        let ends = node.waits.iter().zip(&other.waits);
        let ends = ends.map(|(one, two)| {
            (
                cost + u64::from(*one) * TENTH,
                others + u64::from(*two) * TENTH,
            )
        });
        cost <= others && ends.into_iter().all(|(one, two)| one <= two)
    }

    fn start(&self) -> Node {
        self.problem.start()
    }

    fn is_end(&self, node: &Node) -> bool {
        node.tasks == 0 && node.is_closed()
    }

    fn bound(&self, node: &Node) -> Option<u64> {
        self.bound.of(node)
    }

    fn moves(&self, node: &Node, into: &mut Vec<(usize, Node, u64)>) {
        let wanted = self.wanted(node);
        let held = self.held_open(node);
        let certain = self.bound.required(node);
        let two = |part: usize| self.problem.numbers.has_two_ways(part);
        let mut allowed = Vec::with_capacity(16);
        for (at, action) in self.problem.actions.iter().enumerate() {
            let (allow, must) = match (action.op.phase(), action.moves) {
                (Phase::Fit, _) => (true, true),
                (Phase::StripDown, Some(moved)) => {
                    let finish = two(moved.part) && moved.from == PartState::Eased;
                    let useful = wanted.contains(moved.part) || held[moved.part] > 0 || finish;
                    let sure = self.bound.is_certain(&certain, moved);
                    (
                        useful,
                        sure && self.least_way[at] && !self.stayers.contains(moved.part),
                    )
                }
                (_, Some(moved)) => {
                    let again = self.bound.is_certain_open(&certain, moved);
                    let free = !wanted.contains(moved.part) && held[moved.part] == 0;
                    let stays = self.stayers.contains(moved.part);
                    (stays || !again, free && self.least_way[at])
                }
                (_, None) => (false, false),
            };
            if !allow || !action.can(node) {
                continue;
            }
            if must && !self.problem.has_waits() && action.is_free(node) {
                into.clear();
                into.push(self.moved(at, action, node));
                return;
            }
            allowed.push(at);
        }
        into.extend(
            allowed
                .into_iter()
                .map(|at| self.moved(at, &self.problem.actions[at], node)),
        );
    }
}

impl UnitSpace<'_> {
    fn moved(&self, at: usize, action: &Action, node: &Node) -> (usize, Node, u64) {
        let (taken, next) = action.apply(node, self.problem.request.prices);
        let disturbs = action
            .moves
            .is_some_and(|moved| moved.from == PartState::Fitted);
        (
            at,
            next,
            u64::from(taken.total) * TENTH + u64::from(disturbs),
        )
    }
}
