//! Files in and out: a job as a document, the desk's tables as CSV, a visit as a report
//! or a calendar entry. This module only makes text; saving and sharing happen
//! elsewhere.

pub mod author;
pub mod backup;
pub mod calendar;
pub mod csv;
pub mod desk;
pub mod job_document;
mod name;
pub mod page;
pub mod repairability;
pub mod report;
pub mod when;

pub use desk::{describe, jobs_table, steps_table, values_table};
