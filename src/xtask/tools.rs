//! Installs what a task needs, and only what is missing. Says nothing when there is
//! nothing to do, and then needs no network.

use std::fs;
use std::io::IsTerminal as _;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, ensure};
use sha2::{Digest, Sha512};

use crate::files;
use crate::process::{cargo, command, on_path, run_quietly};
use crate::{process, project};

/// What a group of tasks needs.
#[derive(Clone, Copy, PartialEq, Eq, clap::ValueEnum)]
pub enum Set {
    /// To build and serve: no browser
    Build,
    /// To test: a headless browser, axe-core and OR-Tools as well
    Test,
    /// OR-Tools, for the outside check of the planner
    Reference,
    /// For mutation testing
    Mutants,
    /// For Lighthouse
    Lighthouse,
    /// To draw the icons again
    Icons,
}

/// The version that `Trunk.toml` is for. Trunk is optional and not installed from here.
pub const TRUNK_VERSION: &str = "0.21.14";
/// For tests/e2e: the version, and the hash of its file.
pub const AXE_VERSION: &str = "4.14.1";
const AXE_SHA512: &str = "e63e659f9806d7ae5bd40899043b0871a5062c5442b01b3f1a3edf5eaf50bf5c\
                          3a7104a72463293b4ad1b77c661a0d4e40e850dec89de9d6ece70a8c13a9af17";
const MUTANTS_VERSION: &str = "27.1.0";
const LIGHTHOUSE_VERSION: &str = "12.2.3";
/// The Python environment with OR-Tools, and what it is made from.
const REFERENCE: &str = "target/reference";
const REFERENCE_LIST: &str = "tests/reference/requirements.txt";

/// Installs what is missing.
pub fn install(set: Set) -> Result<()> {
    let missing = debian(set).iter().filter(|(program, _)| !on_path(program));
    let missing: Vec<&str> = missing.map(|(_, package)| *package).collect();
    install_debian(&missing)?;
    match set {
        Set::Build => target(),
        Set::Test => {
            target()?;
            components()?;
            reference()?;
            axe()
        }
        Set::Reference => reference(),
        Set::Mutants => mutants(),
        Set::Lighthouse => lighthouse(),
        Set::Icons => Ok(()),
    }
}

/// Programs, and the Debian package that brings each.
fn debian(set: Set) -> &'static [(&'static str, &'static str)] {
    match set {
        Set::Build | Set::Reference | Set::Mutants => &[],
        Set::Test => &[
            ("chromium", "chromium"),
            ("chromedriver", "chromium-driver"),
            ("brotli", "brotli"),
            ("npm", "npm"),
        ],
        Set::Lighthouse => &[
            ("chromium", "chromium"),
            ("brotli", "brotli"),
            ("npm", "npm"),
        ],
        Set::Icons => &[
            ("rsvg-convert", "librsvg2-bin"),
            ("pngquant", "pngquant"),
            ("optipng", "optipng"),
        ],
    }
}

/// Where pinned tools are kept, for all working copies of this user.
pub fn cache() -> Result<PathBuf> {
    let cache = std::env::var_os("XDG_CACHE_HOME").map(PathBuf::from);
    let home = || std::env::var_os("HOME").map(|home| Path::new(&home).join(".cache"));
    let cache = cache.or_else(home);
    let cache = cache.context("neither XDG_CACHE_HOME nor HOME says where tools are kept")?;
    Ok(cache.join("lidoff/tools"))
}

// --- Debian packages ----------------------------------------------------------

