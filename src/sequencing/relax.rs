//! A bound for every state at once: what a relaxed order, which remembers less,
//! still has to pay.

use super::assignment::shares;
use super::matrix::{Matrix, NEVER};
use super::memory::Memory;
use super::set::Set;

/// After so many sets of watched nodes it is asked whether to go on.
const OFTEN: usize = 8;

/// What orders that cost less than the best one so far can still be made of.
pub(super) struct Ways<const W: usize> {
    /// The cost of each pair, as in the matrix.
    pub costs: Vec<i32>,
    /// The nodes that can stand at each place.
    pub stands: Vec<Set<W>>,
}

impl<const W: usize> Ways<W> {
    /// What can be part of an order that costs less than `least`.
    pub fn new(matrix: &Matrix<W>, least: i64) -> Self {
        let nodes = matrix.nodes;
        let cheap = |cost: &i32| {
            if i64::from(*cost) < least {
                *cost
            } else {
                NEVER
            }
        };
        let stands = (0..nodes).map(|place| {
            let fits = |node: &usize| matrix.early[*node] <= place && place <= matrix.late[*node];
            (0..nodes).filter(fits).fold(Set::NONE, Set::with)
        });
        Self {
            costs: matrix.costs.iter().map(cheap).collect(),
            stands: stands.collect(),
        }
    }

    /// How many pairs may follow each other.
    pub fn links(&self) -> usize {
        self.costs.iter().filter(|cost| **cost < NEVER).count()
    }
}

/// A pair that may follow each other.
struct Link {
    from: usize,
    to: usize,
    /// Its cost in parts of a unit, the price taken off.
    cost: i32,
    /// Where its leads begin.
    leads: usize,
}

/// What is still to be paid at the least, in parts of a unit.
pub(super) struct Table<const W: usize> {
    /// What is remembered.
    pub memory: Memory<W>,
    least: Vec<i32>,
    links: Vec<Link>,
    /// For each node where its links begin.
    begins: Vec<usize>,
    leads: Vec<u16>,
}

impl<const W: usize> Table<W> {
    pub fn new(matrix: &Matrix<W>, memory: Memory<W>, ways: &Ways<W>) -> Self {
        let mut it = Self {
            least: vec![NEVER; memory.size],
            memory,
            links: Vec::new(),
            begins: Vec::new(),
            leads: Vec::new(),
        };
        it.link(matrix, ways);
        it
    }

    /// Whether nothing is kept in mind.
    pub fn is_plain(&self) -> bool {
        self.memory.row() == self.begins.len()
    }

    /// Links what may follow each other.
    pub fn link(&mut self, matrix: &Matrix<W>, ways: &Ways<W>) {
        let nodes = matrix.nodes;
        self.links.clear();
        self.begins.clear();
        self.leads.clear();
        for from in 0..nodes {
            self.begins.push(self.links.len());
            for to in 0..nodes {
                if ways.costs[from * nodes + to] < NEVER {
                    let leads = self.leads.len();
                    self.leads.extend(self.memory.leads(matrix, from, to));
                    self.links.push(Link {
                        from,
                        to,
                        cost: 0,
                        leads,
                    });
                }
            }
        }
        self.begins.push(self.links.len());
    }

    /// What is to be paid from a row's slot on.
    pub fn at(&self, number: u32, place: usize, slot: usize) -> i32 {
        self.memory
            .start(number, place)
            .map_or(NEVER, |start| self.least[start + slot])
    }

    /// The bound for all orders, without the sum of the prices.
    pub fn root(&self) -> i32 {
        self.at(0, 0, self.memory.slots[0])
    }

    /// Fills the table from the end. Returns whether it was not stopped; it must
    /// not be used otherwise.
    pub fn fill(
        &mut self,
        ways: &Ways<W>,
        prices: &Prices,
        going: &mut dyn FnMut() -> bool,
    ) -> bool {
        let nodes = ways.stands.len();
        for link in &mut self.links {
            link.cost =
                ways.costs[link.from * nodes + link.to] * prices.parts - prices.prices[link.to];
        }
        if self.is_plain() && self.links.len() > nodes * nodes / 5 {
            self.fill_rows(ways, going)
        } else {
            self.fill_slots(ways, going)
        }
    }

