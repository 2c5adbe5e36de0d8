//! Why there is no plan: a task that cannot be asked for, a requirement that can never be
//! met, or tasks that exclude each other.

mod conflict;
mod reachability;
mod refuse_task;
mod unreachable;

pub use conflict::find_conflict;
pub use refuse_task::refuse_task;
pub use unreachable::find_unreachable;