fn install_debian(packages: &[&str]) -> Result<()> {
    if packages.is_empty() {
        return Ok(());
    }
    let list = packages.join(" ");
    ensure!(
        on_path("apt-get"),
        "these programs are missing: {list}. There is no apt-get here: install them \
         (these are Debian's names) and try again"
    );
    let is_root = process::read(&mut command("id", &["-u"]))?.trim() == "0";
    ensure!(
        is_root || on_path("sudo"),
        "these Debian packages are missing: {list}. You are not root and there is no sudo. \
         As root: apt-get install {list}"
    );
    let sudo: &[&str] = match (is_root, std::io::stdin().is_terminal()) {
        (true, _) => &[],
        (false, true) => &["sudo"],
        (false, false) => &["sudo", "-n"],
    };
    println!("Installing Debian packages: {list}");
    let install = ["install", "--yes", "--no-install-recommends"];
    for task in [&["update"][..], &[&install, packages].concat()] {
        let apt = ["env", "DEBIAN_FRONTEND=noninteractive", "apt-get", "-qq"];
        let line = [sudo, &apt, &["-o", "Dpkg::Use-Pty=0"], task].concat();
        run_quietly(&mut command(line[0], &line[1..]))?;
    }
    Ok(())
}

// --- The Rust toolchain of rust-toolchain.toml --------------------------------

fn target() -> Result<()> {
    let sysroot = process::read(&mut command("rustc", &["--print", "sysroot"]))?;
    let library = Path::new(sysroot.trim()).join("lib/rustlib");
    if library.join(project::WASM_TARGET).join("lib").is_dir() {
        return Ok(());
    }
    rustup(&["target", "add", project::WASM_TARGET])
}

fn components() -> Result<()> {
    for (component, program) in [("rustfmt", "fmt"), ("clippy", "clippy")] {
        if run_quietly(&mut cargo(&[program, "--version"])).is_err() {
            rustup(&["component", "add", component])?;
        }
    }
    Ok(())
}

fn rustup(args: &[&str]) -> Result<()> {
    ensure!(
        on_path("rustup"),
        "this Rust lacks what rust-toolchain.toml asks for, and there is no rustup to fetch it"
    );
    println!("Adding to the Rust toolchain: {}", args[2..].join(" "));
    run_quietly(&mut command("rustup", args))
}

// --- A solver for the outside check of the planner --------------------------

/// The Python that has OR-Tools.
pub fn reference_python() -> PathBuf {
    project::root().join(REFERENCE).join("bin/python")
}

fn reference() -> Result<()> {
    let place = project::root().join(REFERENCE);
    let list = project::root().join(REFERENCE_LIST);
    let (wanted, installed) = (files::read(&list)?, place.join("requirements.txt"));
    if fs::read(&installed).is_ok_and(|text| text == wanted) {
        return Ok(());
    }
    println!("Installing OR-Tools into {REFERENCE} (about 60 MB to fetch, once)");
    python_environment(&place, &list, &["--no-input", "--only-binary", ":all:"])?;
    files::write(&installed, wanted)
}

/// Creates a Python environment with the packages of a list.
pub fn python_environment(place: &Path, list: &Path, options: &[&str]) -> Result<()> {
    // Debian's Python comes without what creates an environment.
    if run_quietly(&mut command("python3", &["-c", "import ensurepip"])).is_err() {
        install_debian(&["python3", "python3-venv"])?;
    }
    files::remove_folder(place)?;
    run_quietly(Command::new("python3").args(["-m", "venv"]).arg(place))?;
    let mut pip = Command::new(place.join("bin/pip"));
    pip.args(["install", "--quiet", "--disable-pip-version-check"]);
    run_quietly(pip.args(options).arg("--requirement").arg(list))
}

// --- Packages of npm ----------------------------------------------------------

/// axe-core's file.
pub fn axe_file() -> Result<PathBuf> {
    Ok(cache()?.join(format!("axe-core-{AXE_VERSION}/axe.min.js")))
}

