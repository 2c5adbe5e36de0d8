//! What can stop a build from being finished, and how to mend it.

use std::path::PathBuf;
use std::{error, fmt, io};

/// Why a build could not be made to work offline.
#[derive(Debug)]
pub enum OfflineError {
    /// A file or folder could not be read or written.
    Io {
        /// What was being done: "read", "write", "list".
        doing: &'static str,
        /// The file or folder.
        path: PathBuf,
        /// What the system said.
        source: io::Error,
    },
    /// A file's name would have to be escaped in an address.
    Name {
        /// The file, as seen from the build's folder.
        file: String,
    },
    /// The page's policy has no gap for the hashes of its inline scripts.
    NoGapInPolicy {
        /// The page.
        page: PathBuf,
    },
    /// An inline script is opened and never closed.
    OpenScript {
        /// The page.
        page: PathBuf,
    },
    /// The index of the catalogs could not be put in JSON.
    Index(serde_json::Error),
    /// A WASM module that is none.
    Module {
        /// The file.
        path: PathBuf,
        /// What is wrong with it.
        source: wasmparser::BinaryReaderError,
    },
    /// A translation cannot be used.
    Words {
        /// The PO file, or the folder of a language.
        file: PathBuf,
        /// What is wrong with it.
        why: String,
    },
}

impl OfflineError {
    /// For `map_err`: what was being done, and to what.
    pub fn io(doing: &'static str, path: impl Into<PathBuf>) -> impl FnOnce(io::Error) -> Self {
        let path = path.into();
        move |source| Self::Io {
            doing,
            path,
            source,
        }
    }
}

impl fmt::Display for OfflineError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Io { doing, path, .. } => write!(f, "cannot {doing} {}", path.display()),
            Self::Name { file } => write!(
                f,
                "{file:?} cannot be kept offline: rename it with letters, digits, '-', '_' and '.' only"
            ),
            Self::NoGapInPolicy { page } => write!(
                f,
                "{} has no {} in its Content-Security-Policy; \
                 was this build finished already? Build it again",
                page.display(),
                super::policy::GAP
            ),
            Self::OpenScript { page } => {
                write!(f, "{} has a <script> without its </script>", page.display())
            }
            Self::Words { file, why } => {
                write!(
                    f,
                    "the translation {} cannot be used: {why}",
                    file.display()
                )
            }
            Self::Module { path, .. } => {
                write!(f, "{} is no WASM module; build it again", path.display())
            }
            Self::Index(_) => write!(f, "cannot write the index of the catalogs"),
        }
    }
}

impl error::Error for OfflineError {
    fn source(&self) -> Option<&(dyn error::Error + 'static)> {
        match self {
            Self::Io { source, .. } => Some(source),
            Self::Module { source, .. } => Some(source),
            Self::Index(source) => Some(source),
            _ => None,
        }
    }
}
