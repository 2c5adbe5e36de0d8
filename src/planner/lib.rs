//! The planner: which operations, in which order, from any state of the unit, at the least
//! total time.
//!
//! It reads a checked catalog. It knows no clock, no log and no screen.
//!
//! # What it answers
//!
//! | question | answer |
//! | --- | --- |
//! | What is the cheapest way to do these tasks and close the unit? | [`plan`], [`plan_async`] |
//! | Why is there no plan? | [`Refusal`] |
//! | Why is this operation in the plan, and why here? | [`explain`], [`find_alternative`] |
//! | How deep does a part lie? | [`access()`] |
//!
//! # Invariants
//!
//! * Whole operations are put in order. The steps within an operation are never reordered or
//!   split, so no hazard can be skipped or moved.
//! * A plan ends with every part fitted and every source live, unless a part is left out. A
//!   part goes back by one of the ways by which it comes off.
//! * Strip-down, task work and refit are planned as one sequence, because the tool in hand
//!   carries over from one to the next.
//! * Times are whole tenths of a second, so "equal" is exact. The same request has the same
//!   plan on every machine.
//! * [`Proof::Cheapest`] means that no legal plan costs less. Otherwise [`Proof::AtLeast`] is
//!   a lower bound on every legal plan.
//!
//! # What is legal
//!
//! A part is *fitted*, *eased* or *off*. A rider is *away* while a carrier that it rides on,
//! directly or through others, is off.
//!
//! **Atoms.** An atom on a part that this unit does not have always holds. For other parts:
//!
//! | atom | holds when the part is |
//! | --- | --- |
//! | `eased` | eased, off or away |
//! | `off` | off or away |
//! | `clear` | off by its own leg |
//! | `in-place` | fitted and not away |
//! | `closed` | (every part is fitted and not away; sources do not count) |
//!
//! **Moves.** What is done in place needs the part not to be away.
//!
//! | operation | from | to |
//! | --- | --- | --- |
//! | ease | fitted | eased |
//! | take off in place, by any of the ways | eased if there is an easing leg, else fitted | off |
//! | take off on the bench, while a carrier is off or away | fitted | off |
//! | put back in place, by any of the ways | off | eased if there is an easing leg, else fitted |
//! | put back on the bench, while a carrier is off or away | off | fitted |
//! | settle | eased | fitted |
//!
//! * On the way out the leg's `needs` must hold before the operation; on the way back `needs`
//!   and `refit_needs`.
//! * A way out that the request blocks is not used. Its way back may be.
//!
//! **Energy.** A source is planned like a part: *fitted* while it is live, *off* while it is
//! isolated. Taking it off isolates it, putting it back makes it live.
//!
//! * Every operation on a part needs every source isolated that reaches the part, but for the
//!   exceptions that the catalog lists. A service may need a source live instead.
//! * A source that others feed is isolated and comes alive only while those are isolated. So
//!   it is isolated after them, and a source is made live only when what it feeds is no longer
//!   isolated.
//! * Making a source live often needs the unit `closed`.
//! * Power is changed at the cost of its steps, like tools and faces at theirs, and the unit
//!   ends live. What no operation of the plan needs isolated is not isolated.
//!
//! **Task work.** Each task is done once.
//!
//! * *Swap* (the task *replace*): the part is off by its own leg, and so is every rider that
//!   moves over to the new part and that this unit has; its sources are isolated.
//! * *Reseat*: the part's own state is at least the one that the catalog names.
//! * *Inspect* and *serve*: the formula holds.
//! * *Leave out*: the part is off by its own leg; its sources are isolated. It and its riders are
//!   then as if the unit did not have them: atoms on them hold, and they are not put back. The
//!   unit goes *out of use*: no source is made live in the whole plan, nothing that needs one
//!   live is done, and the plan ends with the sources as they are. No other task is done to the
//!   part or its riders.
//!
//! **Order of services.** A remaining service that comes *before* an operation forbids it until
//! the service is done. A service that comes *after* something is forbidden:
//!
//! * after a swap: while the replacement is still to be done;
//! * after another service: while that one is still to be done;
//! * after putting a part back: while the part is off, or a remaining task needs it off by its
//!   own leg;
//! * after taking a part off: while the part is on and a remaining task needs it off by its own
//!   leg.
//!
//! **Waits.** A step that comes after a wait begins when the wait is over. A wait that was never
//! started does not count. Starting a running wait starts it again.
//!
//! **The end.** No task is left, and every part is fitted that is not left out.
//!
//! # The trade's words and the textbook's
//!
//! | here | in the literature |
//! | --- | --- |
//! | request on a catalog, for one unit | planning task |
//! | leg of a part, open or not; source, isolated or live | fluent (state variable) |
//! | operation ([`Op`]) | action |
//! | leg's `needs` and `refit_needs` | precondition |
//! | tool in hand, face up | resources with sequence-dependent changeover |
//! | route (one of several ways in) | disjunct of a precondition |
//! | what must come off whichever route is taken | landmark |
//! | part that must remain in place for something | negative precondition |
//! | disturbed parts | secondary cost, breaks ties |
//! | cheapest plan; plan within the limit | optimal plan (A*); suboptimal plan with a lower bound (weighted A*, greedy completion) |
//! | the least that is still to be paid for certain | admissible heuristic |
//! | runs of one tool or face | additive projections (pattern databases computed on demand) |
//! | a state that is at least as good in every respect | dominating state |
//! | why no plan can exist | delete relaxation |
//!
//! # How it works
//!
//! `problem` grounds the request: relevant parts, decided conditions, actions with
//! preconditions, costs and effects. What stays off counts as put back at the very end, at no
//! cost, so the search has one kind of goal. `unit_search` makes a search problem of it and prunes
//! useless moves. `heuristic` bounds the remaining cost from below. `search` is A* with dominance
//! and knows nothing of units. `infeasibility` finds the reason where there is no plan, and
//! `explanation` reads reasons off a finished one.
//!
//! # Example
//!
//! A fan behind a shield behind a lid. Lid and shield need the driver, the fan the lever.
//!
//! ```
//! use lidoff_catalog::setup::{Configuration, Setup};
//! use lidoff_planner::{Limits, Op, Prices, Proof, Request, Task, UnitState, Way, plan};
//!
//! let catalog = lidoff_catalog::read("blower.json", r#"{
//!   "format": "lidoff-catalog/1",
//!   "unit": {"id": "blower", "name": "Blower", "kind": "blower", "revision": "1",
//!            "about": "An example.", "safety": "It does not exist.", "source": "Invented."},
//!   "faces": [{"id": "top", "name": "Top", "turn": "Bring the top up.",
//!              "width_mm": 100, "height_mm": 100}],
//!   "tools": [{"id": "driver", "name": "Screwdriver", "class": "basic"},
//!             {"id": "lever", "name": "Flat lever", "class": "basic"}],
//!   "fasteners": [], "hazards": [],
//!   "make_safe": [{"id": "s1", "do": "Unplug the unit.", "measured": {"seconds": 2, "cv": 0.2}}],
//!   "parts": [
//!     {"id": "lid", "name": "Lid", "take_off": {
//!       "out": [{"id": "l1", "do": "Lift off the lid.", "tool": "driver", "measured": {"seconds": 2, "cv": 0.2}}],
//!       "back": [{"id": "l2", "do": "Refit the lid.", "tool": "driver", "measured": {"seconds": 2, "cv": 0.2}}]}},
//!     {"id": "shield", "name": "Shield", "take_off": {
//!       "needs": {"off": "lid"},
//!       "out": [{"id": "h1", "do": "Remove the shield.", "tool": "driver", "measured": {"seconds": 2, "cv": 0.2}}],
//!       "back": [{"id": "h2", "do": "Refit the shield.", "tool": "driver", "measured": {"seconds": 2, "cv": 0.2}}]}},
//!     {"id": "fan", "name": "Fan", "take_off": {
//!       "needs": {"off": "shield"},
//!       "out": [{"id": "f1", "do": "Pry out the fan.", "tool": "lever", "measured": {"seconds": 2, "cv": 0.2}}],
//!       "back": [{"id": "f2", "do": "Press in the fan.", "tool": "lever", "measured": {"seconds": 2, "cv": 0.2}}]},
//!       "swap": {"steps": [{"id": "f3", "do": "Unpack the new fan.", "measured": {"seconds": 2, "cv": 0.2}}]}}
//!   ],
//!   "services": [],
//!   "prove": [{"id": "p1", "do": "Switch on.", "measured": {"seconds": 2, "cv": 0.2}}],
//!   "hand_over": [{"id": "o1", "do": "Sign.", "measured": {"seconds": 2, "cv": 0.2}}]
//! }"#).expect("a sound catalog");
//!
//! let setup = Setup::new(&catalog, &Configuration::usual(&catalog)).expect("the usual unit");
//! let part = |id| catalog.find_part(id).expect("a part of the catalog");
//! let (lid, shield, fan) = (part("lid"), part("shield"), part("fan"));
//! let prices = Prices {
//!     steps: vec![20; catalog.steps().len()], // 2 s for each step
//!     tool_change: 50,                        // 5 s to fetch a tool
//!     face_change: 80,
//! };
//! let plan = plan(&Request {
//!     catalog: &catalog,
//!     setup: &setup,
//!     tasks: &[Task::Replace(fan)],
//!     from: &UnitState::closed(&catalog),
//!     prices: &prices,
//!     blocked: &[],
//!     limits: Limits::default(),
//! })
//! .expect("a plan");
//!
//! let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
//! assert_eq!(ops, [
//!     Op::TakeOff(lid, Way::InPlace),    // fetch the driver
//!     Op::TakeOff(shield, Way::InPlace),
//!     Op::TakeOff(fan, Way::InPlace),    // fetch the lever
//!     Op::Swap(fan),                           // bare hands: the lever stays in hand
//!     Op::PutBack(fan, Way::InPlace),
//!     Op::PutBack(shield, Way::InPlace), // fetch the driver
//!     Op::PutBack(lid, Way::InPlace),
//! ]);
//! // Seven steps of 2 s and three tool changes of 5 s. No step asks for a face.
//! assert_eq!(plan.cost.work, 7 * 20);
//! assert_eq!(plan.cost.tool_changes, 3);
//! assert_eq!(plan.cost.total, 7 * 20 + 3 * 50);
//! assert_eq!(plan.cost.disturbed, 3);
//! assert_eq!(plan.proof, Proof::Cheapest);
//! ```

mod access;
mod bit_set;
mod cost;
pub mod explanation;
mod heuristic;
mod infeasibility;
#[cfg(feature = "internals")]
#[doc(hidden)]
pub mod internals;
pub mod op;
pub mod outcome;
mod planner;
mod problem;
pub mod progress;
mod refusal_messages;
pub mod request;
mod search;
pub mod state;
mod unit_search;

pub use access::{Access, access};
pub use cost::Tenths;
pub use explanation::{Alternative, Explanation, explain, find_alternative};
pub use op::{Op, Phase, Way};
pub use outcome::{Cost, Plan, PlannedOp, Proof, Refusal};
pub use planner::{MAX_TASKS, plan, plan_async};
pub use request::{Limits, Prices, Request, Task};
pub use state::{PartState, UnitState};
