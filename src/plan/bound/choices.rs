//! Choices of routes that must still be made, and the least that they cost.

use crate::plan::bits::Bits;
use crate::plan::problem::{Certain, Holds, Node, Problem};

use super::legs::is_walked;

/// Every choice of a problem.
pub(super) struct Choices {
    /// Choices of each leg and, after those, of each task, by place in `all`.
    of: Vec<Vec<usize>>,
    all: Vec<Choice>,
    legs: usize,
}

/// One of several routes: the legs that each is certain to go through.
#[derive(PartialEq)]
struct Choice {
    routes: Vec<Bits>,
}

impl Choices {
    /// The choices of the legs and, after them, of the tasks; equal ones once.
    pub fn new(problem: &Problem, certain: &Certain, ways: &[Vec<Holds>]) -> Self {
        let mut all: Vec<Choice> = Vec::new();
        let mut chosen = Vec::new();
        let tasks = (0..problem.request.tasks.len()).map(|task| {
            problem
                .actions
                .iter()
                .find(|action| action.does == 1 << task)
                .map(|action| &action.needs)
        });
        let legs = ways.iter().map(|ways| match ways.as_slice() {
            [way] => Some(way),
            _ => None,
        });
        for holds in legs.chain(tasks) {
            let mut found = Vec::new();
            if let Some(holds) = holds {
                holds.choices(&mut found);
            }
            let places = found.into_iter().map(|routes| {
                let routes = routes
                    .iter()
                    .filter_map(|route| certain.of(route))
                    .collect();
                let choice = Choice { routes };
                all.iter()
                    .position(|known| *known == choice)
                    .unwrap_or_else(|| {
                        all.push(choice);
                        all.len() - 1
                    })
            });
            chosen.push(places.collect());
        }
        Self {
            of: chosen,
            all,
            legs: ways.len(),
        }
    }

    /// The work of the cheapest route of the dearest choice that is still to be
    /// made: `there_and_back` is the work of each leg, out and back.
    pub fn dearest(&self, node: &Node, required: &Bits, there_and_back: &[u64]) -> u64 {
        let legs = required.iter().filter(|leg| !is_walked(node, *leg));
        let tasks = (0..self.of.len() - self.legs).filter(|task| node.tasks >> task & 1 == 1);
        let open = legs.chain(tasks.map(|task| self.legs + task));
        let open = open.flat_map(|at| &self.of[at]);
        open.map(|choice| self.all[*choice].cheapest(node, required, there_and_back))
            .max()
            .unwrap_or(0)
    }
}

impl Choice {
    fn cheapest(&self, node: &Node, required: &Bits, there_and_back: &[u64]) -> u64 {
        let route = |legs: &Bits| {
            let left = legs
                .iter()
                .filter(|leg| !required.contains(*leg) && !is_walked(node, *leg));
            left.map(|leg| there_and_back[leg]).sum()
        };
        self.routes.iter().map(route).min().unwrap_or(0)
    }
}
