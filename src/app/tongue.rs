//! Which language the app speaks.

pub use crate::tongue::said;
