//! Lists what the app and the command line are made of: a software bill of materials in
//! CycloneDX 1.5 (JSON), from `cargo metadata` and Cargo.lock. Same sources, same text.

use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result};
use serde_json::{Value, json};

use crate::process::{cargo, read};
use crate::{files, project};

/// `cargo xtask sbom`
#[derive(clap::Args)]
pub struct Args {
    /// The folder for the files
    #[arg(default_value = "target/sbom")]
    folder: PathBuf,
}

/// What is delivered: its package, and the platform that it is built for.
const DELIVERED: [(&str, &str); 2] = [
    (project::APP_PACKAGE, project::WASM_TARGET),
    ("lidoff", "x86_64-unknown-linux-gnu"),
];

/// Writes a file for each package that is delivered.
pub fn run(args: &Args) -> Result<()> {
    files::create_folder(&args.folder)?;
    for (package, target) in DELIVERED {
        let list = list(package, target)?;
        let count = list["components"].as_array().map_or(0, Vec::len);
        let path = args.folder.join(format!("{package}.cdx.json"));
        files::write(&path, serde_json::to_string_pretty(&list)? + "\n")?;
        println!("{}: {package} for {target}, {count} crates", path.display());
    }
    Ok(())
}

/// The list for a package.
fn list(package: &str, target: &str) -> Result<Value> {
    let filter = [
        "metadata",
        "--locked",
        "--format-version=1",
        "--filter-platform",
        target,
    ];
    let metadata = read(&mut cargo(&filter))?;
    let metadata: Value = serde_json::from_str(&metadata).context("cargo metadata is not JSON")?;
    let lock = files::read_text(Path::new("Cargo.lock"))?;
    of_metadata(&metadata, &lock, package)
        .with_context(|| format!("cargo metadata does not say what {package} is made of"))
}

fn of_metadata(metadata: &Value, lock: &str, package: &str) -> Option<Value> {
    let by_id = |list: &Value| -> Option<BTreeMap<String, Value>> {
        let all = list.as_array()?.iter();
        all.map(|one| Some((one["id"].as_str()?.to_owned(), one.clone())))
            .collect()
    };
    let packages = by_id(&metadata["packages"])?;
    let nodes = by_id(&metadata["resolve"]["nodes"])?;
    let (root, _) = packages.iter().find(|(_, one)| one["name"] == package)?;
    let checksums = checksums(lock);

    let mut dependencies = BTreeMap::new();
    let mut next = vec![root.clone()];
    while let Some(id) = next.pop() {
        if dependencies.contains_key(&id) {
            continue;
        }
        let uses = delivered(nodes.get(&id)?)?;
        next.extend(uses.iter().cloned());
        dependencies.insert(id, uses);
    }
    let reference = |id: &String| packages.get(id).map(purl);
    let components = dependencies.keys().filter(|id| *id != root);
    let components = components.map(|id| Some(component(packages.get(id)?, "library", &checksums)));
    let dependencies = dependencies.iter().map(|(id, uses)| {
        let uses: Option<BTreeSet<String>> = uses.iter().map(reference).collect();
        Some(json!({ "ref": reference(id)?, "dependsOn": uses? }))
    });
    Some(json!({
        "$schema": "http://cyclonedx.org/schema/bom-1.5.schema.json",
        "bomFormat": "CycloneDX",
        "specVersion": "1.5",
        "version": 1,
        "metadata": { "component": component(packages.get(root)?, "application", &checksums) },
        "components": components.collect::<Option<Vec<Value>>>()?,
        "dependencies": dependencies.collect::<Option<Vec<Value>>>()?,
    }))
}

/// The packages whose code goes into this one: not those for its build and its tests.
fn delivered(node: &Value) -> Option<BTreeSet<String>> {
    let all = node["deps"].as_array()?.iter();
    let is_delivered = |one: &&Value| {
        let kinds = one["dep_kinds"].as_array();
        kinds.is_some_and(|kinds| kinds.iter().any(|kind| kind["kind"].is_null()))
    };
    let ids = all.filter(is_delivered).map(|one| one["pkg"].as_str());
    ids.map(|id| id.map(str::to_owned)).collect()
}

/// A package URL (purl specification, type `cargo`).
fn purl(package: &Value) -> String {
    let text = |name: &str| {
        package[name]
            .as_str()
            .unwrap_or_default()
            .replace('+', "%2B")
    };
    format!("pkg:cargo/{}@{}", text("name"), text("version"))
}

