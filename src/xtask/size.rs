//! What comes over the air: each file of a build that a phone keeps, as brotli at its
//! best; what the first screen waits for; and all that the first visit fetches. The
//! app's later modules and the catalogs come when that screen is shown, the texts of
//! other languages when they are wanted.

use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

use anyhow::{Context as _, Result, ensure};
use clap::Parser as _;

use crate::files;
use crate::{project, tools};

/// `cargo xtask size`
#[derive(clap::Parser)]
pub struct Args {
    /// The folder with the built app
    #[arg(default_value = "dist")]
    dist: PathBuf,
    /// Fail if the first screen needs more bytes
    #[arg(long, env = "FIRST", default_value_t = 121_500)]
    first: usize,
    /// Fail if everything needs more bytes
    #[arg(long, env = "ALL", default_value_t = 945_000)]
    all: usize,
}

impl Default for Args {
    fn default() -> Self {
        Self::parse_from(["size"])
    }
}

/// Prints the sizes.
pub fn run(args: &Args) -> Result<()> {
    let brotli = tools::program("brotli")?;
    let (mut first, mut all) = (0, 0);
    for file in files::to_keep(&args.dist)? {
        let bytes = compressed(&brotli, &args.dist.join(&file))?;
        println!("{bytes:9}  {file}");
        match group(&file) {
            Group::First => (first, all) = (first + bytes, all + bytes),
            Group::Later => all += bytes,
            Group::Language => {}
        }
    }
    println!(
        "{first:9}  bytes to the first screen, brotli 11 (limit {})",
        args.first
    );
    println!(
        "{all:9}  bytes in all but for words/, brotli 11 (limit {})",
        args.all
    );
    ensure!(
        first <= args.first && all <= args.all,
        "the app has grown over its limit"
    );
    Ok(())
}

#[derive(Debug, PartialEq)]
enum Group {
    /// The first screen waits for it.
    First,
    /// It comes when the first screen is shown.
    Later,
    /// It comes when its language is chosen.
    Language,
}

fn group(file: &str) -> Group {
    let is_module = file.ends_with(".wasm");
    if file.starts_with("words/") {
        Group::Language
    } else if file.starts_with("catalogs/") || is_module && !file.starts_with(project::APP_BIN) {
        Group::Later
    } else {
        Group::First
    }
}

fn compressed(brotli: &Path, file: &Path) -> Result<usize> {
    let output = Command::new(brotli)
        .args(["--quality=11", "--lgwin=24", "--stdout", "--"])
        .arg(file)
        .stderr(Stdio::inherit())
        .output()
        .context("cannot start brotli")?;
    ensure!(
        output.status.success(),
        "brotli cannot compress {}",
        file.display()
    );
    Ok(output.stdout.len())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_first_screen_waits_for_the_first_module_and_not_for_the_others() {
        assert_eq!(group("lidoff-app-1f_bg.wasm"), Group::First);
        assert_eq!(group("index.html"), Group::First);
        assert_eq!(group("screens-1f.wasm"), Group::Later);
        assert_eq!(group("catalogs/perch.json"), Group::Later);
        assert_eq!(group("words/de.txt"), Group::Language);
    }
}
