//! Whether the app is ready for offline use, as reported by the page's own script.

/// Whether the app and its catalogs are stored for offline use.
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
    /// The state reported by the script: `yes`, `no`, or the reason for a failure.
    fn from(status: String) -> Self {
        match status.as_str() {
            "yes" => Self::Ready,
            "no" => Self::NotYet,
            _ => Self::Failed(status),
        }
    }
}
