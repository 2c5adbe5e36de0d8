//! Operations that may be left, and which come before which.

mod left;
mod order;

use smallvec::SmallVec;

use crate::bits::Bits;

use super::super::legs::{Choice, Leg, Order, Used, Walk};

/// A task that may be left.
pub struct Work {
    /// What it uses.
    pub used: Used,
    /// Legs that it asks for by name.
    pub direct: Bits,
    /// What must stay meanwhile: legs that must not be walked, each part by
    /// itself.
    pub stays: Vec<Bits>,
    /// What it asks for one of.
    pub choices: Vec<Choice>,
    /// Tasks that come before it, a bit each.
    pub after: u64,
    /// Legs that must be back before it, each with the tasks for whose sake they
    /// are walked, as bits.
    pub after_back: Vec<(usize, u64)>,
}

/// Every operation: the way out and the way back of each leg, once more of each
/// rider in place, and the tasks.
pub struct Ops {
    /// The ways of each.
    pub used: Vec<Vec<Used>>,
    /// What comes before each, if it is left.
    before: Vec<Bits>,
    /// What comes before each way of those that have several.
    before_way: Vec<SmallVec<[Bits; 2]>>,
    /// The same all the way down, in whichever states; empty where there are more
    /// operations than [`MOST_OPS`].
    ever_before: Vec<Bits>,
    /// What comes before each only in some states: where, and what. From then on it
    /// does, whatever is done: else doing something early could be in the way of
    /// something else, and what is free could not be done at once.
    sometimes: Vec<Vec<(usize, Bits)>>,
    /// States that are told apart.
    states: usize,
    stays: Vec<Stays>,
    choices: Vec<Asked>,
    outs: Vec<Numbers>,
    backs: Vec<Numbers>,
    tasks: Vec<usize>,
    /// The least work of opening each part once more and closing it again.
    again: Vec<u64>,
}

/// The numbers of a leg's operation: whichever way, and in place.
type Numbers = Option<[usize; 2]>;

/// What must stay comes back before.
struct Stays {
    /// The state: where none of these is left,
    unless: Bits,
    /// or where one of these is.
    or_if: Bits,
    /// The least work of opening such a leg once more and closing it again: then
    /// what comes before is back only for a while.
    again: u64,
    /// Its number.
    state: usize,
}

/// A choice, and the operations that ask for it. Where only one route is among the
/// legs of a set, they come after its legs' ways out and before their ways back.
struct Asked {
    routes: Choice,
    by: Bits,
    /// The number of the first route's state; those of the others follow.
    state: usize,
}

/// Where there are more operations than this, looking takes longer than it saves.
pub const MOST_OPS: usize = 256;

/// The first that are told apart, one bit each.
const MOST_STATES: usize = 64;

/// What is left, and the states that it is in.
#[derive(Clone, PartialEq, Eq, Hash)]
pub struct OpSet {
    pub ops: Bits,
    states: u64,
}

impl OpSet {
    /// The same, with nothing that comes before something only sometimes.
    pub fn always(&self) -> Self {
        Self {
            ops: self.ops.clone(),
            states: 0,
        }
    }

    /// As far as it is in both.
    pub fn of_these(&self, those: &Self) -> Self {
        let mut set = self.clone();
        set.ops.meet(&those.ops);
        set.states &= those.states;
        set
    }
}

impl Ops {
    #[cold]
    pub fn new(legs: &[Option<Leg>], works: Vec<Work>, again: Vec<u64>) -> Self {
        let mut ops = Self {
            again,
            used: Vec::new(),
            before: Vec::new(),
            before_way: Vec::new(),
            ever_before: Vec::new(),
            sometimes: Vec::new(),
            states: 0,
            stays: Vec::new(),
            choices: Vec::new(),
            outs: vec![None; legs.len()],
            backs: vec![None; legs.len()],
            tasks: Vec::new(),
        };
        for (at, leg) in legs.iter().enumerate() {
            if let Some(leg) = leg {
                ops.outs[at] = Some(ops.number(leg, |walk| &walk.out));
            }
        }
        for work in &works {
            ops.tasks.push(ops.used.len());
            ops.used.push(vec![work.used.clone()]);
        }
        for (at, leg) in legs.iter().enumerate().rev() {
            if let Some(leg) = leg {
                ops.backs[at] = Some(ops.number(leg, |walk| &walk.back));
            }
        }
        let many = ops.used.len();
        ops.before = vec![Bits::none(many); many];
        ops.before_way = vec![SmallVec::new(); many];
        ops.sometimes.resize_with(many, Vec::new);
        for (at, leg) in legs.iter().enumerate() {
            if let Some(leg) = leg {
                ops.order_leg(at, leg);
            }
        }
        for (at, work) in works.iter().enumerate() {
            ops.order_task(at, work, &works);
        }
        ops.order_choices(legs, &works);
        if many <= MOST_OPS {
            ops.ever_before = ops.ever_before();
        }
        ops
    }

