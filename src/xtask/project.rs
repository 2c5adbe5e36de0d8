//! Names and paths of this repository that the tasks share.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};

/// The crate that knows the languages and writes a language's text file.
pub use lidoff_i18n as i18n;

/// The package of the browser app, its binary and its cargo profile.
pub const APP_PACKAGE: &str = "lidoff-web";
pub const APP_BIN: &str = "lidoff-app";
pub const APP_PROFILE: &str = "wasm-release";
/// The feature that marks where the module is split.
pub const APP_SPLIT_FEATURE: &str = "split";
pub const WASM_TARGET: &str = "wasm32-unknown-unknown";

/// The page with Trunk's directives, and the service worker's template.
pub const PAGE: &str = "public/index.html";
pub const WORKER_TEMPLATE: &str = "public/sw.js";
pub const ICONS: &str = "public/icons";

/// The gettext files of a language. At most one `*`, in the file name.
const TRANSLATIONS: &[&str] = &["src/i18n/{language}.po", "catalogs/*.{language}.po"];

/// The planner, for mutation testing: its package, its folder, what in it is tested
/// elsewhere, and the package with the tests that need the app.
pub const PLANNER_PACKAGE: &str = "lidoff-planner";
pub const PLANNER_FOLDER: &str = "src/planner";
pub const PLANNER_EXCLUDED: &[&str] = &["src/planner/internals.rs"];
pub const TESTS_PACKAGE: &str = "lidoff-tests";

/// Where the tests that drive a browser lie.
pub const WEBDRIVER_OPTIONS: &str = "tests/webdriver.json";
pub const REFERENCE_FOLDER: &str = "tests/reference";

/// The top of the repository.
pub fn root() -> &'static Path {
    let here = Path::new(env!("CARGO_MANIFEST_DIR"));
    here.ancestors().nth(2).unwrap_or(here)
}

/// The gettext files of a language, sorted.
pub fn translations(language: &str) -> Result<Vec<PathBuf>> {
    let mut files = Vec::new();
    for pattern in TRANSLATIONS {
        let pattern = pattern.replace("{language}", language);
        let (folder, name) = pattern.rsplit_once('/').unwrap_or((".", &pattern));
        let folder = root().join(folder);
        let Some((start, end)) = name.split_once('*') else {
            files.push(folder.join(name));
            continue;
        };
        let listing = || format!("cannot list {}", folder.display());
        for entry in folder.read_dir().with_context(listing)? {
            let name = entry.with_context(listing)?.file_name();
            if name
                .to_str()
                .is_some_and(|name| name.starts_with(start) && name.ends_with(end))
            {
                files.push(folder.join(name));
            }
        }
    }
    files.sort();
    Ok(files)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_path_is_in_the_repository() {
        for path in [
            PAGE,
            WORKER_TEMPLATE,
            ICONS,
            PLANNER_FOLDER,
            WEBDRIVER_OPTIONS,
            REFERENCE_FOLDER,
        ] {
            assert!(root().join(path).exists(), "{path}");
        }
        let german = translations("de").expect("the folders exist");
        assert!(german.len() > 2, "{german:?}");
    }
}
