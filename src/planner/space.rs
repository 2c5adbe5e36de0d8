//! The states of a unit as a space to be searched.
//!
//! Four facts keep the space small; each rests on this: taking an operation
//! out of a sequence never adds a tool or face change, and opening more never
//! makes a formula false, but for parts that something wants to stay (*stayers*:
//! parts under `in-place`, carriers of riders that matter, parts that a service
//! wants back first).
//!
//! * A part is taken out only if a route to a task that is left, or the way back
//!   of a part that is open, goes through it.
//! * A part that is certain to be needed open again is not put back, unless it
//!   is a stayer: it would have to come out once more.
//! * What must be done sooner or later, can be done now, asks for no change of
//!   tool or face and shuts nothing (task work; a leg that is certain, of no
//!   stayer; putting back a part that nothing goes through any more) is done now,
//!   and nothing else is tried. Of a rider's two ways only the one that takes less
//!   work is done so: the other could save nothing. Where waits play a part this is
//!   not used, because then it matters what is done while one runs.
//! * So, where a change of tool or face (or of both) would leave something that
//!   must be done at once, nothing else is tried that begins with that change, or
//!   with it and the other one: whoever makes the change may as well do that first.

use std::cell::{OnceCell, RefCell};
use std::rc::Rc;

use rustc_hash::FxHashMap;
use smallvec::SmallVec;

use crate::bits::Bits;
use crate::bound::Bound;
use crate::problem::{Action, Move, Node, Problem};
use crate::search::{Closer, Space};
use crate::{PartState, Phase, Tenths};

/// One second's tenth, in units of search cost: the parts disturbed break ties
/// below it.
pub const TENTH: u64 = 1 << 12;

/// A list of actions for each tool in hand and face up.
type ByHand = FxHashMap<(u16, u16), Rc<[usize]>>;

/// The search space of a problem.
pub struct UnitSpace<'a> {
    problem: &'a Problem<'a>,
    bound: Bound<'a>,
    /// For each part: every other part that some way of it goes through, all the
    /// way down.
    through: Vec<Bits>,
    /// Parts whose own way back goes through themselves: so that one can be settled
    /// another must be off, and for that it must come off, too.
    through_itself: Bits,
    /// For each task: every part that some way to it goes through.
    tasks: Vec<Bits>,
    stayers: Bits,
    /// Of each action: whether no other way of the same leg takes less work. Of a
    /// part that can be eased and has two ways, none is.
    least_way: Vec<bool>,
    /// What may be forced, by the tool in hand and the face up.
    free: RefCell<ByHand>,
    /// Whether everything that is legal is tried.
    thorough: bool,
}

impl<'a> UnitSpace<'a> {
    #[cold]
    pub fn new(problem: &'a Problem<'a>) -> Self {
        let parts = problem.numbers.len();
        let mut stayers = Bits::none(parts);
        for action in &problem.actions {
            action.needs.stayers(&mut stayers);
        }
        let mut through = through(problem);
        let mut through_itself = Bits::none(parts);
        for (part, set) in through.iter_mut().enumerate() {
            if set.contains(part) {
                through_itself.insert(part);
                set.remove(part);
            }
        }
        let tasks = problem.request.tasks.iter().enumerate().map(|(task, _)| {
            let mut set = Bits::none(parts);
            for action in problem
                .actions
                .iter()
                .filter(|action| action.does == 1 << task)
            {
                action.needs.mentions(&mut set);
            }
            let direct: Vec<usize> = set.iter().collect();
            for part in direct {
                set.unite(&through[part]);
            }
            set
        });
        let tasks = tasks.collect();
        Self {
            problem,
            bound: Bound::new(problem),
            through,
            through_itself,
            tasks,
            stayers,
            least_way: least_ways(problem),
            free: RefCell::default(),
            thorough: false,
        }
    }

    /// The whole space, with nothing left out: for units on which a part must
    /// come out more than once.
    pub fn thorough(self) -> Self {
        Self {
            thorough: true,
            ..self
        }
    }
}

fn least_ways(problem: &Problem) -> Vec<bool> {
    let is_least = |action: &Action| {
        let Some(moved) = action.moves else {
            return true;
        };
        if !problem.numbers.has_two_ways(moved.part) {
            return true;
        }
        let outward = moved.to > moved.from;
        let mut ways = problem.actions.iter().filter(|other| {
            other
                .moves
                .is_some_and(|at| at.part == moved.part && (at.to > at.from) == outward)
        });
        !problem.shapes[moved.part].eases && ways.all(|other| other.work >= action.work)
    };
    problem.actions.iter().map(is_least).collect()
}

