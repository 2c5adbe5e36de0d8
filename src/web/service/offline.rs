//! Whether the app is ready for offline use, as reported by the page's own script.

/// Whether the app and its catalogs are kept for use without a network.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum OfflineState {
    /// Not yet.
    #[default]
    NotYet,
    /// They are.
    Ready,
    /// They cannot be: why.
    Failed(String),
}

impl From<String> for OfflineState {
    /// What the script says: `yes`, `no`, or why not.
    fn from(kept: String) -> Self {
        match kept.as_str() {
            "yes" => Self::Ready,
            "no" => Self::NotYet,
            _ => Self::Failed(kept),
        }
    }
}
