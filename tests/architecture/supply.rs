//! Where the libraries come from, and under which licences.
//!
//! `cargo deny` checks the same and more, but takes minutes to build; this needs nothing
//! but `cargo metadata`. It cannot check advisories: they need a database that changes
//! daily.

use std::collections::{BTreeMap, BTreeSet};
use std::fs;
use std::process::Command;

use lidoff_testkit::repository;
use serde_json::Value;

/// Licences that allow what Lidoff's own licences allow.
const ALLOWED: [&str; 12] = [
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "Unicode-3.0",
    "Unlicense",
    "Zlib",
];

/// Crates of which the app has two versions, because two libraries cannot agree yet:
/// leptos brings gloo-net, which is behind the others.
const TWO_VERSIONS: [&str; 2] = ["gloo-utils", "thiserror"];

/// Crates that nothing may bring in: they need a C library, or are no longer maintained.
const BANNED: [&str; 5] = [
    "openssl-sys",
    "libgit2-sys",
    "native-tls",
    "serde_yaml",
    "atty",
];

fn metadata(platforms: &[&str]) -> Value {
    let mut command = Command::new(env!("CARGO"));
    command.args(["metadata", "--locked", "--format-version=1"]);
    for platform in platforms {
        command.args(["--filter-platform", platform]);
    }
    let output = command
        .current_dir(repository(""))
        .output()
        .expect("cargo metadata");
    assert!(
        output.status.success(),
        "{}",
        String::from_utf8_lossy(&output.stderr)
    );
    serde_json::from_slice(&output.stdout).expect("JSON")
}

const PLATFORMS: [&str; 2] = ["x86_64-unknown-linux-gnu", "wasm32-unknown-unknown"];

fn text<'a>(package: &'a Value, name: &str) -> &'a str {
    package[name].as_str().unwrap_or_default()
}

/// Whether this SPDX expression leaves a choice of allowed licences only.
fn is_allowed(expression: &str) -> bool {
    // Older crates write "MIT/Apache-2.0".
    let spaced = expression
        .replace('/', " OR ")
        .replace('(', " ( ")
        .replace(')', " ) ");
    let mut tokens: Vec<String> = Vec::new();
    for word in spaced.split_whitespace() {
        match (word, tokens.last_mut()) {
            ("WITH", Some(licence)) => licence.push_str(" WITH "),
            (exception, Some(licence)) if licence.ends_with(" WITH ") => {
                licence.push_str(exception)
            }
            _ => tokens.push(word.to_owned()),
        }
    }
    let mut tokens = tokens.iter().map(String::as_str).peekable();
    let allowed = any_of(&mut tokens);
    allowed && tokens.next().is_none()
}

fn any_of<'b>(tokens: &mut std::iter::Peekable<impl Iterator<Item = &'b str>>) -> bool {
    let mut allowed = all_of(tokens);
    while tokens.next_if_eq(&"OR").is_some() {
        allowed |= all_of(tokens);
    }
    allowed
}

/// `AND` binds before `OR` (SPDX 2.3, annex D.4).
fn all_of<'b>(tokens: &mut std::iter::Peekable<impl Iterator<Item = &'b str>>) -> bool {
    let mut allowed = one_of(tokens);
    while tokens.next_if_eq(&"AND").is_some() {
        allowed &= one_of(tokens);
    }
    allowed
}

fn one_of<'b>(tokens: &mut std::iter::Peekable<impl Iterator<Item = &'b str>>) -> bool {
    match tokens.next() {
        Some("(") => {
            let allowed = any_of(tokens);
            tokens.next_if_eq(&")").is_some() && allowed
        }
        Some(licence) => ALLOWED.contains(&licence),
        None => false,
    }
}

