//! The JSON Schema of the catalog file, for completion and checks in an editor. Native
//! builds only: the app does not need it.

use super::format::CatalogFile;

/// The schema (JSON Schema, draft 2020-12) of a `lidoff-catalog/2` file, indented
/// and with a newline at its end.
///
/// It says what can be written. What it cannot say, [`check`](super::check())
/// judges: that ids name something, that what is undone is done up.
pub fn schema_json() -> String {
    let schema = schemars::schema_for!(CatalogFile);
    format!("{:#}\n", schema.as_value())
}
