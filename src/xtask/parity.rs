//! Compares this build with that of Trunk, which some people have. Trunk is optional: a
//! machine without it skips the comparison and says so.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use anyhow::{Result, ensure};
use clap::Parser as _;

use crate::files;
use crate::process::{command, find_on_path, path_with, read, run as run_command};
use crate::project;
use crate::tools::{self, TRUNK_VERSION};

/// `cargo xtask trunk-parity`
#[derive(clap::Parser)]
pub struct Args {
    /// The folder with the app as `cargo xtask build` has built it
    #[arg(default_value = "dist")]
    dist: PathBuf,
}

impl Default for Args {
    fn default() -> Self {
        Self::parse_from(["trunk-parity"])
    }
}

/// Where Trunk builds.
const TRUNK_DIST: &str = "target/trunk-parity";

/// What the comparison has shown. A difference is an error.
pub enum Outcome {
    Same,
    Skipped,
}

/// Builds with Trunk and compares, file by file; or reports that Trunk is missing.
pub fn run(args: &Args) -> Result<Outcome> {
    let bindgen = bindgen_version()?;
    let Some(trunk) = find("trunk", "trunk", TRUNK_VERSION)? else {
        println!("skipped: trunk {TRUNK_VERSION} is not installed");
        return Ok(Outcome::Skipped);
    };
    let Some(wasm_bindgen) = find("wasm-bindgen", "wasm-bindgen-cli", &bindgen)? else {
        println!("skipped: wasm-bindgen {bindgen}, which trunk needs, is not installed");
        return Ok(Outcome::Skipped);
    };
    let trunk_dist = project::root().join(TRUNK_DIST);
    let mut build = command(trunk.join("trunk"), &["build", "--dist"]);
    run_command(
        build
            .arg(&trunk_dist)
            .env("PATH", path_with(&[&trunk, &wasm_bindgen])?),
    )?;
    let count = compare(&args.dist, &trunk_dist)?;
    println!("{count} files, the same as Trunk's");
    Ok(Outcome::Same)
}

/// The folder of a program, on the PATH or in the cache of tools, of this very version.
fn find(program: &str, package: &str, version: &str) -> Result<Option<PathBuf>> {
    let cached = tools::cache()?.join(format!("{package}-{version}/bin"));
    let on_path = find_on_path(program);
    let on_path = on_path.and_then(|file| file.parent().map(Path::to_path_buf));
    let has_version = |folder: &PathBuf| {
        let file = folder.join(program);
        let said = file
            .is_file()
            .then(|| read(&mut command(file, &["--version"])));
        said.is_some_and(|said| said.is_ok_and(|said| said.trim().ends_with(version)))
    };
    Ok([on_path, Some(cached)]
        .into_iter()
        .flatten()
        .find(has_version))
}

/// The version of wasm-bindgen in Cargo.lock.
fn bindgen_version() -> Result<String> {
    let lock = files::read_text(&project::root().join("Cargo.lock"))?;
    let version = lock
        .split_once("name = \"wasm-bindgen\"\nversion = \"")
        .and_then(|(_, rest)| rest.split_once('"'));
    ensure!(version.is_some(), "Cargo.lock does not name wasm-bindgen");
    Ok(version.map_or_else(String::new, |(version, _)| version.to_owned()))
}

/// Compares two builds; returns how many files each has.
fn compare(ours: &Path, theirs: &Path) -> Result<usize> {
    let all =
        |dist: &Path| -> Result<BTreeSet<String>> { Ok(files::all(dist)?.into_iter().collect()) };
    let (our_files, their_files) = (all(ours)?, all(theirs)?);
    let mut differences = Vec::new();
    for file in our_files.union(&their_files) {
        match (our_files.contains(file), their_files.contains(file)) {
            (true, false) => differences.push(format!("{file}: not in Trunk's build")),
            (false, true) => differences.push(format!("{file}: only in Trunk's build")),
            _ if files::read(&ours.join(file))? != files::read(&theirs.join(file))? => {
                differences.push(format!("{file}: the contents differ"));
            }
            _ => {}
        }
    }
    ensure!(
        differences.is_empty(),
        "{} and Trunk's build in {} differ:\n{}",
        ours.display(),
        theirs.display(),
        differences.join("\n")
    );
    Ok(our_files.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_that_differs_or_is_missing_is_named() {
        let place = tempfile::TempDir::new().expect("a folder");
        let (ours, theirs) = (place.path().join("ours"), place.path().join("theirs"));
        let put = |name: &str, text: &str| {
            let path = place.path().join(name);
            files::create_folder(path.parent().expect("a parent")).expect("a folder");
            files::write(&path, text).expect("a file");
        };
        put("ours/same/a.js", "a");
        put("theirs/same/a.js", "a");
        assert_eq!(compare(&ours, &theirs).expect("the same"), 1);
        put("ours/b.js", "b");
        put("theirs/b.js", "c");
        put("theirs/only.js", "x");
        let error = compare(&ours, &theirs)
            .expect_err("differences")
            .to_string();
        assert!(error.contains("b.js: the contents differ"), "{error}");
        assert!(error.contains("only.js: only in Trunk's build"), "{error}");
        assert!(!error.contains("same/a.js"), "{error}");
    }

    #[test]
    fn the_version_of_wasm_bindgen_is_that_of_the_library() {
        let manifest = include_str!("Cargo.toml");
        let version = bindgen_version().expect("a version");
        assert!(manifest.contains(&format!("wasm-bindgen-cli-support = \"={version}\"")));
    }
}