#[test]
fn an_expression_is_allowed_if_some_choice_is() {
    for (expression, allowed) in [
        ("MIT", true),
        ("GPL-3.0-only", false),
        ("GPL-3.0-only OR MIT", true),
        ("GPL-3.0-only AND MIT", false),
        ("MIT/Apache-2.0", true),
        ("(MIT OR GPL-3.0-only) AND Unicode-3.0", true),
        ("MIT OR GPL-3.0-only AND Unicode-3.0", true),
        ("GPL-3.0-only AND Unicode-3.0 OR GPL-2.0-only", false),
        ("Apache-2.0 WITH LLVM-exception OR GPL-3.0-only", true),
        ("Apache-2.0 WITH Other-exception", false),
        ("", false),
        ("MIT MIT", false),
        ("(MIT", false),
    ] {
        assert_eq!(is_allowed(expression), allowed, "{expression}");
    }
}

#[test]
fn every_library_has_an_allowed_licence_and_none_is_banned() {
    let metadata = metadata(&PLATFORMS);
    let packages = metadata["packages"].as_array().expect("packages");
    assert!(packages.len() > 100, "{}", packages.len());
    let mut refused = Vec::new();
    for package in packages {
        let (name, licence) = (text(package, "name"), text(package, "license"));
        if !is_allowed(licence) || BANNED.contains(&name) {
            refused.push(format!("{name} {}: “{licence}”", text(package, "version")));
        }
    }
    assert_eq!(refused, [] as [String; 0]);
}

#[test]
fn every_library_is_from_one_registry_with_a_checksum() {
    let lock = fs::read_to_string(repository("Cargo.lock")).expect("Cargo.lock");
    let mut sources = BTreeSet::new();
    let mut count = 0;
    for entry in lock.split("[[package]]").skip(1) {
        let field = |name: &str| entry.lines().find_map(|line| line.strip_prefix(name));
        let name = field("name = ").unwrap_or_default();
        let Some(source) = field("source = ") else {
            // A crate of this workspace.
            let name = name.trim_matches('"');
            let own = ["xtask", "wasm-test-runner", "lidoff"].contains(&name);
            assert!(own || name.starts_with("lidoff-"), "{name} has no source");
            continue;
        };
        count += 1;
        sources.insert(source);
        let checksum = field("checksum = ").unwrap_or_default();
        assert_eq!(checksum.trim_matches('"').len(), 64, "{name}");
    }
    assert!(count > 100, "{count}");
    assert_eq!(sources.len(), 1, "{sources:?}");
    assert!(
        sources
            .iter()
            .all(|one| one.ends_with("/crates.io-index\""))
    );
}

#[test]
fn the_app_has_no_library_in_two_versions_but_those_that_are_known() {
    let metadata = metadata(&["wasm32-unknown-unknown"]);
    let packages = metadata["packages"].as_array().expect("packages");
    let nodes = metadata["resolve"]["nodes"].as_array().expect("nodes");
    let find = |list: &'_ [Value], id: &str| list.iter().position(|one| one["id"] == id);
    let app = packages.iter().find(|one| one["name"] == "lidoff-web");
    let mut next = vec![text(app.expect("the app"), "id")];
    let mut seen = BTreeSet::new();
    let mut versions: BTreeMap<&str, BTreeSet<&str>> = BTreeMap::new();
    while let Some(id) = next.pop() {
        if !seen.insert(id) {
            continue;
        }
        let package = &packages[find(packages, id).expect("a package")];
        // Macros run in the compiler and are not in the app.
        let targets = package["targets"].as_array().expect("targets");
        if targets.iter().any(|one| one["kind"][0] == "proc-macro") {
            continue;
        }
        let known = versions.entry(text(package, "name")).or_default();
        known.insert(text(package, "version"));
        let node = &nodes[find(nodes, id).expect("a node")];
        for one in node["deps"].as_array().expect("dependencies") {
            let kinds = one["dep_kinds"].as_array().expect("kinds");
            if kinds.iter().any(|kind| kind["kind"].is_null()) {
                next.push(text(one, "pkg"));
            }
        }
    }
    assert!(versions.len() > 50, "{}", versions.len());
    let twice = versions.iter().filter(|(_, versions)| versions.len() > 1);
    let twice: Vec<&str> = twice.map(|(name, _)| *name).collect();
    assert_eq!(twice, TWO_VERSIONS);
}
