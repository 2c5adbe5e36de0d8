//! Many jobs compared and learned from ([`desk`]), and files in and out as text
//! ([`exchange`]).

pub mod desk;
pub mod exchange;
