//! How often each tool must still be taken up, and each face turned up.
//!
//! Project the remaining operations onto one resource (a tool or a face): each operation
//! uses it, or another one, or none. Operations that must follow each other stay in order.
//! What counts is the number of *runs*: maximal stretches in which nothing else is used. For
//! each resource the least number of runs over all orders is found exactly. Each resource
//! may find its own order, so the sum over all tools is a lower bound on the tool changes,
//! and the same goes for faces. (Additive projections: A. Felner, R. E. Korf, S. Hanan,
//! "Additive Pattern Database Heuristics", *Journal of Artificial Intelligence Research* 22
//! (2004) 279–318, from memory. Here the values are computed on demand and cached, not
//! tabulated.)
//!
//! In a projection nearly every decision is settled by doing at once whatever neither
//! starts nor ends a run, which never hurts. What is left to choose is which operation that
//! uses the resource and then another one ends a run, and which one that uses another and
//! then the resource starts one.
//!
//! Slower and better, some resources are looked at together: see [`joint_projection`].

mod joint_projection;
mod operations;
mod projection;
mod run_count;
mod runs_bound;

pub use run_count::RemainingRuns;
pub use runs_bound::ToolRunsBound;
