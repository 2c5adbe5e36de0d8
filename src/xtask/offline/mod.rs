//! Finishes a build so that it works without a network: fills in the page's content
//! security policy, shortens the modules, writes the catalog index, the text file of
//! each language, and the service worker with its list of every file to keep.
//!
//! The order matters. A finished build has no placeholder left in its policy, so a
//! second run stops before it changes anything. The service worker's list carries a
//! hash of each file, so it is written last.

mod catalogs;
mod modules;
pub mod policy;
mod translations;
mod worker;

use std::path::Path;

use anyhow::Result;

/// Finishes the build in this folder.
pub fn finish(dist: &Path) -> Result<()> {
    policy::allow_inline_scripts(dist)?;
    modules::shorten(dist)?;
    catalogs::remove_translations(dist)?;
    catalogs::minify(dist)?;
    catalogs::write_index(dist)?;
    translations::write_all(dist)?;
    worker::write(dist)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;
    use tempfile::TempDir;

    /// A small build, as it is before it is finished.
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
        put("catalogs/perch.de.po", "");
        put("catalogs/catalog.schema.json", "{}");
        put("catalogs/.hidden", "not for serving");
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
        fs::write(changed.path().join("catalogs/sedge.json"), r#"{"a":1}"#)
            .expect("a changed catalog");
        let first = version(staged());
        assert_eq!(first, version(staged()));
        assert_ne!(first, version(changed));
    }

    #[test]
    fn a_finished_build_is_not_finished_twice() {
        let dist = staged();
        finish(dist.path()).expect("the first time");
        let error = finish(dist.path()).expect_err("the second time");
        assert!(error.to_string().contains("%INLINE_SCRIPTS%"), "{error}");
    }
}
