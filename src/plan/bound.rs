//! A lower bound on what is left to do from a state. Admissible: no plan from
//! here is cheaper.
//!
//! Three sums, each a lower bound on its own share of the cost:
//!
//! * **work**: parts that are open go back by their cheapest way; legs that are
//!   certain (see [`super::problem::Certain`]) and not yet walked are walked out
//!   and back; task work that is left is done;
//! * **tool changes** and, separately, **face changes**: the sequence of what is
//!   used in a whole plan has at least as many changes as any sequence that it
//!   contains, so the greatest number of changes along a chain of operations that
//!   must follow each other is a bound. So is the number of different tools that
//!   certain operations ask for first, less those that could be in hand without a
//!   change of their own. The greater of the two is taken.

use smallvec::SmallVec;

use crate::plan::bits::Bits;
use crate::plan::problem::{Action, Certain, Holds, Move, Node, Problem, Shape, Uses, leg};
use crate::plan::space::TENTH;
use crate::plan::{Op, PartState, Tenths, Way};

/// The bound of a problem's states.
pub(super) struct Bound<'a> {
    problem: &'a Problem<'a>,
    parts: Vec<PartCosts>,
    /// Each task's operation, and the legs that its formula is certain to name.
    tasks: Vec<TaskLegs>,
    /// Certain legs by number, each leg after those that it needs.
    legs: Vec<Option<LegOps>>,
    rank: Vec<usize>,
    tools: Kind,
    faces: Kind,
}

/// The cheapest work of moving a part between its states; `None` where there is
/// no way.
struct PartCosts {
    ease: Option<u64>,
    off_from_eased: Option<u64>,
    off_from_fitted: Option<u64>,
    back_from_off: Option<u64>,
    settle: Option<u64>,
    /// Legs that are certain to be walked for the way back from off, and from
    /// eased; all the way down.
    must_back: [Bits; 2],
}

struct TaskLegs {
    action: usize,
    must: Bits,
    direct: Bits,
}

/// A leg with one way only.
struct LegOps {
    out: usize,
    back: Option<usize>,
    direct: Bits,
    direct_back: Bits,
}

/// Tools, or faces.
struct Kind {
    uses: fn(&Action) -> &Uses,
    /// What can be in hand after an operation that did not begin with it.
    left_over: Bits,
    size: usize,
}

impl Kind {
    fn new(problem: &Problem, uses: fn(&Action) -> &Uses) -> Self {
        let all = problem
            .actions
            .iter()
            .map(uses)
            .filter(|uses| uses.first != Node::NO);
        let size = all.clone().flat_map(|uses| [uses.first, uses.last]).max();
        let size = size.map_or(1, |most| usize::from(most) + 1);
        let mut left_over = Bits::none(size);
        for uses in all.filter(|uses| uses.first != uses.last) {
            left_over.insert(usize::from(uses.last));
        }
        Self {
            uses,
            left_over,
            size,
        }
    }
}

impl<'a> Bound<'a> {
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let count = problem.numbers.len();
        let ways = ways(problem);
        let certain = Certain::new(&ways, &problem.shapes);
        let legs = (0..2 * count).map(|leg| leg_ops(problem, leg)).collect();
        let tasks = (0..problem.request.tasks.len()).filter_map(|task| {
            let action = problem
                .actions
                .iter()
                .position(|action| action.does == 1 << task)?;
            let needs = &problem.actions[action].needs;
            let none = || Bits::none(2 * count);
            Some(TaskLegs {
                action,
                must: certain.of(needs).unwrap_or_else(none),
                direct: needs.certain(&problem.shapes).unwrap_or_else(none),
            })
        });
        let tasks = tasks.collect();
        let parts = (0..count)
            .map(|part| part_costs(problem, &certain, part))
            .collect();
        Self {
            problem,
            rank: ranked(&certain, 2 * count),
            parts,
            tasks,
            legs,
            tools: Kind::new(problem, |action| &action.tools),
            faces: Kind::new(problem, |action| &action.faces),
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
        let prices = self.problem.request.prices;
        let tools = self.changes(node, &required, &self.tools, node.tool, prices.tool_change);
        let faces = self.changes(node, &required, &self.faces, node.face, prices.face_change);
        Some((work + tools + faces) * TENTH + disturbed)
    }

