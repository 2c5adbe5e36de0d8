//! The screens, and the browser's services behind small functions.
//!
//! What is shown is a function of the catalogs, the logs and the time now; what
//! the technician does becomes events in a log. The pure parts (addresses,
//! words, plans for the screens, the geometry of pictures) build everywhere and
//! are tested natively; the rest is for the browser alone.

pub mod aloud;
pub mod depth;
pub mod face;
pub mod found;
pub mod gesture;
pub mod outlook;
pub mod planning;
pub mod reasons;
pub mod route;
pub mod taps;
pub mod tongue;
pub mod way;
pub mod words;

#[cfg(target_arch = "wasm32")]
mod hands;
#[cfg(target_arch = "wasm32")]
mod latest;
#[cfg(target_arch = "wasm32")]
mod parts;
#[cfg(target_arch = "wasm32")]
mod screens;
#[cfg(target_arch = "wasm32")]
pub mod service;
#[cfg(target_arch = "wasm32")]
mod shell;
#[cfg(target_arch = "wasm32")]
mod start;
#[cfg(target_arch = "wasm32")]
mod state;
#[cfg(target_arch = "wasm32")]
pub mod stopped;
#[cfg(target_arch = "wasm32")]
mod widgets;

#[cfg(target_arch = "wasm32")]
pub use start::start;
