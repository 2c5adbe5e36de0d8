//! What a relaxed sequence remembers of the nodes that are placed.

use rustc_hash::FxHashMap;

use super::node_set::NodeSet;
use super::prepared_problem::PreparedProblem;

/// No set of watched nodes: the next node is not allowed.
pub(super) const NO_SUBSET: u32 = u32::MAX;

/// A relaxed sequence remembers which of the *watched* nodes are placed. At each node it also
/// remembers which of a few other nodes are placed, unless it came from a node that does not
/// remember them.
///
/// The sets of watched nodes that can be placed together are numbered, smaller ones first. For
/// each number there is a row for each position of the last node. In a row there is, for each
/// node, a slot for each subset of the nodes that it remembers. A row ends with one more slot,
/// for what is not allowed.
pub(super) struct RelaxationMemory<const W: usize> {
    /// The watched nodes.
    pub watched: Vec<usize>,
    /// The nodes that each node remembers.
    pub remembered: Vec<Vec<usize>>,
    /// Where the slots of each node begin in a row; one more for the last slot.
    pub slots: Vec<usize>,
    /// For each number the first and last position of the last node, and where its first row
    /// begins.
    spans: Vec<(usize, usize, usize)>,
    /// For each number and next node, the number that follows.
    after: Vec<u32>,
    /// For each number, the nodes that can be the last one.
    pub lasts: Vec<NodeSet<W>>,
    nodes: usize,
    /// The length of all rows together.
    pub size: usize,
}

impl<const W: usize> RelaxationMemory<W> {
    /// Watches these nodes, and remembers those at each node; `None` where that takes more
    /// than `most` slots.
    pub fn new(
        problem: &PreparedProblem<W>,
        watched: &[usize],
        remembered: &[Vec<usize>],
        most: usize,
    ) -> Option<Self> {
        let nodes = problem.nodes;
        let all = watched
            .iter()
            .fold(NodeSet::<W>::NONE, |all, it| all.with(*it));
        let remembered: Vec<Vec<usize>> = remembered
            .iter()
            .map(|remembered| {
                remembered
                    .iter()
                    .copied()
                    .filter(|it| !all.contains(*it))
                    .collect()
            })
            .collect();
        let mut slots = vec![0];
        for remembered in &remembered {
            slots.push(slots[slots.len() - 1] + (1 << remembered.len()));
        }
        let row = slots[nodes] + 1;
        let mut sets = vec![NodeSet::<W>::NONE];
        let mut numbers: FxHashMap<NodeSet<W>, u32> = FxHashMap::default();
        numbers.insert(NodeSet::NONE, 0);
        let (mut spans, mut after, mut lasts) = (Vec::new(), Vec::new(), Vec::new());
        let mut size = 0;
        let mut at = 0;
        while at < sets.len() {
            let set = sets[at];
            let mut least = set;
            let mut barred = NodeSet::<W>::NONE;
            for node in watched {
                if set.contains(*node) {
                    least = least.or(&problem.before[*node]);
                } else {
                    barred = barred.or(&problem.after[*node]).with(*node);
                }
            }
            let (low, high) = (least.len().max(1) - 1, nodes - 1 - barred.len());
            spans.push((low, high, size));
            size += (high + 1 - low) * row;
            if size > most {
                return None;
            }
            let mut last = NodeSet::NONE;
            for node in 0..nodes {
                let open = problem.before[node].and(&all).is_within(&set)
                    && !problem.after[node].meets(&set);
                let is_watched = all.contains(node);
                if open && is_watched == set.contains(node) {
                    last.insert(node);
                }
                after.push(match (open && !set.contains(node), is_watched) {
                    (false, _) => NO_SUBSET,
                    (true, false) => at as u32,
                    (true, true) => *numbers.entry(set.with(node)).or_insert_with(|| {
                        sets.push(set.with(node));
                        sets.len() as u32 - 1
                    }),
                });
            }
            lasts.push(last);
            at += 1;
        }
        Some(Self {
            watched: watched.to_vec(),
            remembered,
            slots,
            spans,
            after,
            lasts,
            nodes,
            size,
        })
    }

    pub fn none(problem: &PreparedProblem<W>) -> Self {
        let nothing = vec![Vec::new(); problem.nodes];
        match Self::new(problem, &[], &nothing, usize::MAX) {
            Some(memory) => memory,
            None => unreachable!("there is no limit"),
        }
    }

    /// The number of sets of watched nodes.
    pub fn len(&self) -> usize {
        self.spans.len()
    }

    /// The number that follows when this node is placed.
    pub fn after(&self, number: u32, node: usize) -> u32 {
        self.after[number as usize * self.nodes + node]
    }

    /// The length of a row.
    pub fn row(&self) -> usize {
        self.slots[self.nodes] + 1
    }

    /// The positions where the last node can stand.
    pub fn places(&self, number: usize) -> std::ops::RangeInclusive<usize> {
        let (low, high, _) = self.spans[number];
        low..=high
    }

    /// Where a row begins.
    pub fn start(&self, number: u32, place: usize) -> Option<usize> {
        if number == NO_SUBSET {
            return None;
        }
        let (low, high, start) = self.spans[number as usize];
        (low <= place && place <= high).then(|| start + (place - low) * self.row())
    }

    /// The slot of this last node where all of these nodes are placed.
    pub fn slot(&self, done: &NodeSet<W>, last: usize) -> usize {
        let remembered = self.remembered[last].iter().enumerate();
        let kept: usize = remembered
            .map(|(bit, it)| usize::from(done.contains(*it)) << bit)
            .sum();
        self.slots[last] + kept
    }

    /// For each slot of `from`, the slot that follows when `to` comes next.
    pub fn slot_map(&self, problem: &PreparedProblem<W>, from: usize, to: usize) -> Vec<u16> {
        let never = self.slots[self.nodes];
        let (here, there) = (&self.remembered[from], &self.remembered[to]);
        let barred = here
            .iter()
            .enumerate()
            .filter(|(_, it)| **it == to || problem.after[to].contains(**it));
        let barred: usize = barred.map(|(bit, _)| 1 << bit).sum();
        // A remembered node that must come before `from` or `to` is placed in any case.
        let known = |it: usize| it == from || problem.before[to].contains(it);
        let sure: usize = there
            .iter()
            .enumerate()
            .map(|(bit, it)| usize::from(known(*it)) << bit)
            .sum();
        let moved: Vec<(usize, usize)> = there
            .iter()
            .enumerate()
            .filter_map(|(bit, it)| Some((here.iter().position(|here| here == it)?, bit)))
            .collect();
        (0..1usize << here.len())
            .map(|kept| {
                if kept & barred != 0 {
                    return never as u16;
                }
                let then = moved
                    .iter()
                    .fold(sure, |then, (from, to)| then | (kept >> from & 1) << to);
                (self.slots[to] + then) as u16
            })
            .collect()
    }
}