    fn changes(&self, node: &Node, required: &Bits, kind: &Kind, have: u16, price: Tenths) -> u64 {
        if price == 0 {
            return 0;
        }
        let mut chain = Chain::new(self, kind, have);
        let is_open = |leg: usize| is_walked(node, leg);
        for &leg in &self.rank {
            if required.contains(leg)
                && !is_open(leg)
                && let Some(ops) = &self.legs[leg]
            {
                let before = ops.direct.iter().filter(|need| !is_open(*need));
                let before: Ends = before.filter_map(|need| chain.outs[need]).collect();
                chain.outs[leg] = Some(chain.add(ops.out, &before));
            }
        }
        for (task, legs) in self.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                let before = legs.direct.iter().filter(|need| !is_open(*need));
                let before: Ends = before.filter_map(|need| chain.outs[need]).collect();
                let end = chain.add(legs.action, &before);
                chain.tasks.push((end, &legs.direct));
            }
        }
        for &leg in self.rank.iter().rev() {
            if (is_open(leg) || required.contains(leg))
                && let Some(LegOps {
                    back: Some(back),
                    direct_back,
                    ..
                }) = &self.legs[leg]
            {
                let reopened = direct_back.iter().filter(|need| !is_open(*need));
                let mut before: Ends = reopened.filter_map(|need| chain.outs[need]).collect();
                before.extend(chain.outs[leg]);
                before.extend(chain.backs[leg]);
                let works = chain.tasks.iter().filter(|(_, legs)| legs.contains(leg));
                before.extend(works.map(|(end, _)| *end));
                let end = chain.add(*back, &before);
                for need in direct_back.iter() {
                    if chain.backs[need].is_none_or(|known| known.0 < end.0) {
                        chain.backs[need] = Some(end);
                    }
                }
            }
        }
        u64::from(chain.least_changes()) * u64::from(price)
    }
}

/// Whether the leg has been walked.
fn is_walked(node: &Node, leg: usize) -> bool {
    let level = if leg % 2 == 0 {
        PartState::Eased
    } else {
        PartState::Off
    };
    node.of(leg / 2) >= level
}

/// The end of a chain: how many changes it has, and what is in hand.
type End = (u32, u16);
type Ends = SmallVec<[End; 8]>;

/// The greatest number of changes along chains, as they are put together.
struct Chain<'a> {
    bound: &'a Bound<'a>,
    kind: &'a Kind,
    have: u16,
    outs: Vec<Option<End>>,
    backs: Vec<Option<End>>,
    tasks: Vec<(End, &'a Bits)>,
    longest: u32,
    inside: u32,
    firsts: Bits,
}

impl<'a> Chain<'a> {
    fn new(bound: &'a Bound<'a>, kind: &'a Kind, have: u16) -> Self {
        let legs = bound.legs.len();
        Self {
            bound,
            kind,
            have,
            outs: vec![None; legs],
            backs: vec![None; legs],
            tasks: Vec::new(),
            longest: 0,
            inside: 0,
            firsts: Bits::none(kind.size),
        }
    }

    /// Adds an operation that follows each of `before`: where its chain ends.
    fn add(&mut self, action: usize, before: &[End]) -> End {
        let uses = (self.kind.uses)(&self.bound.problem.actions[action]);
        let after = |(changes, have): End| (changes + uses.changes_after(have), uses.leaves(have));
        let start = after((0, self.have));
        let end = before.iter().map(|end| after(*end));
        let end = end.fold(start, |most, end| if end.0 > most.0 { end } else { most });
        self.longest = self.longest.max(end.0);
        self.inside += uses.changes;
        if uses.first != Node::NO {
            self.firsts.insert(usize::from(uses.first));
        }
        end
    }

    fn least_changes(&self) -> u32 {
        self.longest.max(self.inside + self.fetched())
    }

    fn fetched(&self) -> u32 {
        let could_be_in_hand =
            |what: usize| what == usize::from(self.have) || self.kind.left_over.contains(what);
        self.firsts
            .iter()
            .filter(|what| !could_be_in_hand(*what))
            .count() as u32
    }
}

impl PartCosts {
    /// The work that is left for this part, so far open and so far wanted.
    fn left(&self, have: PartState, want: PartState) -> Option<u64> {
        use PartState::{Eased, Fitted, Off};
        let out = match (have, want) {
            (Fitted, Eased) => self.ease?,
            (Fitted, Off) => self.off_from_fitted?,
            (Eased, Off) => self.off_from_eased?,
            _ => 0,
        };
        let back = match have.max(want) {
            Fitted => 0,
            Eased => self.settle?,
            Off => self.back_from_off?,
        };
        Some(out + back)
    }
}

