//! Mutation testing of the planner: changes it in one place at a time (cargo-mutants)
//! and runs its tests. Changes that no test notices are listed at the end and kept in
//! `target/mutants.out`. All of it takes hours, so one share in so many is taken, always
//! the same.

use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::files;
use crate::process::{cargo, command, run as run_command};
use crate::project::{self, PLANNER_EXCLUDED, PLANNER_FOLDER, PLANNER_PACKAGE, TESTS_PACKAGE};
use crate::tools::{self, Set};

/// `cargo xtask mutants`
#[derive(clap::Args)]
pub struct Args {
    /// Which share of the changes
    #[arg(long, env = "SHARD", default_value = "0/16")]
    shard: String,
    /// Passed on to cargo-mutants
    #[arg(last = true)]
    rest: Vec<String>,
}

/// Tests that are asked about a change. Most changes are noticed at once, so what is
/// quick and sees much comes first, and what takes long sees only the changes that are
/// left.
struct Stage {
    name: &'static str,
    packages: &'static [&'static str],
    targets: &'static [&'static str],
    filters: Vec<&'static str>,
    /// Seconds.
    timeout: u32,
}

const EXHAUSTIVE: [&str; 1] = ["as_much"];
const QUICK: [&str; 12] = [
    "access::",
    "blocked::",
    "limits::",
    "properties::",
    "published::",
    "reference::",
    "riders::",
    "routes::",
    "stays::",
    "tasks::",
    "why::",
    "words::",
];
const SLOW: [&str; 1] = ["progress::"];
/// Tests of the simulator, and one that `wide::` covers too.
const NEVER: [&str; 2] = [
    "simulator::",
    "more_tasks_than_a_plan_can_hold_are_refused_by_number",
];

fn stages() -> [Stage; 4] {
    let skip = |groups: &[&[&'static str]]| -> Vec<&'static str> {
        let names = groups.iter().copied().flatten();
        names.flat_map(|name| ["--skip", name]).collect()
    };
    [
        Stage {
            name: "states",
            packages: &[PLANNER_PACKAGE],
            targets: &["--test=exhaustive"],
            filters: EXHAUSTIVE.to_vec(),
            timeout: 30,
        },
        Stage {
            name: "quick",
            packages: &[PLANNER_PACKAGE],
            targets: &["--test=planner"],
            filters: QUICK.to_vec(),
            timeout: 30,
        },
        Stage {
            name: "rest",
            packages: &[PLANNER_PACKAGE],
            targets: &["--lib", "--test=exhaustive", "--test=planner"],
            filters: skip(&[&["wide::"], &NEVER, &EXHAUSTIVE, &QUICK]),
            timeout: 60,
        },
        Stage {
            name: "last",
            packages: &[PLANNER_PACKAGE, TESTS_PACKAGE],
            targets: &[
                "--test=planner",
                "--test=scale",
                "--test=repairability",
                "--test=same_plan",
            ],
            filters: skip(&[&NEVER, &QUICK, &SLOW]),
            timeout: 180,
        },
    ]
}

/// Changes the planner and lists the changes that no test notices.
pub fn run(args: &Args) -> Result<()> {
    tools::install(Set::Mutants)?;
    let stages = stages();
    for stage in &stages {
        let mut test = cargo(&["test", "--locked", "--quiet"]);
        for package in stage.packages {
            test.args(["--package", package]);
        }
        test.args(stage.targets).arg("--").args(&stage.filters);
        run_command(brief(&mut test))
            .context("these tests must pass before anything is changed")?;
    }
    let out = project::root().join("target/mutants.out");
    for folder in [&out, &out.with_extension("out.old")] {
        files::remove_folder(folder)?;
    }
    for stage in &stages {
        change(stage, args)?;
        let outcomes = files::read(&out.join("outcomes.json"))?;
        let kept = format!("target/mutants.{}.json", stage.name);
        files::write(&project::root().join(kept), outcomes)?;
    }
    println!("Not noticed by any test:");
    print!("{}", files::read_text(&out.join("missed.txt"))?);
    Ok(())
}

fn change(stage: &Stage, args: &Args) -> Result<()> {
    let mut mutants = command(tools::mutants_program()?, &["mutants"]);
    mutants.args(["--package", PLANNER_PACKAGE]);
    mutants.args(["--test-package", &stage.packages.join(",")]);
    mutants.args(["--baseline", "skip", "--colors", "never"]);
    mutants.args(["--shard", &args.shard, "--sharding", "round-robin"]);
    mutants.args([
        "--output",
        "target",
        "--timeout",
        &stage.timeout.to_string(),
    ]);
    mutants.args(["--file", &format!("{PLANNER_FOLDER}/**")]);
    for excluded in [PLANNER_EXCLUDED, &["**/tests/**", "**/benches/**"]].concat() {
        mutants.args(["--exclude", excluded]);
    }
    for word in [&["--locked"], stage.targets].concat() {
        mutants.arg(format!("--cargo-arg={word}"));
    }
    if stage.name != "states" {
        mutants.arg("--iterate");
    }
    mutants
        .args(&args.rest)
        .args(["--", "--"])
        .args(&stage.filters);
    let status = brief(&mut mutants).status();
    let status = status.context("cannot start cargo-mutants")?;
    // 2 and 3: some change was not noticed, or had to be stopped. That is an answer.
    if !matches!(status.code(), Some(0..=3)) {
        bail!("cargo-mutants failed ({status})");
    }
    Ok(())
}

/// Fewer cases than usual, the same for each change, no simpler ones looked for, and no
/// debug information: this is done some hundred times.
fn brief(command: &mut Command) -> &mut Command {
    for (name, value) in [("PROPTEST_CASES", "48"), ("PROPTEST_RNG_SEED", "1")] {
        if std::env::var_os(name).is_none() {
            command.env(name, value);
        }
    }
    command
        .env("PROPTEST_MAX_SHRINK_ITERS", "0")
        .env("CARGO_PROFILE_DEV_DEBUG", "0")
}
