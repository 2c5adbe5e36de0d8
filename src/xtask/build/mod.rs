//! Builds the app into a folder that any file server can serve: compiles it, puts the
//! page together, splits the module, and makes the build work offline.

pub mod page;
mod split;

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, anyhow, ensure};
use clap::Parser as _;

use crate::files;
use crate::offline;
use crate::process::{build_artifact, cargo};
use crate::steps::Steps;
use crate::{project, tools};

/// `cargo xtask build`
#[derive(clap::Parser)]
pub struct Args {
    /// The folder for the built app
    #[arg(long, default_value = "dist")]
    out: PathBuf,
}

impl Default for Args {
    fn default() -> Self {
        Self::parse_from(["build"])
    }
}

/// Builds the app and puts it in place of the build before.
pub fn run(args: &Args) -> Result<()> {
    let mut steps = Steps::new();
    tools::install(tools::Set::Build)?;
    let module = steps.run_long(
        "compile the app",
        " (about 3 minutes on two cores the first time)",
        compile,
    )?;
    let parent = args.out.parent().filter(|path| *path != Path::new(""));
    let stage = tempfile::Builder::new()
        .prefix(".build-")
        .tempdir_in(parent.unwrap_or(Path::new(".")))
        .with_context(|| format!("cannot create a folder beside {}", args.out.display()))?;
    let dist = stage.path().join("dist");
    files::create_folder(&dist)?;
    let name = module_name(&module)?;
    steps.run("put the page together", || {
        page::assemble(&project::root().join(project::PAGE), &dist, &name)
    })?;
    finish_steps(&mut steps, &module, &name, &dist)?;
    replace(&args.out, &dist)?;
    steps.finish(&format!("the app is in {}/", args.out.display()));
    Ok(())
}

/// Finishes a build that Trunk has staged.
pub fn finish_staged(dist: &Path) -> Result<()> {
    let module = compile()?;
    let name = module_name(&module)?;
    let staged = dist.join(format!("{name}_bg.wasm"));
    ensure!(
        staged.is_file(),
        "Trunk has not staged {}: `cargo xtask finish` goes with Trunk {}",
        staged.display(),
        tools::TRUNK_VERSION
    );
    finish_steps(&mut Steps::new(), &module, &name, dist)
}

fn finish_steps(steps: &mut Steps, module: &Path, name: &str, dist: &Path) -> Result<()> {
    steps.run("split the module and write its JavaScript", || {
        split::split(module, name, dist)
    })?;
    steps.run("make the build work offline", || offline::finish(dist))
}

/// Compiles the app; returns its module.
fn compile() -> Result<PathBuf> {
    let mut build = cargo(&["build", "--locked", "--package", project::APP_PACKAGE]);
    build.args(["--bin", project::APP_BIN]);
    build.args(["--features", project::APP_SPLIT_FEATURE]);
    build.args(["--profile", project::APP_PROFILE]);
    build.args(["--target", project::WASM_TARGET]);
    build_artifact(&mut build, project::APP_BIN)
}

/// The name of the built module's files, with the hash of the module as compiled: a
/// device that has one file of a build never mixes it with files of another build.
fn module_name(module: &Path) -> Result<String> {
    let hash = seahash::hash(&files::read(module)?);
    Ok(format!("{}-{hash:x}", project::APP_BIN))
}

/// Puts the build in place of what is in `out`.
fn replace(out: &Path, dist: &Path) -> Result<()> {
    if let Ok(mut entries) = out.read_dir() {
        ensure!(
            out.join("index.html").is_file() || entries.next().is_none(),
            "{} holds something else than a built app; empty it or choose another folder with --out",
            out.display()
        );
        files::remove_folder(out)?;
    }
    fs::rename(dist, out)
        .map_err(|error| anyhow!("cannot move the build to {}: {error}", out.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_folder_with_other_things_is_not_replaced() {
        let place = tempfile::TempDir::new().expect("a folder");
        let (out, dist) = (place.path().join("out"), place.path().join("dist"));
        fs::create_dir_all(&out).expect("a folder");
        fs::create_dir_all(&dist).expect("a folder");
        fs::write(dist.join("index.html"), "new").expect("a file");
        fs::write(out.join("letters.txt"), "mine").expect("a file");
        assert!(replace(&out, &dist).is_err());
        assert!(out.join("letters.txt").is_file());
        fs::write(out.join("index.html"), "old").expect("a file");
        replace(&out, &dist).expect("a build is replaced");
        assert_eq!(fs::read(out.join("index.html")).expect("a file"), b"new");
        assert!(!out.join("letters.txt").exists());
    }
}
