//! Tests and benches of the product as a whole; this crate has no code of its own.
