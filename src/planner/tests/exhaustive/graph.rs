//! Every state that a job can come to, what leads from one to the next, and the true
//! cost from each to the end: by doing all that is legal, with no bound.

use std::cmp::Reverse;
use std::collections::hash_map::Entry;
use std::collections::{BinaryHeap, HashMap};

use lidoff_planner::Tenths;
use lidoff_planner::internals::Bits;
use lidoff_planner::internals::Node;
use lidoff_planner::internals::Space;

/// What tells two states apart.
type Key = (Bits, u64, u16, u16, Vec<Tenths>);

fn key(node: &Node) -> Key {
    let parts = node.parts.clone();
    (parts, node.tasks, node.tool, node.face, node.waits.to_vec())
}

/// A move: what does it, where it leads, what it costs.
#[derive(Clone, Copy)]
pub struct Edge {
    pub act: usize,
    pub to: usize,
    pub cost: u64,
}

/// The states of a job.
pub struct Graph<'a, S> {
    space: &'a S,
    pub nodes: Vec<Node>,
    at: HashMap<Key, usize>,
    /// All that is legal in each state.
    pub legal: Vec<Vec<Edge>>,
    /// What each takes to the end at the least; none where there is no way.
    pub to_go: Vec<Option<u64>>,
}

impl<'a, S: Space<State = Node, Act = usize>> Graph<'a, S> {
    /// All states from the start by all that is `legal`: what can be done in a state,
    /// what it costs and where it leads. Nothing where there are more than so many.
    pub fn new(
        space: &'a S,
        legal: impl Fn(&Node) -> Vec<(usize, (u64, Node))>,
        most: usize,
    ) -> Option<Self> {
        let mut graph = Self {
            space,
            nodes: Vec::new(),
            at: HashMap::new(),
            legal: Vec::new(),
            to_go: Vec::new(),
        };
        graph.state(space.start());
        while let Some(node) = graph.nodes.get(graph.legal.len()).cloned() {
            if graph.nodes.len() > most {
                return None;
            }
            let edges = legal(&node).into_iter().map(|(act, (cost, next))| Edge {
                act,
                to: graph.state(next),
                cost,
            });
            let edges = edges.collect();
            graph.legal.push(edges);
        }
        graph.to_go = graph.least(&graph.legal);
        Some(graph)
    }

    fn state(&mut self, node: Node) -> usize {
        match self.at.entry(key(&node)) {
            Entry::Occupied(known) => *known.get(),
            Entry::Vacant(new) => {
                self.nodes.push(node);
                *new.insert(self.nodes.len() - 1)
            }
        }
    }

    /// What the search tries in each state.
    pub fn tried(&self) -> Vec<Vec<Edge>> {
        let mut moves = Vec::new();
        let edges = self.nodes.iter().map(|node| {
            moves.clear();
            self.space.moves(node, &mut moves);
            let edges = moves.drain(..).map(|(act, next, cost)| Edge {
                act,
                to: self.at[&key(&next)],
                cost,
            });
            edges.collect()
        });
        edges.collect()
    }

    /// The least from each state to an end by these moves.
    pub fn least(&self, edges: &[Vec<Edge>]) -> Vec<Option<u64>> {
        let mut back = vec![Vec::new(); self.nodes.len()];
        for (from, edges) in edges.iter().enumerate() {
            for edge in edges {
                back[edge.to].push((from, edge.cost));
            }
        }
        let mut least = vec![None; self.nodes.len()];
        let ends = self.nodes.iter().enumerate();
        let ends = ends.filter(|(_, node)| self.space.is_end(node));
        let mut heap: BinaryHeap<_> = ends.map(|(at, _)| Reverse((0, at))).collect();
        while let Some(Reverse((cost, at))) = heap.pop() {
            if least[at].is_some() {
                continue;
            }
            least[at] = Some(cost);
            for (from, price) in &back[at] {
                heap.push(Reverse((cost + price, *from)));
            }
        }
        least
    }

    /// The states at each place, all those from which there is a way to an end, with
    /// what that takes.
    pub fn places(&self) -> Vec<Vec<(&Node, u64)>> {
        let mut places: HashMap<S::Place, Vec<(&Node, u64)>> = HashMap::new();
        for (node, to_go) in self.nodes.iter().zip(&self.to_go) {
            if let Some(to_go) = to_go {
                let here = places.entry(self.space.place(node)).or_default();
                here.push((node, *to_go));
            }
        }
        places.into_values().collect()
    }
}