    /// By slots.
    fn fill_slots(&mut self, ways: &Ways<W>, going: &mut dyn FnMut() -> bool) -> bool {
        let nodes = ways.stands.len();
        let row = self.memory.row();
        let mut heads = vec![usize::MAX; nodes];
        let mut new = vec![NEVER; row];
        for number in (0..self.memory.len()).rev() {
            if number % OFTEN == OFTEN - 1 && !going() {
                return false;
            }
            for place in self.memory.places(number).rev() {
                new.fill(NEVER);
                if place == nodes - 1 {
                    new[self.memory.slots[nodes - 1]..self.memory.slots[nodes]].fill(0);
                } else {
                    for (node, head) in heads.iter_mut().enumerate() {
                        let then = self.memory.after(number as u32, node);
                        let start = self.memory.start(then, place + 1);
                        let start = start.filter(|_| ways.stands[place + 1].contains(node));
                        *head = start.unwrap_or(usize::MAX);
                    }
                    let lasts = ways.stands[place].and(&self.memory.lasts[number]);
                    for node in lasts.iter() {
                        let (first, end) = (self.memory.slots[node], self.memory.slots[node + 1]);
                        let mine = &mut new[first..end];
                        for link in &self.links[self.begins[node]..self.begins[node + 1]] {
                            let head = heads[link.to];
                            if head == usize::MAX {
                                continue;
                            }
                            let theirs = &self.least[head..head + row];
                            let leads = &self.leads[link.leads..link.leads + mine.len()];
                            for (least, lead) in mine.iter_mut().zip(leads) {
                                *least = (*least).min(link.cost + theirs[usize::from(*lead)]);
                            }
                        }
                        for least in mine {
                            *least = (*least).min(NEVER);
                        }
                    }
                }
                let start = self.memory.start(number as u32, place).unwrap_or(0);
                self.least[start..start + row].copy_from_slice(&new);
            }
        }
        true
    }

    /// By whole rows, where nothing is kept in mind.
    fn fill_rows(&mut self, ways: &Ways<W>, going: &mut dyn FnMut() -> bool) -> bool {
        let nodes = ways.stands.len();
        let row = nodes + 1;
        let mut into = vec![NEVER; nodes * nodes];
        for link in &self.links {
            into[link.to * nodes + link.from] = link.cost;
        }
        let mut new = vec![NEVER; row];
        for number in (0..self.memory.len()).rev() {
            if number % OFTEN == OFTEN - 1 && !going() {
                return false;
            }
            for place in self.memory.places(number).rev() {
                new.fill(NEVER);
                if place == nodes - 1 {
                    new[nodes - 1] = 0;
                } else {
                    for node in ways.stands[place + 1].iter() {
                        let then = self.memory.after(number as u32, node);
                        let left = self.at(then, place + 1, node);
                        if left < NEVER {
                            let into = &into[node * nodes..(node + 1) * nodes];
                            for (least, way) in new.iter_mut().zip(into) {
                                *least = (*least).min(way + left);
                            }
                        }
                    }
                    for least in &mut new {
                        *least = (*least).min(NEVER);
                    }
                }
                let start = self.memory.start(number as u32, place).unwrap_or(0);
                self.least[start..start + row].copy_from_slice(&new);
            }
        }
        true
    }

    /// The cheapest relaxed order.
    pub fn path(&self, ways: &Ways<W>) -> Vec<usize> {
        let nodes = ways.stands.len();
        let mut path = vec![0];
        let (mut number, mut last, mut slot) = (0, 0, self.memory.slots[0]);
        for place in 1..nodes {
            let left = self.at(number, place - 1, slot);
            let links = &self.links[self.begins[last]..self.begins[last + 1]];
            let step = links.iter().find_map(|link| {
                let lead = self.leads[link.leads + slot - self.memory.slots[last]];
                let then = self.memory.after(number, link.to);
                let fits = ways.stands[place].contains(link.to)
                    && link.cost + self.at(then, place, usize::from(lead)) == left;
                fits.then_some((link.to, then, usize::from(lead)))
            });
            let Some(step) = step else { break };
            (last, number, slot) = step;
            path.push(last);
        }
        path
    }

