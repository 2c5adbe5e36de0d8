//! Finishes a build so that it works with no network: fills in the page's content
//! security policy, shortens the modules, writes the index of the catalogs and the
//! words of each language, and the service worker with its list of everything to keep.
//!
//! Order matters: on a finished build the policy has no gap left to fill, and it
//! refuses before it changes anything; and the worker's list carries a hash of each
//! file, so it is written when nothing else will change any more.

mod catalogs;
mod error;
mod files;
mod modules;
mod policy;
mod words;
mod worker;

use std::path::{Path, PathBuf};

pub use error::OfflineError;

/// `lidoff offline DIST`
#[derive(clap::Args)]
pub struct Args {
    /// The folder with the built app; the bundler says it in `TRUNK_STAGING_DIR`
    #[arg(env = "TRUNK_STAGING_DIR")]
    dist: PathBuf,
}

/// Finishes the build in the folder that the arguments name.
///
/// # Errors
/// When a file cannot be read or written, is missing or has a name that does not
/// fit in an address; nothing is skipped.
pub fn run(args: &Args) -> Result<(), OfflineError> {
    finish(&args.dist)
}

fn finish(dist: &Path) -> Result<(), OfflineError> {
    policy::allow_inline_scripts(dist)?;
    modules::shorten(dist)?;
    catalogs::write_index(dist)?;
    words::write_words(dist)?;
    worker::write(dist)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use tempfile::TempDir;

    /// A build as the bundler leaves it, small.
    pub(super) fn staged() -> TempDir {
        let dist = TempDir::new().expect("a folder to work in");
        let put = |name: &str, text: &str| {
            let path = dist.path().join(name);
            fs::create_dir_all(path.parent().expect("a parent")).expect("folder");
            fs::write(path, text).expect("file");
        };
        put(
            "index.html",
            "<head><meta content=\"script-src 'self' %INLINE_SCRIPTS%\">\
             <script type=\"module\">start()</script></head>",
        );
        put("style-0123456789abcdef.css", "body{}");
        put("icons/icon.svg", "<svg/>");
        put("catalogs/sedge.json", "{}");
        put("catalogs/perch.json", "{\"a\":1}");
        put("catalogs/catalog.schema.json", "{}");
        put("catalogs/.hidden", "not for serving");
        put(
            "words/de/perch.po",
            "msgid \"\"\nmsgstr \"Plural-Forms: nplurals=2; plural=(n != 1);\\n\"\n",
        );
        dist
    }

    #[test]
    fn a_finished_build_keeps_every_file_that_a_phone_needs() {
        let dist = staged();
        finish(dist.path()).expect("a plain build can be finished");
        let worker = fs::read_to_string(dist.path().join("sw.js")).expect("a worker");
        for kept in [
            "[\"./\",",
            "style-0123456789abcdef.css",
            "icons/icon.svg",
            "catalogs/index.json",
            "catalogs/perch.json",
            "catalogs/sedge.json",
            "words/de.txt",
        ] {
            assert!(worker.contains(kept), "{kept} is missing from {worker}");
        }
        for left_out in ["schema.json", ".hidden", ".po", "sw.js\"", "%"] {
            assert!(!worker.contains(left_out), "{left_out} is in {worker}");
        }
    }

    #[test]
    fn the_version_changes_with_any_file_and_with_nothing_else() {
        let version = |dist: TempDir| {
            finish(dist.path()).expect("finished");
            let worker = fs::read_to_string(dist.path().join("sw.js")).expect("a worker");
            worker
                .lines()
                .find(|line| line.starts_with("const VERSION"))
                .map(str::to_owned)
                .expect("a version line")
        };
        let changed = staged();
        fs::write(changed.path().join("catalogs/sedge.json"), "{ }").expect("a changed catalog");
        let first = version(staged());
        assert_eq!(first, version(staged()));
        assert_ne!(first, version(changed));
    }

    #[test]
    fn a_finished_build_is_not_finished_twice() {
        let dist = staged();
        finish(dist.path()).expect("the first time");
        assert!(matches!(
            finish(dist.path()),
            Err(OfflineError::NoGapInPolicy { .. })
        ));
    }
}
