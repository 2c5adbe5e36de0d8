//! What a relaxed order remembers of the nodes that are done.

use rustc_hash::FxHashMap;

use super::matrix::Matrix;
use super::set::Set;

/// No set of watched nodes: what should come next cannot.
pub(super) const NOWHERE: u32 = u32::MAX;

/// What a relaxed order remembers: of some nodes, the *watched* ones, which are
/// done; and beside that, at each node, which of a few nodes are done that it
/// *keeps in mind*, unless it came by a node that does not keep them in mind.
///
/// The sets of watched nodes that can be done together are numbered, smaller ones
/// first. For each number there is a row for each place where the last node can
/// stand, and in a row, for each node, a slot for each set that it can have in
/// mind. A row ends with one slot more, for what cannot be.
pub(super) struct Memory<const W: usize> {
    /// The watched nodes.
    pub watched: Vec<usize>,
    /// What each node keeps in mind.
    pub mind: Vec<Vec<usize>>,
    /// Where the slots of each node begin in a row; one more for the last slot.
    pub slots: Vec<usize>,
    /// For each number the first and last place of the last node, and where its
    /// first row begins.
    spans: Vec<(usize, usize, usize)>,
    /// For each number and node, the number after it.
    after: Vec<u32>,
    /// For each number, the nodes that can be the last ones.
    pub lasts: Vec<Set<W>>,
    nodes: usize,
    /// The length of all rows together.
    pub size: usize,
}

impl<const W: usize> Memory<W> {
    /// Watches these nodes and keeps these in mind; `None` where that takes more
    /// than `most` slots.
    pub fn new(
        matrix: &Matrix<W>,
        watched: &[usize],
        mind: &[Vec<usize>],
        most: usize,
    ) -> Option<Self> {
        let nodes = matrix.nodes;
        let all = watched.iter().fold(Set::<W>::NONE, |all, it| all.with(*it));
        let mind: Vec<Vec<usize>> = mind
            .iter()
            .map(|mind| {
                mind.iter()
                    .copied()
                    .filter(|it| !all.contains(*it))
                    .collect()
            })
            .collect();
        let mut slots = vec![0];
        for mind in &mind {
            slots.push(slots[slots.len() - 1] + (1 << mind.len()));
        }
        let row = slots[nodes] + 1;
        let mut sets = vec![Set::<W>::NONE];
        let mut numbers: FxHashMap<Set<W>, u32> = FxHashMap::default();
        numbers.insert(Set::NONE, 0);
        let (mut spans, mut after, mut lasts) = (Vec::new(), Vec::new(), Vec::new());
        let mut size = 0;
        let mut at = 0;
        while at < sets.len() {
            let set = sets[at];
            let mut least = set;
            let mut barred = Set::<W>::NONE;
            for node in watched {
                if set.contains(*node) {
                    least = least.or(&matrix.before[*node]);
                } else {
                    barred = barred.or(&matrix.after[*node]).with(*node);
                }
            }
            let (low, high) = (least.len().max(1) - 1, nodes - 1 - barred.len());
            spans.push((low, high, size));
            size += (high + 1 - low) * row;
            if size > most {
                return None;
            }
            let mut last = Set::NONE;
            for node in 0..nodes {
                let open = matrix.before[node].and(&all).is_within(&set)
                    && !matrix.after[node].meets(&set);
                let is_watched = all.contains(node);
                if open && is_watched == set.contains(node) {
                    last.insert(node);
                }
                after.push(match (open && !set.contains(node), is_watched) {
                    (false, _) => NOWHERE,
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
            mind,
            slots,
            spans,
            after,
            lasts,
            nodes,
            size,
        })
    }

    /// Remembers nothing.
    pub fn none(matrix: &Matrix<W>) -> Self {
        let nothing = vec![Vec::new(); matrix.nodes];
        match Self::new(matrix, &[], &nothing, usize::MAX) {
            Some(memory) => memory,
            None => unreachable!("there is no limit"),
        }
    }

    /// How many sets of watched nodes there are.
    pub fn len(&self) -> usize {
        self.spans.len()
    }

    /// The number after this node.
    pub fn after(&self, number: u32, node: usize) -> u32 {
        self.after[number as usize * self.nodes + node]
    }

    /// The length of a row.
    pub fn row(&self) -> usize {
        self.slots[self.nodes] + 1
    }

    /// The places where the last node can stand.
    pub fn places(&self, number: usize) -> std::ops::RangeInclusive<usize> {
        let (low, high, _) = self.spans[number];
        low..=high
    }

    /// Where a row begins.
    pub fn start(&self, number: u32, place: usize) -> Option<usize> {
        if number == NOWHERE {
            return None;
        }
        let (low, high, start) = self.spans[number as usize];
        (low <= place && place <= high).then(|| start + (place - low) * self.row())
    }

    /// The slot of this last node with all of these done.
    pub fn slot(&self, done: &Set<W>, last: usize) -> usize {
        let mind = self.mind[last].iter().enumerate();
        let kept: usize = mind
            .map(|(bit, it)| usize::from(done.contains(*it)) << bit)
            .sum();
        self.slots[last] + kept
    }

    /// The slots that the slots of `from` lead to when `to` comes next.
    pub fn leads(&self, matrix: &Matrix<W>, from: usize, to: usize) -> Vec<u16> {
        let never = self.slots[self.nodes];
        let (here, there) = (&self.mind[from], &self.mind[to]);
        let barred = here
            .iter()
            .enumerate()
            .filter(|(_, it)| **it == to || matrix.after[to].contains(**it));
        let barred: usize = barred.map(|(bit, _)| 1 << bit).sum();
        // A node in mind that must come before `from` or `to` was done in any case.
        let known = |it: usize| it == from || matrix.before[to].contains(it);
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
