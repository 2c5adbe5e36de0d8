//! Whole sessions of a technician, with no browser: from the tap to what is stored.
#![cfg(not(target_arch = "wasm32"))]

mod device;
mod faults;
mod isolation;
mod memory;
mod old_parts;
mod queue;
mod records;
mod refusals;
mod repeated;
mod restarts;
mod whole_job;
