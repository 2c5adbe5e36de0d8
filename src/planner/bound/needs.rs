//! What is certain to be needed, and which routes are to be chosen from, by what
//! is walked already.

use std::cell::RefCell;
use std::rc::Rc;

use rustc_hash::FxHashMap;

use crate::bits::Bits;
use crate::problem::{Certain, Holds, Node, Problem, Shape};
use crate::{Op, PartState, Way};

use super::legs::{find, ways};
use super::routes::Routes;

/// The needs of every state.
pub struct AllNeeds {
    ways: Vec<Vec<Holds>>,
    certain: Certain,
    /// Legs that there are.
    there: Bits,
    usual: Rc<Needs>,
    /// The needs where some walked legs are left alone.
    others: RefCell<FxHashMap<Bits, Rc<Needs>>>,
}

/// What is needed.
pub struct Needs {
    /// Legs that each task is certain to need.
    tasks: Vec<Bits>,
    /// Legs that the way back of each part is certain to need, from eased and from
    /// off; all the way down.
    back: Vec<[Bits; 2]>,
    pub routes: Routes,
}

/// Sets of legs left alone to remember the needs of.
const MOST_REMEMBERED: usize = 256;

impl AllNeeds {
    #[cold]
    pub fn new(problem: &Problem) -> Self {
        let ways = ways(problem);
        let certain = Certain::new(&ways, &problem.shapes, &Bits::none(ways.len()));
        let usual = Rc::new(Needs::new(problem, &certain, &ways));
        let mut there = Bits::none(ways.len());
        let has_ways = ways.iter().enumerate().filter(|(_, ways)| !ways.is_empty());
        has_ways.for_each(|(leg, _)| there.insert(leg));
        Self {
            ways,
            certain,
            there,
            usual,
            others: RefCell::default(),
        }
    }

    /// The needs where these legs are walked.
    pub fn of(&self, problem: &Problem, walked: &Bits) -> Rc<Needs> {
        let mut given = self.certain.left_alone(walked);
        given.meet(&self.there);
        if given.is_empty() {
            return Rc::clone(&self.usual);
        }
        let mut others = self.others.borrow_mut();
        if let Some(known) = others.get(&given) {
            return Rc::clone(known);
        }
        if others.len() >= MOST_REMEMBERED {
            others.clear();
        }
        let certain = Certain::new(&self.ways, &problem.shapes, &given);
        let needs = Rc::new(Needs::new(problem, &certain, &self.ways));
        others.insert(given, Rc::clone(&needs));
        needs
    }
}

impl Needs {
    #[cold]
    fn new(problem: &Problem, certain: &Certain, ways: &[Vec<Holds>]) -> Self {
        let none = || Bits::none(ways.len());
        let tasks = (0..problem.request.tasks.len()).map(|task| {
            let mut doing = problem.actions.iter().filter(|one| one.does == 1 << task);
            let must = doing.next().and_then(|one| certain.of(&one.needs));
            must.unwrap_or_else(none)
        });
        Self {
            tasks: tasks.collect(),
            back: (0..problem.numbers.len())
                .map(|part| back(problem, certain, part))
                .collect(),
            routes: Routes::new(problem, certain, ways),
        }
    }

    /// Legs that are certain to be needed from here, those walked already too.
    pub fn required(&self, node: &Node) -> Bits {
        let mut set = Bits::none(2 * self.back.len());
        for (task, must) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                set.unite(must);
            }
        }
        for part in node.open() {
            let off = node.of(part) == PartState::Off;
            set.unite(&self.back[part][usize::from(off)]);
        }
        set
    }
}

fn back(problem: &Problem, certain: &Certain, local: usize) -> [Bits; 2] {
    let part = problem.numbers.part(local);
    let Shape { eases, benches } = problem.shapes[local];
    let none = || Bits::none(2 * problem.numbers.len());
    let must = |ops: &[Op]| {
        let needs = ops.iter().filter_map(|op| find(problem, *op));
        let ways: Vec<Holds> = needs.map(|at| problem.actions[at].needs.clone()).collect();
        certain.of_ways(&ways).unwrap_or_else(none)
    };
    let mut off = must(&[
        Op::PutBack(part, Way::InPlace),
        Op::PutBack(part, Way::Bench),
    ]);
    if benches {
        return [none(), off];
    }
    let eased = must(&[Op::Settle(part)]);
    if eases {
        off.unite(&eased);
    }
    [eased, off]
}
