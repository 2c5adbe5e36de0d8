//! Everything in the app that needs no browser: addresses, texts, plans for the
//! screens, the geometry of pictures. All of it is tested natively.

pub mod as_found;
pub mod blocked_operation;
pub mod debounce;
pub mod depth;
pub mod display;
pub mod face;
pub mod gesture;
pub mod outlook;
pub mod part_choice;
pub mod people;
pub mod plan_groups;
pub mod planning;
pub mod reasons;
pub mod route;
pub mod session;
pub mod speech;
pub mod standing;
pub mod task_choice;
pub mod van;
pub mod what_now;
