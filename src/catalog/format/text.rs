//! Texts that people read.

/// A text shown to a person, in the catalog's own language.
pub type Text = String;
