//! A lower bound on what is left to do from a state. Admissible: no plan from
//! here is cheaper.
//!
//! Four sums, each a lower bound on its own share of the cost:
//!
//! * **work**: parts that are open go back by their cheapest way; legs that are
//!   certain (see [`super::problem::Certain`]) and not yet walked are walked out
//!   and back; task work that is left is done;
//! * **choices**: where a leg or a task that is certain needs *one of* several
//!   routes and none is open yet, at least the cheapest of them is walked besides;
//!   of several such choices only the dearest counts, because they may share a
//!   route;
//! * **tool changes** and, separately, **face changes**: see [`fetches`].

mod choices;
mod costs;
mod fetches;
mod legs;

use crate::plan::PartState;
use crate::plan::bits::Bits;
use crate::plan::problem::{Certain, Move, Node, Problem, leg};
use crate::plan::space::TENTH;

use choices::Choices;
use costs::{PartCosts, part_costs};
use fetches::{Fetches, Work};
use legs::{Leg, Used, leg_of, ranked, ways};

/// The bound of a problem's states.
pub(super) struct Bound<'a> {
    problem: &'a Problem<'a>,
    parts: Vec<PartCosts>,
    tasks: Vec<TaskLegs>,
    legs: Vec<Option<Leg>>,
    /// Legs that can be walked, each after those that it needs.
    rank: Vec<usize>,
    choices: Choices,
    /// Least work of walking each leg out and back.
    there_and_back: Vec<u64>,
    tools: Fetches,
    faces: Fetches,
}

/// A task's operation, the legs that it is certain to need, and those of them
/// that it asks for by name.
struct TaskLegs {
    action: usize,
    used: Used,
    must: Bits,
    direct: Bits,
}

impl<'a> Bound<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let count = problem.numbers.len();
        let ways = ways(problem);
        let certain = Certain::new(&ways, &problem.shapes);
        let legs: Vec<Option<Leg>> = (0..2 * count).map(|leg| leg_of(problem, leg)).collect();
        let none = || Bits::none(2 * count);
        let tasks = (0..problem.request.tasks.len()).filter_map(|task| {
            let doing = |action: &crate::plan::problem::Action| action.does == 1 << task;
            let action = problem.actions.iter().position(doing)?;
            let needs = &problem.actions[action].needs;
            Some(TaskLegs {
                action,
                used: Used::of(&problem.actions[action]),
                must: certain.of(needs).unwrap_or_else(none),
                direct: needs.certain(&problem.shapes).unwrap_or_else(none),
            })
        });
        let tasks: Vec<TaskLegs> = tasks.collect();
        let parts: Vec<PartCosts> = (0..count)
            .map(|part| part_costs(problem, &certain, part))
            .collect();
        let walked = legs.iter().flatten().flat_map(|leg| [&leg.out, &leg.back]);
        let all: Vec<&Used> = walked.chain(tasks.iter().map(|task| &task.used)).collect();
        let tools = Fetches::new(|used| &used.tools, &all);
        let faces = Fetches::new(|used| &used.faces, &all);
        Self {
            problem,
            rank: ranked(&certain, 2 * count),
            choices: Choices::new(problem, &certain, &ways),
            there_and_back: (0..2 * count).map(|leg| parts[leg / 2].leg(leg)).collect(),
            tools,
            faces,
            parts,
            tasks,
            legs,
        }
    }

    /// Legs that are certain to be needed from here, those walked already too.
    pub fn required(&self, node: &Node) -> Bits {
        let mut set = Bits::none(2 * self.parts.len());
        for (task, legs) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                set.unite(&legs.must);
            }
        }
        for (part, costs) in self.parts.iter().enumerate() {
            match node.of(part) {
                PartState::Fitted => {}
                PartState::Eased => set.unite(&costs.must_back[1]),
                PartState::Off => set.unite(&costs.must_back[0]),
            }
        }
        set
    }

    /// Whether moving the part out so is certain to be needed.
    pub fn is_certain(&self, required: &Bits, moved: Move) -> bool {
        required.contains(leg(moved.part, moved.to, &self.problem.shapes))
    }

    /// Whether the part, put back so, would have to come out again.
    pub fn is_certain_open(&self, required: &Bits, moved: Move) -> bool {
        required.contains(leg(moved.part, moved.from, &self.problem.shapes))
    }

    fn wants(&self, required: &Bits, part: usize) -> PartState {
        if required.contains(2 * part + 1) {
            PartState::Off
        } else if required.contains(2 * part) {
            PartState::Eased
        } else {
            PartState::Fitted
        }
    }

    /// The bound, in units of search cost; `None` where there is no way at all.
    pub fn of(&self, node: &Node) -> Option<u64> {
        let required = self.required(node);
        let mut work = 0;
        let mut disturbed = 0;
        for (part, costs) in self.parts.iter().enumerate() {
            let (have, want) = (node.of(part), self.wants(&required, part));
            work += costs.left(have, want)?;
            disturbed += u64::from(have == PartState::Fitted && want != PartState::Fitted);
        }
        for (task, legs) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                work += u64::from(self.problem.actions[legs.action].work);
            }
        }
        work += self.choices.dearest(node, &required, &self.there_and_back);
        let prices = self.problem.request.prices;
        let left = self.tasks.iter().enumerate();
        let left = left.filter(|(task, _)| node.tasks >> task & 1 == 1);
        let works: Vec<Work> = left
            .map(|(_, task)| Work {
                used: &task.used,
                direct: &task.direct,
            })
            .collect();
        for (fetches, have, price) in [
            (&self.tools, node.tool, prices.tool_change),
            (&self.faces, node.face, prices.face_change),
        ] {
            if price > 0 {
                let least = fetches.least(node, &required, &self.legs, &self.rank, &works, have);
                work += least * u64::from(price);
            }
        }
        Some(work * TENTH + disturbed)
    }
}
