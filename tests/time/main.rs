//! Times: against published worksheets and reference values, on the demo units,
//! and over simulated jobs.
#![cfg(not(target_arch = "wasm32"))]

#[path = "../job/support.rs"]
#[allow(clippy::unwrap_used, dead_code)]
mod support;

mod calibration;
mod coverage;
mod learning;
mod outlook;
mod reference;
mod sim;
mod turning_back;
mod worksheet;