    /// S. Warshall, "A Theorem on Boolean Matrices", *Journal of the ACM* 9 (1962)
    /// 11–12 (from memory).
    fn ever_before(&self) -> Vec<Bits> {
        let mut ever = self.before.clone();
        for (op, some) in self.sometimes.iter().enumerate() {
            some.iter().for_each(|(_, before)| ever[op].unite(before));
        }
        for middle in 0..ever.len() {
            let first = ever[middle].clone();
            for later in ever.iter_mut().filter(|later| later.contains(middle)) {
                later.unite(&first);
            }
        }
        ever
    }

    /// Nothing left.
    pub fn none(&self) -> OpSet {
        OpSet {
            ops: Bits::none(self.used.len()),
            states: 0,
        }
    }

    /// What can make a difference to how often the tool that these operations use
    /// is taken up: themselves, and what comes after one of them and before
    /// another. All else can be done before the first or after the last of them.
    /// Only where the tool is in hand, what comes before the first of them counts:
    /// for that, too, it is laid aside.
    pub fn between(&self, uses: &Bits, in_hand: bool) -> OpSet {
        let mut ops = Bits::none(self.used.len());
        for op in uses.iter() {
            ops.unite(&self.ever_before[op]);
        }
        if !in_hand {
            for op in 0..self.used.len() {
                if !self.ever_before[op].meets(uses) {
                    ops.remove(op);
                }
            }
        }
        ops.unite(uses);
        let states = ops.iter().flat_map(|op| &self.sometimes[op]);
        let states = states.fold(0, |states, (at, _)| states | 1 << at);
        OpSet { ops, states }
    }

    fn number(&mut self, leg: &Leg, used: fn(&Walk) -> &Vec<Used>) -> [usize; 2] {
        let first = self.used.len();
        self.used
            .extend(leg.ways.iter().map(|walk| used(walk).clone()));
        [first, self.used.len() - 1]
    }

    fn legs(&self) -> usize {
        self.outs.len()
    }

    fn all(&self, of: &[Numbers], legs: &Bits) -> Bits {
        let mut set = Bits::none(self.used.len());
        for number in legs.iter().flat_map(|leg| of[leg].into_iter().flatten()) {
            set.insert(number);
        }
        set
    }

    fn tasks_of(&self, tasks: u64) -> Bits {
        let mut set = Bits::none(self.used.len());
        for (task, op) in self.tasks.iter().enumerate() {
            if tasks >> task & 1 == 1 {
                set.insert(*op);
            }
        }
        set
    }

    /// How many kinds there are.
    pub fn kinds(&self, pick: fn(&Used) -> &Order) -> usize {
        let most = self.used.iter().flatten().flat_map(pick).max();
        most.map_or(0, |most| usize::from(*most) + 1)
    }

    /// Whether nothing that is left comes before this way of it.
    pub fn is_way_ready(&self, op: usize, way: usize, left: &OpSet) -> bool {
        let before = self.before_way[op].get(way);
        before.is_none_or(|before| !before.meets(&left.ops))
    }

    /// Whether nothing that is left comes before this.
    pub fn is_ready(&self, op: usize, left: &OpSet) -> bool {
        !self.before[op].meets(&left.ops)
            && self.sometimes[op]
                .iter()
                .all(|(at, before)| left.states >> at & 1 == 0 || !before.meets(&left.ops))
    }
}