fn find(problem: &Problem, op: Op) -> Option<usize> {
    problem.actions.iter().position(|action| action.op == op)
}

fn work(problem: &Problem, op: Op) -> Option<u64> {
    find(problem, op).map(|at| u64::from(problem.actions[at].work))
}

fn least(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    one.into_iter().chain(other).min()
}

fn plus(one: Option<u64>, other: Option<u64>) -> Option<u64> {
    Some(one? + other?)
}

fn part_costs(problem: &Problem, certain: &Certain, local: usize) -> PartCosts {
    let part = problem.numbers.part(local);
    let Shape { eases, benches } = problem.shapes[local];
    let of = |op| work(problem, op);
    let out = of(Op::TakeOff(part, Way::InPlace));
    let back = of(Op::PutBack(part, Way::InPlace));
    let (bench_out, bench_back) = (
        of(Op::TakeOff(part, Way::Bench)),
        of(Op::PutBack(part, Way::Bench)),
    );
    let (ease, settle) = (of(Op::Ease(part)), of(Op::Settle(part)));
    let (all_out, all_back) = match eases {
        true => (plus(ease, out), plus(back, settle)),
        false => (out, back),
    };
    let must = |ops: &[Op]| {
        let needs = ops.iter().filter_map(|op| find(problem, *op));
        let ways: Vec<Holds> = needs.map(|at| problem.actions[at].needs.clone()).collect();
        certain
            .of_ways(&ways)
            .unwrap_or_else(|| Bits::none(2 * problem.numbers.len()))
    };
    let mut must_off = must(&[
        Op::PutBack(part, Way::InPlace),
        Op::PutBack(part, Way::Bench),
    ]);
    let mut must_eased = must(&[Op::Settle(part)]);
    if benches {
        must_eased = Bits::none(2 * problem.numbers.len());
    } else if eases {
        must_off.unite(&must_eased);
    }
    PartCosts {
        ease,
        off_from_eased: least(out, plus(settle, bench_out)),
        off_from_fitted: least(all_out, bench_out),
        back_from_off: least(all_back, bench_back),
        settle: least(settle, plus(out, bench_back)),
        must_back: [must_off, must_eased],
    }
}

/// The ways of walking each leg out; each is all that it needs.
fn ways(problem: &Problem) -> Vec<Vec<Holds>> {
    let mut ways = vec![Vec::new(); 2 * problem.numbers.len()];
    for action in &problem.actions {
        let Some(moved) = action.moves else { continue };
        if moved.to <= moved.from {
            continue;
        }
        let mut all = vec![action.needs.clone()];
        if moved.from == PartState::Eased {
            all.push(Holds::Own(moved.part, PartState::Eased));
        }
        ways[leg(moved.part, moved.to, &problem.shapes)].push(Holds::All(all));
    }
    ways
}

/// The operations of a leg that has one way only.
fn leg_ops(problem: &Problem, number: usize) -> Option<LegOps> {
    let local = number / 2;
    let part = problem.numbers.part(local);
    let Shape { eases, benches } = problem.shapes[local];
    let (out, back) = if number % 2 == 0 {
        if benches {
            return None;
        }
        (
            find(problem, Op::Ease(part))?,
            find(problem, Op::Settle(part)),
        )
    } else {
        let in_place = find(problem, Op::TakeOff(part, Way::InPlace)).is_some();
        let way = match (in_place, benches) {
            (true, false) => Way::InPlace,
            (false, true) => Way::Bench,
            _ => return None,
        };
        (
            find(problem, Op::TakeOff(part, way))?,
            find(problem, Op::PutBack(part, way)),
        )
    };
    let none = || Bits::none(2 * problem.shapes.len());
    let named = |action: usize| {
        let needs = &problem.actions[action].needs;
        let mut set = needs.certain(&problem.shapes).unwrap_or_else(none);
        if number % 2 == 1 && eases && !benches {
            set.insert(number - 1);
        }
        set
    };
    Some(LegOps {
        out,
        back,
        direct: named(out),
        direct_back: back.map_or_else(none, named),
    })
}

/// Legs in an order in which each comes after those that it is certain to need:
/// by the number of those.
fn ranked(certain: &Certain, legs: usize) -> Vec<usize> {
    let mut rank: Vec<usize> = (0..legs).filter(|leg| certain.is_reachable(*leg)).collect();
    rank.sort_by_key(|leg| (certain.of_leg(*leg).iter().count(), *leg));
    rank
}
