//! Files in and out: a job as a document, the desk's tables as CSV, a visit as a
//! report or a calendar entry. Everything is made as text; who saves or shares it is not known here.

pub mod author;
pub mod calendar;
pub mod csv;
pub mod desk;
pub mod job_document;
mod name;
pub mod page;
pub mod repairability;
pub mod report;
pub mod when;

pub use desk::{describe, jobs_table, steps_table};
