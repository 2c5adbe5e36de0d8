//! One small good catalog, and how to put one thing wrong in it.

pub const TEXT: &str = include_str!("good.json");
