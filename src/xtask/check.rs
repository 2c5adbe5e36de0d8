//! Checks everything, in the order in which a fault is cheapest to find.

use std::ffi::OsStr;
use std::path::PathBuf;
use std::process::Command;

use anyhow::Result;

use crate::process::{build_artifact, cargo, each_line, path_with, run};
use crate::steps::Steps;
use crate::tools::{self, Set};
use crate::{build, onefile, parity, project, reference, size};

/// Runs every check. Stops at the first that fails and names it.
pub fn run_all() -> Result<()> {
    let mut steps = Steps::new();
    let mut total = Total::default();
    steps.run("tools", || tools::install(Set::Test))?;
    steps.run("format", || run(&mut cargo(&["fmt", "--all", "--check"])))?;
    steps.run("lint", lint)?;
    steps.run("native tests", || {
        native_tests()
            .iter_mut()
            .try_for_each(|test| total.run(test))
    })?;
    steps.run("planner reference", || reference::check_planner(12))?;
    steps.run("build", || build::run(&build::Args::default()))?;
    let outcome = steps.run("the same build with Trunk", || {
        parity::run(&parity::Args::default())
    })?;
    if matches!(outcome, parity::Outcome::Skipped) {
        steps.mark_skipped();
    }
    steps.run("size", || size::run(&size::Args::default()))?;
    let none: [&str; 0] = [];
    steps.run("tests in the browser", || {
        total.run(&mut browser_test(&none)?)
    })?;
    steps.run("end to end", || total.run(&mut end_to_end(&none)?))?;
    steps.print_table();
    println!("{}", total.line());
    Ok(())
}

/// The tests that need no browser. Those of this package by themselves: together, cargo
/// would compile the libraries of both once more.
pub fn native_tests() -> [Command; 2] {
    let test = ["test", "--locked"];
    [
        cargo(&test),
        cargo(&[&test[..], &["--package", "xtask"]].concat()),
    ]
}

/// Clippy, for this machine and for the browser.
pub fn lint() -> Result<()> {
    let deny = ["--", "-D", "warnings"];
    for targets in [
        &["--all-targets"][..],
        &["--all-targets", "--package", "xtask"],
        &["--package", project::TESTS_PACKAGE, "--test", "e2e"],
        &[
            "--package",
            project::APP_PACKAGE,
            "--target",
            project::WASM_TARGET,
            "--lib",
            "--bin",
            project::APP_BIN,
            "--test",
            "browser",
            "--test",
            BROWSER_BENCH,
        ],
    ] {
        run(cargo(&["clippy", "--locked"]).args(targets).args(deny))?;
    }
    Ok(())
}

/// The tests of tests/browser, in headless Chromium; with arguments for the tests.
pub fn browser_test<S: AsRef<OsStr>>(args: &[S]) -> Result<Command> {
    let mut test = in_browser(&["--test", "browser", "--"])?;
    test.args(args);
    Ok(test)
}

/// `cargo test` for the browser.
fn in_browser(args: &[&str]) -> Result<Command> {
    let mut test = cargo(&["test", "--locked", "--package", project::APP_PACKAGE]);
    test.args(["--target", project::WASM_TARGET]);
    let options = project::root().join(project::WEBDRIVER_OPTIONS);
    test.args(args)
        .env("CHROMEDRIVER", tools::program("chromedriver")?)
        .env("WASM_BINDGEN_TEST_WEBDRIVER_JSON", options)
        // Seconds for the whole run; 20 unless told, which a busy machine exceeds.
        .env("WASM_BINDGEN_TEST_TIMEOUT", "180")
        .env("CARGO_TARGET_WASM32_UNKNOWN_UNKNOWN_RUNNER", test_runner()?);
    Ok(test)
}

fn test_runner() -> Result<PathBuf> {
    let mut build = cargo(&["build", "--locked", "--package", "wasm-test-runner"]);
    build_artifact(&mut build, "wasm-bindgen-test-runner")
}