/// For each part, every part that some way of it goes through.
fn through(problem: &Problem) -> Vec<Bits> {
    let parts = problem.numbers.len();
    let mut through = vec![Bits::none(parts); parts];
    for action in &problem.actions {
        if let Some(moved) = action.moves {
            action.needs.mentions(&mut through[moved.part]);
        }
    }
    loop {
        let mut changed = false;
        for part in 0..parts {
            let mut set = through[part].clone();
            for next in through[part].iter() {
                set.unite(&through[next]);
            }
            if set != through[part] {
                through[part] = set;
                changed = true;
            }
        }
        if !changed {
            break;
        }
    }
    through
}

impl Space for UnitSpace<'_> {
    type State = Node;
    /// Who is where, and what is left.
    type Place = (Bits, u64);
    type Act = usize;

    fn place(&self, node: &Node) -> Self::Place {
        (node.parts.clone(), node.tasks)
    }

    /// No dearer with a change to what the other has in hand and up, and no wait
    /// that runs ends later, with that change still to be made after it: nobody
    /// changes anything while waiting.
    fn covers(&self, node: &Node, cost: u64, other: &Node, others: u64) -> bool {
        let prices = self.problem.request.prices;
        let tool = u64::from(node.tool != other.tool) * u64::from(prices.tool_change);
        let face = u64::from(node.face != other.face) * u64::from(prices.face_change);
        let cost = cost + (tool + face) * TENTH;
        let mut ends = node.waits.iter().zip(&other.waits);
        let ends_no_later = |(one, two): (&Tenths, &Tenths)| {
            *one == 0 || cost + u64::from(*one) * TENTH <= others + u64::from(*two) * TENTH
        };
        cost <= others && ends.all(ends_no_later)
    }

    fn start(&self) -> Node {
        self.problem.start()
    }

    fn is_end(&self, node: &Node) -> bool {
        node.tasks == 0 && node.is_closed()
    }

    fn bound(&self, node: &Node) -> Option<u64> {
        self.bound.of(node)
    }

    fn through(&self, node: &Node, at: usize) -> u64 {
        self.bound.through(node, &self.problem.actions[at])
    }

    fn closer(&self, node: &Node, known: u64) -> Option<Closer> {
        self.bound.closer(node, known)
    }

    fn moves(&self, node: &Node, into: &mut Vec<(usize, Node, u64)>) {
        let here = Here::new(self, node);
        let forced = self.forced(node);
        let allowed = forced.is_none().then(|| self.allowed(node, &here));
        for at in forced.into_iter().chain(allowed.into_iter().flatten()) {
            let (mut price, mut next) = self.moved(at, node);
            // Each way out and back of every part at the most, and every task.
            for _ in 0..self.problem.actions.len() {
                let Some(at) = self.forced(&next) else { break };
                let (more, then) = self.moved(at, &next);
                price += more;
                next = then;
            }
            into.push((at, next, price));
        }
    }
}

/// What every move from a state asks of it.
struct Here<'a> {
    space: &'a UnitSpace<'a>,
    node: &'a Node,
    /// Parts that a route to a task that is left goes through, and those that an
    /// open part's way back goes through.
    gone_through: Bits,
    /// See [`Bound::needed`] and [`Bound::named`]. Asked for last: they take longest.
    needed: OnceCell<Bits>,
    named: OnceCell<Bits>,
}

impl<'a> Here<'a> {
    fn new(space: &'a UnitSpace, node: &'a Node) -> Self {
        let mut gone_through = Bits::none(space.problem.numbers.len());
        for (task, through) in space.tasks.iter().enumerate() {
            if node.tasks >> task & 1 == 1 {
                gone_through.unite(through);
            }
        }
        for part in node.open() {
            gone_through.unite(&space.through[part]);
        }
        Self {
            space,
            node,
            gone_through,
            needed: OnceCell::new(),
            named: OnceCell::new(),
        }
    }

    fn needed(&self) -> &Bits {
        let needed = || self.space.bound.needed(self.node);
        self.needed.get_or_init(needed)
    }

    fn named(&self) -> &Bits {
        let named = || self.space.bound.named(self.node, self.needed());
        self.named.get_or_init(named)
    }

    /// Whether nothing that is left goes through this part.
    fn is_free(&self, part: usize) -> bool {
        !self.gone_through.contains(part)
    }

    /// Whether this part has gone back for good, once it has so.
    fn is_done_with(&self, moved: Move) -> bool {
        let itself = moved.from == PartState::Off && self.space.through_itself.contains(moved.part);
        !itself && self.is_free(moved.part)
    }
}

/// The tool and the face that are changed to first; nothing where that in hand,
/// or the one that is up, will do.
#[derive(Clone, Copy, PartialEq, Eq)]
struct Change {
    tool: Option<u16>,
    face: Option<u16>,
}

impl Change {
    fn before(action: &Action, node: &Node) -> Self {
        let new = |first, have| Some(first).filter(|it| *it != Node::NO && *it != have);
        Self {
            tool: new(action.tools.first, node.tool),
            face: new(action.faces.first, node.face),
        }
    }

