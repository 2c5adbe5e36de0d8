//! A lower bound for every state at once: what a relaxed sequence, which remembers less, still
//! has to pay.

use super::feasible_arcs::FeasibleArcs;
use super::multipliers::Multipliers;
use super::node_set::NodeSet;
use super::prepared_problem::{INFEASIBLE, PreparedProblem};
use super::relaxation_memory::RelaxationMemory;

/// The caller is asked whether to go on once for this many sets of watched nodes.
const POLL_EVERY: usize = 8;

/// A pair of nodes that may follow each other.
struct Arc {
    from: usize,
    to: usize,
    /// The scaled cost less the multiplier of `to`.
    cost: i32,
    /// Where its slots begin in `slot_maps`.
    slot_map: usize,
}

/// The least scaled cost that is still to be paid from each state of the relaxation.
pub(super) struct BoundTable<const W: usize> {
    pub memory: RelaxationMemory<W>,
    least: Vec<i32>,
    arc_list: Vec<Arc>,
    /// For each node where its arcs begin.
    first_arc: Vec<usize>,
    slot_maps: Vec<u16>,
}

impl<const W: usize> BoundTable<W> {
    pub fn new(
        problem: &PreparedProblem<W>,
        memory: RelaxationMemory<W>,
        arcs: &FeasibleArcs<W>,
    ) -> Self {
        let mut table = Self {
            least: vec![INFEASIBLE; memory.size],
            memory,
            arc_list: Vec::new(),
            first_arc: Vec::new(),
            slot_maps: Vec::new(),
        };
        table.list_arcs(problem, arcs);
        table
    }

    /// Whether the relaxation remembers nothing beyond the watched nodes.
    pub fn is_plain(&self) -> bool {
        self.memory.row() == self.first_arc.len()
    }

    /// Lists the arcs that may still be used.
    pub fn list_arcs(&mut self, problem: &PreparedProblem<W>, arcs: &FeasibleArcs<W>) {
        let nodes = problem.nodes;
        self.arc_list.clear();
        self.first_arc.clear();
        self.slot_maps.clear();
        for from in 0..nodes {
            self.first_arc.push(self.arc_list.len());
            for to in 0..nodes {
                if arcs.costs[from * nodes + to] < INFEASIBLE {
                    let slot_map = self.slot_maps.len();
                    self.slot_maps
                        .extend(self.memory.slot_map(problem, from, to));
                    self.arc_list.push(Arc {
                        from,
                        to,
                        cost: 0,
                        slot_map,
                    });
                }
            }
        }
        self.first_arc.push(self.arc_list.len());
    }

    /// The least cost still to be paid from this slot on.
    pub fn at(&self, number: u32, place: usize, slot: usize) -> i32 {
        self.memory
            .start(number, place)
            .map_or(INFEASIBLE, |start| self.least[start + slot])
    }

    /// The bound for all sequences, without the sum of the multipliers.
    pub fn root(&self) -> i32 {
        self.at(0, 0, self.memory.slots[0])
    }

    /// Fills the table from the last position to the first. Returns false where it was
    /// stopped: then the table must not be used.
    pub fn fill(
        &mut self,
        arcs: &FeasibleArcs<W>,
        multipliers: &Multipliers,
        keep_going: &mut dyn FnMut() -> bool,
    ) -> bool {
        let nodes = arcs.allowed_at.len();
        for arc in &mut self.arc_list {
            arc.cost = arcs.costs[arc.from * nodes + arc.to] * multipliers.scale
                - multipliers.values[arc.to];
        }
        if self.is_plain() && self.arc_list.len() > nodes * nodes / 5 {
            self.fill_rows(arcs, keep_going)
        } else {
            self.fill_slots(arcs, keep_going)
        }
    }

