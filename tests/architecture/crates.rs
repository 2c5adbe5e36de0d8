//! Which crate of the workspace depends on which, read from `cargo metadata`.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::process::Command;

use lidoff_testkit::repository;
use serde_json::Value;

/// The map stands between these two lines of DEVELOPERS.md.
const BEGIN: &str = "<!-- map: written by `make map` -->\n";
const END: &str = "<!-- end of map -->";

/// Crate names, each with the crates of the workspace that its production code uses.
type Dependencies = BTreeMap<String, BTreeSet<String>>;

fn dependencies() -> Dependencies {
    let output = Command::new(env!("CARGO"))
        .args(["metadata", "--no-deps", "--offline", "--format-version=1"])
        .current_dir(repository(""))
        .output()
        .expect("cargo metadata");
    assert!(output.status.success(), "{output:?}");
    let metadata: Value = serde_json::from_slice(&output.stdout).expect("JSON");
    let packages = metadata["packages"].as_array().expect("packages");
    let name_of = |of: &Value| of["name"].as_str().expect("a name").to_owned();
    let members: BTreeSet<String> = packages.iter().map(name_of).collect();
    let used = |package: &Value| {
        let listed = package["dependencies"].as_array().expect("dependencies");
        let production = listed.iter().filter(|of| of["kind"].is_null());
        let names = production.map(name_of);
        names.filter(|name| members.contains(name)).collect()
    };
    packages
        .iter()
        .map(|package| (name_of(package), used(package)))
        .collect()
}

/// A Mermaid flow chart. An arrow that follows from others is left out.
fn chart(dependencies: &Dependencies) -> String {
    let short = |name: &str| match name.strip_prefix("lidoff-") {
        Some(short) => short.to_owned(),
        None if name == "lidoff" => "cli".to_owned(),
        None => name.to_owned(),
    };
    let mut lines = vec!["```mermaid".to_owned(), "flowchart TD".to_owned()];
    for (user, used) in dependencies {
        if used.is_empty() && !dependencies.values().any(|of| of.contains(user)) {
            lines.push(format!("    {}", short(user)));
        }
        for name in used {
            let is_implied = used
                .iter()
                .any(|other| other != name && reaches(dependencies, other, name));
            if !is_implied {
                lines.push(format!("    {} --> {}", short(user), short(name)));
            }
        }
    }
    lines.push("```".to_owned());
    lines.join("\n") + "\n"
}

fn reaches(dependencies: &Dependencies, from: &str, to: &str) -> bool {
    from == to
        || dependencies[from]
            .iter()
            .any(|next| reaches(dependencies, next, to))
}

fn written(guide: &str) -> (usize, usize) {
    let begin = guide.find(BEGIN).expect("the map begins") + BEGIN.len();
    let end = guide.find(END).expect("the map ends");
    (begin, end)
}

#[test]
fn the_map_in_the_guide_is_the_one_that_the_manifests_give() {
    let guide = fs::read_to_string(repository("DEVELOPERS.md")).expect("the guide");
    let (begin, end) = written(&guide);
    let chart = chart(&dependencies());
    assert_eq!(&guide[begin..end], chart, "run `make map`");
}

#[test]
fn production_code_never_uses_the_test_support() {
    for (user, used) in dependencies() {
        assert!(
            !used.contains("lidoff-testkit"),
            "{user} uses lidoff-testkit"
        );
    }
}

#[test]
fn only_the_web_crate_knows_the_browser() {
    for entry in fs::read_dir(repository("src")).expect("the crates") {
        let folder = entry.expect("a crate").path();
        let manifest = fs::read_to_string(folder.join("Cargo.toml")).expect("a manifest");
        let knows = ["web-sys", "js-sys", "leptos", "gloo-storage"]
            .iter()
            .any(|name| manifest.contains(&format!("\n{name} =")));
        assert_eq!(knows, folder.ends_with("web"), "{}", folder.display());
    }
}

#[test]
#[ignore = "writes DEVELOPERS.md: `make map`"]
fn write_the_map() {
    let path = repository("DEVELOPERS.md");
    let mut guide = fs::read_to_string(&path).expect("the guide");
    let (begin, end) = written(&guide);
    guide.replace_range(begin..end, &chart(&dependencies()));
    fs::write(path, guide).expect("the guide");
}
