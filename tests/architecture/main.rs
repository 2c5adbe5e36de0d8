//! The shape of the code: crates depend on each other in one direction, files of a
//! crate do not import each other in a circle, and the map in DEVELOPERS.md is the
//! one that the manifests give. And what comes from others: licences and sources.

mod crates;
mod files;
mod supply;