/// One file, checked by its hash. Nothing of the package is run here.
fn axe() -> Result<()> {
    let file = axe_file()?;
    if is_axe(&file) {
        return Ok(());
    }
    let place = file.parent().context("a file without a folder")?;
    println!("Fetching axe-core {AXE_VERSION} into {}", place.display());
    let work = tempfile::TempDir::new().context("cannot create a temporary folder")?;
    let package = format!("axe-core@{AXE_VERSION}");
    run_quietly(command("npm", &["pack", "--silent", &package]).current_dir(work.path()))?;
    let archive = format!("axe-core-{AXE_VERSION}.tgz");
    let wanted = ["package/axe.min.js", "package/LICENSE"];
    run_quietly(
        command("tar", &["-xzf", &archive])
            .args(wanted)
            .current_dir(work.path()),
    )?;
    ensure!(
        is_axe(&work.path().join(wanted[0])),
        "axe-core {AXE_VERSION} from npm is not the file that src/xtask/tools.rs knows (SHA-512)"
    );
    files::create_folder(place)?;
    for name in wanted {
        let bytes = files::read(&work.path().join(name))?;
        files::write(&place.join(name.trim_start_matches("package/")), bytes)?;
    }
    Ok(())
}

fn is_axe(file: &Path) -> bool {
    fs::read(file).is_ok_and(|bytes| hex(&Sha512::digest(bytes)) == AXE_SHA512)
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|byte| format!("{byte:02x}")).collect()
}

fn lighthouse_root() -> Result<PathBuf> {
    Ok(cache()?.join(format!("lighthouse-{LIGHTHOUSE_VERSION}")))
}

/// The Lighthouse program.
pub fn lighthouse_program() -> Result<PathBuf> {
    Ok(lighthouse_root()?.join("node_modules/.bin/lighthouse"))
}

fn lighthouse() -> Result<()> {
    if lighthouse_program()?.is_file() {
        return Ok(());
    }
    let root = lighthouse_root()?;
    println!(
        "Installing Lighthouse {LIGHTHOUSE_VERSION} into {}",
        root.display()
    );
    let mut npm = command(
        "npm",
        &["install", "--silent", "--no-audit", "--no-fund", "--prefix"],
    );
    run_quietly(
        npm.arg(root)
            .arg(format!("lighthouse@{LIGHTHOUSE_VERSION}")),
    )
}

// --- Programs that Debian does not have ---------------------------------------

/// cargo's subcommand for mutation testing.
pub fn mutants_program() -> Result<PathBuf> {
    Ok(mutants_root()?.join("bin/cargo-mutants"))
}

fn mutants_root() -> Result<PathBuf> {
    Ok(cache()?.join(format!("cargo-mutants-{MUTANTS_VERSION}")))
}

fn mutants() -> Result<()> {
    if mutants_program()?.is_file() {
        return Ok(());
    }
    let root = mutants_root()?;
    println!("Building cargo-mutants {MUTANTS_VERSION}, once (some minutes)");
    let mut install = cargo(&["install", "--quiet", "--locked", "cargo-mutants"]);
    install
        .args(["--version", MUTANTS_VERSION, "--root"])
        .arg(root);
    // It would fill the caller's target folder with files that are never used again.
    for variable in ["CARGO_TARGET_DIR", "CARGO_BUILD_TARGET", "RUSTFLAGS"] {
        install.env_remove(variable);
    }
    run_quietly(&mut install)
}

/// The program of this name, for a task that cannot do without it.
pub fn program(name: &str) -> Result<PathBuf> {
    process::find_on_path(name)
        .with_context(|| format!("{name} is missing: `cargo xtask tools test` installs it"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_the_known_file_is_taken_for_axe_core() {
        let place = tempfile::TempDir::new().expect("a folder");
        let file = place.path().join("axe.min.js");
        assert!(!is_axe(&file));
        fs::write(&file, "alert('not axe')").expect("a file");
        assert!(!is_axe(&file));
        assert_eq!(AXE_SHA512.len(), 128);
        // `printf abc | sha512sum`, also the example of FIPS 180-2, C.1
        assert!(hex(&Sha512::digest("abc")).starts_with("ddaf35a193617abacc417349ae204131"));
    }
}
