//! Lighthouse on the built app, as a phone sees it on its first visit. Measures; fails
//! only if it cannot measure.

use std::path::Path;

use anyhow::{Context as _, Result};
use serde_json::Value;

use crate::build::page::copy_folder;
use crate::files;
use crate::process::{command, run as run_command};
use crate::tools::{self, Set};
use crate::{project, serve};

/// `cargo xtask lighthouse`
#[derive(clap::Args)]
pub struct Args {
    /// How many first visits
    #[arg(long, env = "RUNS", default_value_t = 3)]
    runs: u32,
    /// How many times slower than this processor the simulated one is
    #[arg(long, env = "SLOWER")]
    slower: Option<u32>,
}

/// Where the reports and a compressed copy of the build go.
const OUT: &str = "target/lighthouse";

const TIMED: [&str; 5] = [
    "first-contentful-paint",
    "largest-contentful-paint",
    "total-blocking-time",
    "speed-index",
    "cumulative-layout-shift",
];

/// Runs Lighthouse and prints the figures of each run.
pub fn run(args: &Args) -> Result<()> {
    tools::install(Set::Lighthouse)?;
    let out = project::root().join(OUT);
    let dist = out.join("dist");
    files::remove_folder(&dist)?;
    copy_folder(&project::root().join("dist"), &dist)?;
    compress(&dist)?;
    let address = format!("http://{}/", serve::in_background(&dist)?);
    let chromium = tools::program("chromium")?;
    for visit in 1..=args.runs {
        let report = out.join(format!("run-{visit}"));
        // Its defaults: a mobile phone, slow 4G, a processor 4 times slower than this
        // one, the last two simulated.
        let mut lighthouse = command(tools::lighthouse_program()?, &[&address, "--quiet"]);
        lighthouse.args(["--output=json", "--output=html"]);
        lighthouse.arg(format!("--output-path={}", report.display()));
        lighthouse.arg("--only-categories=performance,accessibility,best-practices");
        lighthouse.arg(
            "--chrome-flags=--headless=new --no-sandbox --disable-gpu --disable-dev-shm-usage",
        );
        if let Some(slower) = args.slower {
            lighthouse.arg(format!("--throttling.cpuSlowdownMultiplier={slower}"));
        }
        run_command(lighthouse.env("CHROME_PATH", &chromium))?;
        let report = report.with_extension("report.json");
        let report: Value = serde_json::from_slice(&files::read(&report)?)
            .with_context(|| format!("{} cannot be read", report.display()))?;
        println!("{}", summary(&report));
    }
    Ok(())
}

/// Puts a compressed file beside each plain one, as some servers do.
fn compress(dist: &Path) -> Result<()> {
    let brotli = tools::program("brotli")?;
    for file in files::to_keep(dist)? {
        let path = dist.join(&file);
        if !file.ends_with(".png") && files::read(&path)?.len() > 1024 {
            run_command(command(&brotli, &["--quality=11", "--lgwin=24", "--keep"]).arg(path))?;
        }
    }
    Ok(())
}

/// The scores, the times, and what is wrong.
fn summary(report: &Value) -> String {
    let empty = serde_json::Map::new();
    let audit = |id: &str| &report["audits"][id];
    let text = |value: &Value| value.as_str().unwrap_or_default().to_owned();
    let categories = report["categories"].as_object().unwrap_or(&empty);
    let scores = categories.values().map(|category| {
        let score = 100.0 * category["score"].as_f64().unwrap_or(0.0);
        format!("{} {score:.0}", text(&category["title"]))
    });
    let times = TIMED.map(|id| {
        let audit = audit(id);
        format!("{} {}", text(&audit["title"]), text(&audit["displayValue"]))
    });
    let mut lines = vec![
        scores.collect::<Vec<_>>().join(", "),
        format!("  {}", times.join(", ")),
        format!(
            "  processor {} by its own benchmark",
            report["environment"]["benchmarkIndex"]
        ),
    ];
    let references = categories
        .values()
        .filter_map(|it| it["auditRefs"].as_array());
    for reference in references.flatten() {
        let id = text(&reference["id"]);
        let score = audit(&id)["score"].as_f64();
        if reference["weight"].as_f64() != Some(0.0)
            && let Some(score) = score.filter(|score| *score < 0.9)
        {
            lines.push(format!(
                "  {id}: {score} {}",
                text(&audit(&id)["displayValue"])
            ));
        }
    }
    lines.join("\n")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_report_is_told_in_scores_times_and_what_is_wrong() {
        let report = serde_json::json!({
            "categories": {"performance": {"title": "Performance", "score": 0.97, "auditRefs": [
                {"id": "speed-index", "weight": 10},
                {"id": "total-blocking-time", "weight": 30},
                {"id": "unweighted", "weight": 0},
            ]}},
            "audits": {
                "speed-index": {"title": "Speed Index", "displayValue": "1.2 s", "score": 1},
                "total-blocking-time": {"title": "TBT", "displayValue": "300 ms", "score": 0.5},
                "unweighted": {"title": "Other", "score": 0.1},
            },
            "environment": {"benchmarkIndex": 1500},
        });
        let text = summary(&report);
        assert!(text.starts_with("Performance 97\n"), "{text}");
        assert!(text.contains("Speed Index 1.2 s"), "{text}");
        assert!(
            text.ends_with("  total-blocking-time: 0.5 300 ms"),
            "{text}"
        );
    }
}
