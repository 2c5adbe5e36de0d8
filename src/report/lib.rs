//! Comparing and learning from many jobs ([`desk`]), and files in and out as text
//! ([`exchange`]).

pub mod desk;
pub mod exchange;
