//! How often each tool must still be taken up, and each face turned up.
//!
//! Look at one tool alone: every operation either uses it or uses another (or
//! none), operations that must follow each other stay in order, and what counts
//! is the number of times that the tool is taken up. That is the number of its
//! *sessions*: runs in which nothing else is used. For each tool the least number
//! of sessions over all orders is found exactly; each tool may find its own
//! order, so the sum over all tools is a lower bound on the tool changes, and the
//! same goes for faces. (Additive abstractions: A. Felner, R. E. Korf, S. Hanan,
//! "Additive Pattern Database Heuristics", *Journal of Artificial Intelligence
//! Research* 22 (2004) 279–318, from memory.)
//!
//! With one tool in view nearly everything is settled by doing at once whatever
//! neither takes it up nor lays it aside, which never hurts. To choose from is
//! only which operation that uses the tool and then another ends a session, and
//! which one that uses another and then the tool begins one.
//!
//! Better and slower, some are looked at together: see [`together`].

mod ops;
mod together;
mod view;

use std::cell::RefCell;

use smallvec::SmallVec;

use crate::Prices;
use crate::bits::Bits;

use super::Ahead;
use super::legs::Leg;

pub use ops::Work;
use ops::{OpSet, Ops};
use together::{Look, Together};
use view::View;

/// Sessions of one tool or face.
type Count = u16;

/// What is left, with what has been counted of it.
pub struct Left {
    ops: OpSet,
    /// For each kind the sessions to come: where it is not in hand now, and where
    /// it is.
    counts: SmallVec<[[Count; 2]; 16]>,
}

/// Not counted yet.
const UNKNOWN: Count = Count::MAX;

/// The bound for tools and faces.
pub struct Sessions {
    ops: Ops,
    /// The tools, then the faces.
    views: RefCell<Vec<View>>,
    tools: usize,
    together: RefCell<Option<Together>>,
    /// What a change of tool takes, and one of face.
    price: [u64; 2],
}

impl Sessions {
    #[cold]
    pub fn new(legs: &[Option<Leg>], works: Vec<Work>, again: Vec<u64>, prices: &Prices) -> Self {
        let ops = Ops::new(legs, works, again);
        let tools = ops.kinds(|used| &used.tools);
        let faces = ops.kinds(|used| &used.faces);
        let views = (0..tools).map(|kind| View::new(&ops, kind, |used| &used.tools));
        let faces = (0..faces).map(|kind| View::new(&ops, kind, |used| &used.faces));
        let views = views.chain(faces).collect();
        let price = [prices.tool_change, prices.face_change].map(u64::from);
        Self {
            together: RefCell::new(Together::new(&ops, tools, price)),
            ops,
            views: RefCell::new(views),
            tools,
            price,
        }
    }

    /// What is left, where riders of these legs are walked in place; and what is,
    /// at so much more work, where something that must stay for a while is opened
    /// once more after it, or another route is opened besides.
    pub fn left(&self, ahead: &Ahead, in_place: &Bits) -> (Left, Option<(Left, u64)>) {
        let (ops, again) = self.ops.left(ahead, in_place);
        let again = again.map(|work| (self.uncounted(ops.always()), work));
        (self.uncounted(ops), again)
    }

    fn uncounted(&self, ops: OpSet) -> Left {
        let views = self.views.borrow();
        let count = |view: &View| if view.plays_in(&ops) { UNKNOWN } else { 0 };
        let counts = views.iter().map(|view| [count(view); 2]).collect();
        Left { ops, counts }
    }

    /// Whether it could be of use to look at tools and faces together.
    pub fn sees_together(&self) -> bool {
        self.together.borrow().is_some()
    }

    /// No less is taken by changes of tool and face, with this in hand and up.
    pub fn least(&self, left: &mut Left, tool: u16, face: u16) -> u64 {
        self.sum(left, tool, face, |_| true)
    }

    /// The same, with tools and faces looked at together; exact as far as they go
    /// where it is below the limit.
    pub fn closer(&self, left: &mut Left, tool: u16, face: u16, limit: u64) -> Counted {
        let least = self.least(left, tool, face);
        let is_last = least < limit;
        let one_by_one = Counted { least, is_last };
        let mut together = self.together.borrow_mut();
        let Some(together) = together.as_mut().filter(|_| is_last) else {
            return one_by_one;
        };
        let others = self.sum(left, tool, face, |view| !together.sees(view));
        let have = together.have(tool, face);
        let mut look = Look {
            ops: &self.ops,
            views: &mut self.views.borrow_mut(),
        };
        let found = together.least(&mut look, have, left, limit.saturating_sub(others));
        found.map_or(one_by_one, |found| Counted {
            least: least.max(others + found),
            is_last: others + found < limit,
        })
    }

    /// The least that changes take by the views of these numbers, each for itself.
    fn sum(&self, left: &mut Left, tool: u16, face: u16, which: impl Fn(usize) -> bool) -> u64 {
        let mut views = self.views.borrow_mut();
        let views = views.iter_mut().zip(&mut left.counts).enumerate();
        let mut least = 0;
        for (at, (view, counts)) in views.filter(|(at, _)| which(*at)) {
            let (price, kind, have) = match at.checked_sub(self.tools) {
                None => (self.price[0], at, tool),
                Some(face_up) => (self.price[1], face_up, face),
            };
            let in_hand = kind == usize::from(have);
            let count = &mut counts[usize::from(in_hand)];
            if *count == UNKNOWN {
                *count = view.least(&self.ops, in_hand, &left.ops);
            }
            least += u64::from(*count) * price;
        }
        least
    }
}

/// What changes take.
pub struct Counted {
    pub least: u64,
    /// Whether to ask with a higher limit finds no more.
    pub is_last: bool,
}
