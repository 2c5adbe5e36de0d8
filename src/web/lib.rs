//! The app in the browser: screens, widgets, and browser services behind small
//! functions. Everything that needs no browser is in `lidoff-app-core`.
#![cfg(target_arch = "wasm32")]

mod boot;
mod generation;
mod input;
mod language;
mod lazy;
mod navigate;
mod screens;
pub mod service;
mod share;
mod shell;
mod slice;
mod start;
pub mod state;
pub mod stopped;
mod taps;
mod widgets;

pub use boot::start;