fn component(package: &Value, kind: &str, checksums: &BTreeMap<String, String>) -> Value {
    let mut component = json!({
        "type": kind,
        "bom-ref": purl(package),
        "name": package["name"],
        "version": package["version"],
        "purl": purl(package),
    });
    if let Some(description) = package["description"].as_str() {
        component["description"] = description.trim().into();
    }
    if let Some(licence) = package["license"].as_str() {
        // Older crates write "MIT/Apache-2.0", which is no SPDX expression.
        let expression = licence.replace('/', " OR ");
        component["licenses"] = json!([{ "expression": expression }]);
    }
    if let Some(checksum) = checksums.get(&purl(package)) {
        component["hashes"] = json!([{ "alg": "SHA-256", "content": checksum }]);
    }
    component
}

/// The checksum of each package that Cargo.lock has one for, by package URL.
fn checksums(lock: &str) -> BTreeMap<String, String> {
    let entries = lock.split("[[package]]").skip(1);
    let all = entries.filter_map(|entry| {
        let field = |name: &str| {
            let mut lines = entry.lines();
            let value = lines.find_map(|line| line.strip_prefix(name)?.strip_prefix(" = \""));
            value.map(|value| value.trim_end_matches('"').to_owned())
        };
        let package = json!({ "name": field("name")?, "version": field("version")? });
        Some((purl(&package), field("checksum")?))
    });
    all.collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What bom-1.5.schema.json requires of a list, and the form of each field that is
    /// written.
    fn assert_valid(list: &Value) {
        assert_eq!(list["bomFormat"], "CycloneDX");
        assert_eq!(list["specVersion"], "1.5");
        assert!(list["version"].is_u64());
        let components = list["components"].as_array().expect("components");
        let mut references = BTreeSet::new();
        for one in components.iter().chain([&list["metadata"]["component"]]) {
            assert!(
                ["library", "application"]
                    .map(Value::from)
                    .contains(&one["type"])
            );
            assert!(!one["name"].as_str().expect("a name").is_empty());
            let reference = one["bom-ref"].as_str().expect("a reference");
            assert!(references.insert(reference), "{reference} is there twice");
            for hash in one["hashes"].as_array().into_iter().flatten() {
                let content = hash["content"].as_str().expect("a checksum");
                assert_eq!((content.len(), &hash["alg"]), (64, &"SHA-256".into()));
                assert!(content.chars().all(|digit| digit.is_ascii_hexdigit()));
            }
            let licences = one["licenses"].as_array().expect("licences");
            assert_eq!(licences.len(), 1, "one expression: {one}");
            assert!(licences[0]["expression"].is_string());
            let known = [
                "type",
                "bom-ref",
                "name",
                "version",
                "purl",
                "description",
                "licenses",
                "hashes",
            ];
            let fields = one.as_object().expect("an object").keys();
            assert!(
                fields
                    .into_iter()
                    .all(|field| known.contains(&field.as_str()))
            );
        }
        let dependencies = list["dependencies"].as_array().expect("dependencies");
        assert_eq!(dependencies.len(), references.len());
        for one in dependencies {
            let uses = one["dependsOn"].as_array().expect("a list").iter();
            for reference in uses.chain([&one["ref"]]) {
                let reference = reference.as_str().expect("a reference");
                assert!(
                    references.contains(reference),
                    "{reference} is no component"
                );
            }
        }
    }

    #[test]
    fn each_delivered_package_has_a_valid_list_with_checksums() {
        std::env::set_current_dir(project::root()).expect("the top");
        for (package, target) in DELIVERED {
            let list = list(package, target).expect("a list");
            assert_valid(&list);
            let components = list["components"].as_array().expect("components");
            let named = |name: &str| components.iter().find(|one| one["name"] == name);
            assert!(named("serde_json").is_some_and(|one| one["hashes"].is_array()));
            assert!(named("lidoff-planner").is_some_and(|one| one["hashes"].is_null()));
            // For tests and builds only.
            for name in ["proptest", "tempfile", "lidoff-testkit", "xtask"] {
                assert!(named(name).is_none(), "{name} in {package}");
            }
            assert_eq!(named("leptos").is_some(), package == project::APP_PACKAGE);
        }
    }
}