    fn fill_slots(&mut self, arcs: &FeasibleArcs<W>, keep_going: &mut dyn FnMut() -> bool) -> bool {
        let nodes = arcs.allowed_at.len();
        let row = self.memory.row();
        let mut heads = vec![usize::MAX; nodes];
        let mut new = vec![INFEASIBLE; row];
        for number in (0..self.memory.len()).rev() {
            if number % POLL_EVERY == POLL_EVERY - 1 && !keep_going() {
                return false;
            }
            for place in self.memory.places(number).rev() {
                new.fill(INFEASIBLE);
                if place == nodes - 1 {
                    new[self.memory.slots[nodes - 1]..self.memory.slots[nodes]].fill(0);
                } else {
                    for (node, head) in heads.iter_mut().enumerate() {
                        let then = self.memory.after(number as u32, node);
                        let start = self.memory.start(then, place + 1);
                        let start = start.filter(|_| arcs.allowed_at[place + 1].contains(node));
                        *head = start.unwrap_or(usize::MAX);
                    }
                    let lasts = arcs.allowed_at[place].and(&self.memory.lasts[number]);
                    for node in lasts.iter() {
                        let (first, end) = (self.memory.slots[node], self.memory.slots[node + 1]);
                        let mine = &mut new[first..end];
                        for arc in &self.arc_list[self.first_arc[node]..self.first_arc[node + 1]] {
                            let head = heads[arc.to];
                            if head == usize::MAX {
                                continue;
                            }
                            let theirs = &self.least[head..head + row];
                            let slot_map = &self.slot_maps[arc.slot_map..arc.slot_map + mine.len()];
                            for (least, lead) in mine.iter_mut().zip(slot_map) {
                                *least = (*least).min(arc.cost + theirs[usize::from(*lead)]);
                            }
                        }
                        for least in mine {
                            *least = (*least).min(INFEASIBLE);
                        }
                    }
                }
                let start = self.memory.start(number as u32, place).unwrap_or(0);
                self.least[start..start + row].copy_from_slice(&new);
            }
        }
        true
    }

    /// Fills whole rows at a time, which works where only watched nodes are remembered.
    fn fill_rows(&mut self, arcs: &FeasibleArcs<W>, keep_going: &mut dyn FnMut() -> bool) -> bool {
        let nodes = arcs.allowed_at.len();
        let row = nodes + 1;
        let mut into = vec![INFEASIBLE; nodes * nodes];
        for arc in &self.arc_list {
            into[arc.to * nodes + arc.from] = arc.cost;
        }
        let mut new = vec![INFEASIBLE; row];
        for number in (0..self.memory.len()).rev() {
            if number % POLL_EVERY == POLL_EVERY - 1 && !keep_going() {
                return false;
            }
            for place in self.memory.places(number).rev() {
                new.fill(INFEASIBLE);
                if place == nodes - 1 {
                    new[nodes - 1] = 0;
                } else {
                    for node in arcs.allowed_at[place + 1].iter() {
                        let then = self.memory.after(number as u32, node);
                        let left = self.at(then, place + 1, node);
                        if left < INFEASIBLE {
                            let into = &into[node * nodes..(node + 1) * nodes];
                            for (least, way) in new.iter_mut().zip(into) {
                                *least = (*least).min(way + left);
                            }
                        }
                    }
                    for least in &mut new {
                        *least = (*least).min(INFEASIBLE);
                    }
                }
                let start = self.memory.start(number as u32, place).unwrap_or(0);
                self.least[start..start + row].copy_from_slice(&new);
            }
        }
        true
    }

    /// The cheapest relaxed sequence.
    pub fn path(&self, arcs: &FeasibleArcs<W>) -> Vec<usize> {
        let nodes = arcs.allowed_at.len();
        let mut path = vec![0];
        let (mut number, mut last, mut slot) = (0, 0, self.memory.slots[0]);
        for place in 1..nodes {
            let left = self.at(number, place - 1, slot);
            let arc_list = &self.arc_list[self.first_arc[last]..self.first_arc[last + 1]];
            let step = arc_list.iter().find_map(|arc| {
                let lead = self.slot_maps[arc.slot_map + slot - self.memory.slots[last]];
                let then = self.memory.after(number, arc.to);
                let fits = arcs.allowed_at[place].contains(arc.to)
                    && arc.cost + self.at(then, place, usize::from(lead)) == left;
                fits.then_some((arc.to, then, usize::from(lead)))
            });
            let Some(step) = step else { break };
            (last, number, slot) = step;
            path.push(last);
        }
        path
    }

