//! The heuristic: an admissible lower bound on what is left to do from a state.
//!
//! Which routes are taken is enumerated, in which order is relaxed. For every set of routes
//! that could still be taken (see [`route_choices`]) there are three sums, each a lower bound
//! on its own share of the cost. The least total over all sets is the bound.
//!
//! * **Work**: open parts go back by their cheapest way; legs of the set (landmarks of what
//!   is left, see [`crate::problem::Landmarks`]) that are not open are opened and closed;
//!   remaining task work is done.
//! * **Tool changes** and, separately, **face changes**: see [`tool_runs`]. A part that must
//!   remain in place for something is back before that. That something else needs it open
//!   counts only once it is back for good. So either nothing that must remain is opened once
//!   more, or the work of that is added and only those changes are counted that are left
//!   without such a demand: the smaller of the two counts. In the same way, what asks for
//!   one of several routes, of which only one is in the set, is done while that one is open;
//!   or another one is opened as well.
//!
//! Everything but the tool in hand and the face up depends only on which legs are open and
//! which tasks are left, and is cached by that.
//!
//! Most generated states are never expanded, so there are three levels: the move to a state
//! is judged by the cached values of the state that it leaves ([`Heuristic::edge_bound`]), a
//! state at the front of the queue by its own ([`Heuristic::estimate`]), and one that is still
//! at the front by tools and faces together ([`Heuristic::refine`], see
//! `tool_runs::joint_projection`).

mod leg_profile;
mod lower_bound;
mod part_work;
mod requirements;
mod route_choices;
mod route_set_bound;
mod state_facts;
mod task_profile;
mod tool_runs;

pub use lower_bound::Heuristic;
