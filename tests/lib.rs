//! Tests and benches of the product as a whole.

use std::path::PathBuf;

/// A path in the workspace: cargo runs a test in the folder of its package.
pub fn in_workspace(path: &str) -> PathBuf {
    PathBuf::from(concat!(env!("CARGO_MANIFEST_DIR"), "/..")).join(path)
}