    /// Strikes out of the ways what no order can use that pays `most` at the most,
    /// the prices taken off: the cheapest relaxed order that uses it pays more.
    pub fn strike(&self, ways: &mut Ways<W>, most: i32) {
        let nodes = ways.stands.len();
        let mut paid = vec![NEVER; self.least.len()];
        paid[self.memory.slots[0]] = 0;
        let mut used = vec![false; self.links.len()];
        let mut stood = vec![Set::<W>::NONE; nodes];
        for number in 0..self.memory.len() {
            for place in self.memory.places(number) {
                let Some(start) = self.memory.start(number as u32, place) else {
                    continue;
                };
                for node in ways.stands[place].and(&self.memory.lasts[number]).iter() {
                    let slots = self.memory.slots[node]..self.memory.slots[node + 1];
                    let first = slots.start;
                    for slot in slots {
                        let here = paid[start + slot];
                        if here >= NEVER || here + self.least[start + slot] > most {
                            continue;
                        }
                        stood[place].insert(node);
                        if place + 1 == nodes {
                            continue;
                        }
                        let links = self.begins[node]..self.begins[node + 1];
                        for (link, used) in self.links[links.clone()].iter().zip(&mut used[links]) {
                            if !ways.stands[place + 1].contains(link.to) {
                                continue;
                            }
                            let then = self.memory.after(number as u32, link.to);
                            let Some(head) = self.memory.start(then, place + 1) else {
                                continue;
                            };
                            let there = head + usize::from(self.leads[link.leads + slot - first]);
                            let sum = here + link.cost;
                            if sum + self.least[there] <= most {
                                *used = true;
                                paid[there] = paid[there].min(sum);
                            }
                        }
                    }
                }
            }
        }
        for (link, used) in self.links.iter().zip(used) {
            if !used {
                ways.costs[link.from * nodes + link.to] = NEVER;
            }
        }
        ways.stands = stood;
    }
}

/// Prices on the nodes: who enters a node is paid its price, and every order pays
/// all prices at the outset. That changes no order's cost, but makes it dear for
/// relaxed orders to leave a node out or to come twice (Held and Karp 1970/71).
#[derive(Clone)]
pub(super) struct Prices {
    /// For each node, in parts of a unit.
    pub prices: Vec<i32>,
    /// Parts of a unit.
    pub parts: i32,
}

/// The highest price, so that no sum of prices leaves the 32 bits.
pub(super) const fn dearest(nodes: usize) -> i32 {
    NEVER / 2 / nodes as i32
}

impl Prices {
    /// No prices.
    pub fn none(nodes: usize, parts: i32) -> Self {
        Self {
            prices: vec![0; nodes],
            parts,
        }
    }

    /// Prices at which no relaxed order pays less than the cheapest assignment of a
    /// next node to each node does.
    pub fn of_assignment<const W: usize>(matrix: &Matrix<W>, parts: i32) -> Self {
        let mut it = Self::none(matrix.nodes, parts);
        // All but the last one have a next node, which is any but the first one.
        let rest = matrix.nodes.saturating_sub(1);
        let cost = |from: usize, next: usize| {
            let cost = matrix.cost(from, next + 1);
            (cost < NEVER).then(|| i64::from(cost))
        };
        if let Some(shares) = shares(rest, rest, cost) {
            let mut sums = shares.rows;
            sums.push(0);
            for (sum, column) in sums.iter_mut().skip(1).zip(shares.columns) {
                *sum += column;
            }
            let dearest = i64::from(dearest(matrix.nodes));
            for (price, sum) in it.prices.iter_mut().zip(sums) {
                *price = (sum * i64::from(parts)).clamp(-dearest, dearest) as i32;
            }
        }
        it
    }

    /// All that are paid: nobody enters the first node.
    pub fn sum(&self) -> i64 {
        let paid = self.prices.iter().skip(1);
        paid.map(|price| i64::from(*price)).sum()
    }
}