    /// Eliminates the arcs and positions that no sequence with a reduced cost of at most
    /// `most` can use, because the cheapest relaxed sequence through them costs more.
    pub fn eliminate(&self, arcs: &mut FeasibleArcs<W>, most: i32) {
        let nodes = arcs.allowed_at.len();
        let mut paid = vec![INFEASIBLE; self.least.len()];
        paid[self.memory.slots[0]] = 0;
        let mut used = vec![false; self.arc_list.len()];
        let mut stood = vec![NodeSet::<W>::NONE; nodes];
        for number in 0..self.memory.len() {
            for place in self.memory.places(number) {
                let Some(start) = self.memory.start(number as u32, place) else {
                    continue;
                };
                for node in arcs.allowed_at[place]
                    .and(&self.memory.lasts[number])
                    .iter()
                {
                    let slots = self.memory.slots[node]..self.memory.slots[node + 1];
                    let first = slots.start;
                    for slot in slots {
                        let here = paid[start + slot];
                        if here >= INFEASIBLE || here + self.least[start + slot] > most {
                            continue;
                        }
                        stood[place].insert(node);
                        if place + 1 == nodes {
                            continue;
                        }
                        let arc_list = self.first_arc[node]..self.first_arc[node + 1];
                        for (arc, used) in self.arc_list[arc_list.clone()]
                            .iter()
                            .zip(&mut used[arc_list])
                        {
                            if !arcs.allowed_at[place + 1].contains(arc.to) {
                                continue;
                            }
                            let then = self.memory.after(number as u32, arc.to);
                            let Some(head) = self.memory.start(then, place + 1) else {
                                continue;
                            };
                            let there =
                                head + usize::from(self.slot_maps[arc.slot_map + slot - first]);
                            let sum = here + arc.cost;
                            if sum + self.least[there] <= most {
                                *used = true;
                                paid[there] = paid[there].min(sum);
                            }
                        }
                    }
                }
            }
        }
        for (arc, used) in self.arc_list.iter().zip(used) {
            if !used {
                arcs.costs[arc.from * nodes + arc.to] = INFEASIBLE;
            }
        }
        arcs.allowed_at = stood;
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::assignment::assignment_duals;
    use crate::sop::Sop;

    /// Problems in which only the first and the last node are fixed, as files.
    fn problems() -> impl Strategy<Value = String> {
        (3..7_usize).prop_flat_map(|nodes| {
            proptest::collection::vec(0..60_i64, nodes * nodes).prop_map(move |costs| {
                let cost = |at: usize| match (at / nodes, at % nodes) {
                    (row, column) if row == column => 0,
                    (row, column) if column == 0 || row == nodes - 1 => -1,
                    _ => costs[at],
                };
                let costs: Vec<String> =
                    (0..nodes * nodes).map(|at| cost(at).to_string()).collect();
                let text = costs.join(" ");
                format!("TYPE: SOP\nEDGE_WEIGHT_SECTION\n{nodes}\n{text}\nEOF\n")
            })
        })
    }

    /// The cost of the cheapest sequence that begins like this, in units.
    fn cheapest(problem: &PreparedProblem<1>, order: &mut Vec<usize>) -> i64 {
        if order.len() == problem.nodes {
            return problem.sum(order);
        }
        let mut best = i64::from(INFEASIBLE);
        for next in 1..problem.nodes {
            let is_last = next == problem.nodes - 1;
            if !order.contains(&next) && is_last == (order.len() == problem.nodes - 1) {
                order.push(next);
                best = best.min(cheapest(problem, order));
                order.pop();
            }
        }
        best
    }

    proptest! {
        #[test]
        fn with_the_assignment_multipliers_the_bound_is_between_the_assignment_and_the_optimum(
            text in problems(),
            scale in 1..9_i32,
        ) {
            let sop = Sop::parse(&text).unwrap_or_else(|error| panic!("{error}"));
            let problem = PreparedProblem::<1>::new(&sop);
            let rest = problem.nodes - 1;
            let found = assignment_duals(rest, rest, |from, next| {
                let cost = problem.cost(from, next + 1);
                (cost < INFEASIBLE).then(|| i64::from(cost))
            });
            let Some(found) = found else { return Ok(()) };
            let assigned: i64 = found.rows.iter().chain(&found.columns).sum();
            let arcs = FeasibleArcs::new(&problem, i64::from(INFEASIBLE));
            let mut table = BoundTable::new(&problem, RelaxationMemory::none(&problem), &arcs);
            let multipliers = Multipliers::of_assignment(&problem, scale);
            prop_assert!(table.fill(&arcs, &multipliers, &mut || true));
            let bound = i64::from(table.root()) + multipliers.sum();
            let scale = i64::from(scale);
            prop_assert!(assigned * scale <= bound);
            prop_assert!(bound <= cheapest(&problem, &mut vec![0]) * scale);
        }
    }
}