    /// Whether the other is this change, or this and one more.
    fn is_within(self, other: Self) -> bool {
        (self.tool.is_none() || self.tool == other.tool)
            && (self.face.is_none() || self.face == other.face)
    }
}

impl UnitSpace<'_> {
    /// Whether anything is ever done without trying something else.
    fn forces(&self) -> bool {
        !self.thorough && !self.problem.has_waits()
    }

    /// What is done here before anything else, if anything is. A move of the
    /// search goes on until there is no such thing.
    pub fn forced(&self, node: &Node) -> Option<usize> {
        if !self.forces() {
            return None;
        }
        let actions = &self.problem.actions;
        let free = self.free_with(node);
        let mut free = free.iter().copied().filter(|at| actions[*at].can(node));
        let first = free.next()?;
        let here = Here::new(self, node);
        std::iter::once(first).chain(free).find(|at| {
            let action = &actions[*at];
            self.is_forced(*at, action, &here) && self.is_of_use(action, &here)
        })
    }

    /// What may be forced somewhere with this in hand and up: it asks for no change
    /// and leaves none.
    fn free_with(&self, node: &Node) -> Rc<[usize]> {
        let mut known = self.free.borrow_mut();
        let list = known.entry((node.tool, node.face));
        Rc::clone(list.or_insert_with(|| self.all_free_with(node).collect()))
    }

    fn all_free_with(&self, node: &Node) -> impl Iterator<Item = usize> {
        let may_be = move |at: usize, action: &Action| match (action.op.phase(), action.moves) {
            (Phase::Fit, _) => true,
            (phase, Some(moved)) => {
                let stays = phase == Phase::StripDown && self.stayers.contains(moved.part);
                self.least_way[at] && !stays
            }
            (_, None) => false,
        };
        let actions = self.problem.actions.iter().enumerate();
        let free = actions.filter(move |(at, action)| action.is_free(node) && may_be(*at, action));
        free.map(|(at, _)| at)
    }

    fn is_forced(&self, at: usize, action: &Action, here: &Here) -> bool {
        match (action.op.phase(), action.moves) {
            (Phase::Fit, _) => true,
            (Phase::StripDown, Some(moved)) => {
                self.least_way[at]
                    && !self.stayers.contains(moved.part)
                    && self.bound.is_certain(here.needed(), moved)
            }
            (_, Some(moved)) => self.least_way[at] && here.is_done_with(moved),
            (_, None) => false,
        }
    }

    /// What can be done here and could be of use.
    fn allowed(&self, node: &Node, here: &Here) -> SmallVec<[usize; 16]> {
        let actions = self.problem.actions.iter().enumerate();
        let useful = actions.filter(|(_, action)| {
            action.can(node) && (self.thorough || self.is_of_use(action, here))
        });
        let mut useful: SmallVec<[usize; 16]> = useful.map(|(at, _)| at).collect();
        if self.forces() {
            let changes = self.changes_that_force(&useful, here);
            useful.retain(|at| {
                let begins = Change::before(&self.problem.actions[*at], node);
                changes
                    .iter()
                    .all(|(first, change)| first == at || !change.is_within(begins))
            });
        }
        useful
    }

    /// Changes after which something is forced, each with the first such thing.
    fn changes_that_force(&self, useful: &[usize], here: &Here) -> Vec<(usize, Change)> {
        let mut found: Vec<(usize, Change)> = Vec::new();
        for at in useful {
            let action = &self.problem.actions[*at];
            let change = Change::before(action, here.node);
            let is_plain = action.tools.changes == 0 && action.faces.changes == 0;
            if is_plain
                && found.iter().all(|(_, known)| *known != change)
                && self.is_forced(*at, action, here)
            {
                found.push((*at, change));
            }
        }
        found
    }

    fn is_of_use(&self, action: &Action, here: &Here) -> bool {
        match (action.op.phase(), action.moves) {
            (Phase::Fit, _) => true,
            (Phase::StripDown, Some(moved)) => {
                let finish = moved.from == PartState::Eased
                    && (self.problem.numbers.has_two_ways(moved.part)
                        || self.through_itself.contains(moved.part));
                finish || !here.is_free(moved.part)
            }
            (_, Some(moved)) => {
                // Nothing names what nothing goes through. What its own way back
                // names is open just before that, and need not be so after it.
                self.stayers.contains(moved.part)
                    || self.through_itself.contains(moved.part)
                    || here.is_free(moved.part)
                    || !self.bound.is_certain_open(here.named(), moved)
            }
            (_, None) => false,
        }
    }

    /// What doing this costs, and the state after.
    pub fn moved(&self, at: usize, node: &Node) -> (u64, Node) {
        let action = &self.problem.actions[at];
        let (taken, next) = action.apply(node, self.problem.request.prices);
        let disturbs = action
            .moves
            .is_some_and(|moved| moved.from == PartState::Fitted);
        let price = u64::from(taken.total) * TENTH + u64::from(disturbs);
        (price, next)
    }
}