/// The tests of tests/e2e, which drive the built app; with arguments for the tests.
pub fn end_to_end<S: AsRef<OsStr>>(args: &[S]) -> Result<Command> {
    let mut test = cargo(&["test", "--locked", "--package", project::TESTS_PACKAGE]);
    test.args(["--test", "e2e", "--"]);
    if args.is_empty() {
        test.args(["--test-threads", "2"]);
    }
    if let Some(page) = onefile::for_tests()? {
        test.env("LIDOFF_ONEFILE", page);
    }
    test.args(args)
        .env("LIDOFF_AXE", tools::axe_file()?)
        .env("LIDOFF_AXE_VERSION", tools::AXE_VERSION);
    Ok(test)
}

/// Planning in the browser.
const BROWSER_BENCH: &str = "planning-times";

/// Measures planning in a browser whose processor is slowed: builds the bench's page and
/// has the driver open it that can slow it.
pub fn planning_slowed() -> Result<()> {
    let mut bench = cargo(&[
        "test",
        "--locked",
        "--no-run",
        "--package",
        project::APP_PACKAGE,
    ]);
    bench.args(["--test", BROWSER_BENCH]);
    bench.args(["--profile", project::APP_PROFILE]);
    bench.args(["--target", project::WASM_TARGET]);
    let page = build_artifact(&mut bench, BROWSER_BENCH)?;
    let runner = test_runner()?;
    let folder = runner.parent().unwrap_or(&runner);
    let mut test = end_to_end(&["--ignored", "--exact", "slowed::planning", "--nocapture"])?;
    test.env("LIDOFF_BENCH", page);
    run(test.env("PATH", path_with(&[folder])?))
}

/// Measures planning, here and in the browser, and tries the forecast on simulated jobs.
pub fn bench() -> Result<()> {
    tools::install(Set::Test)?;
    for name in ["calibration", "planning", "ordering", "scale", "reading"] {
        run(&mut cargo(&["bench", "--locked", "--bench", name]))?;
    }
    let profile = ["--profile", project::APP_PROFILE];
    let test = ["--test", BROWSER_BENCH, "--", "--nocapture"];
    run(&mut in_browser(&[&profile[..], &test].concat())?)
}

/// The counts of all tests that were run, of cargo's lines `test result: …`.
#[derive(Default)]
struct Total {
    passed: u64,
    failed: u64,
    ignored: u64,
    measured: u64,
    filtered: u64,
}

impl Total {
    fn run(&mut self, command: &mut Command) -> Result<()> {
        each_line(command, |line| {
            println!("{line}");
            self.add(line);
        })
    }

    fn add(&mut self, line: &str) {
        let Some(counts) = line.strip_prefix("test result: ") else {
            return;
        };
        let counts = counts.split_once(". ").map_or(counts, |(_, counts)| counts);
        for count in counts.split("; ") {
            let (number, what) = count.split_once(' ').unwrap_or((count, ""));
            let number: u64 = number.parse().unwrap_or(0);
            match what {
                "passed" => self.passed += number,
                "failed" => self.failed += number,
                "ignored" => self.ignored += number,
                "measured" => self.measured += number,
                "filtered out" => self.filtered += number,
                _ => {}
            }
        }
    }

    /// In cargo's own words.
    fn line(&self) -> String {
        format!(
            "test result: ok. {} passed; {} failed; {} ignored; {} measured; {} filtered out",
            self.passed, self.failed, self.ignored, self.measured, self.filtered
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_counts_of_all_runs_are_added() {
        let mut total = Total::default();
        for line in [
            "test result: ok. 12 passed; 0 failed; 1 ignored; 0 measured; 3 filtered out; finished in 0.05s",
            "test some::test ... ok",
            "test result: ok. 30 passed; 0 failed; 0 ignored; 0 measured; 0 filtered out",
        ] {
            total.add(line);
        }
        assert_eq!(
            total.line(),
            "test result: ok. 42 passed; 0 failed; 1 ignored; 0 measured; 3 filtered out"
        );
    }
}
