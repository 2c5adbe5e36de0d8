//! Tests and benches of the product as a whole. This crate has no code of its own.
