//! Times: against published worksheets and reference values, on the demo units,
//! and over simulated jobs.
mod calibration;
mod coverage;
mod learning;
mod limits;
mod outlook;
mod reference;
mod turning_back;
mod worksheet;
