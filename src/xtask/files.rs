//! Files, with errors that name them.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, ensure};

/// The files under `dist` that a phone needs, as relative addresses, sorted by byte.
///
/// Left out are hidden files, which many servers refuse to send, and the schema, which
/// is for those who write catalogs.
pub fn to_keep(dist: &Path) -> Result<Vec<String>> {
    let mut found = Vec::new();
    walk(dist, "", &mut found)?;
    found.retain(|file| !file.split('/').any(|name| name.starts_with('.')));
    found.retain(|file| !file.ends_with(SCHEMA));
    for file in &found {
        let plain = |c: char| c.is_ascii_alphanumeric() || "-_./".contains(c);
        ensure!(
            file.chars().all(plain),
            "{file:?} cannot be kept offline: rename it with letters, digits, '-', '_' and '.' only"
        );
    }
    Ok(found)
}

/// All files under a folder, as relative addresses, sorted by byte.
pub fn all(folder: &Path) -> Result<Vec<String>> {
    let mut found = Vec::new();
    walk(folder, "", &mut found)?;
    Ok(found)
}

/// How the name of the catalogs' schema ends.
const SCHEMA: &str = "schema.json";

pub fn read(path: &Path) -> Result<Vec<u8>> {
    fs::read(path).with_context(|| format!("cannot read {}", path.display()))
}

pub fn read_text(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("cannot read {}", path.display()))
}

pub fn write(path: &Path, bytes: impl AsRef<[u8]>) -> Result<()> {
    fs::write(path, bytes).with_context(|| format!("cannot write {}", path.display()))
}

pub fn remove(path: &Path) -> Result<()> {
    fs::remove_file(path).with_context(|| format!("cannot remove {}", path.display()))
}

/// Removes a folder with everything in it, if there is one.
pub fn remove_folder(path: &Path) -> Result<()> {
    if path.exists() {
        fs::remove_dir_all(path).with_context(|| format!("cannot remove {}", path.display()))?;
    }
    Ok(())
}

pub fn create_folder(path: &Path) -> Result<()> {
    fs::create_dir_all(path).with_context(|| format!("cannot create {}", path.display()))
}

fn walk(folder: &Path, prefix: &str, found: &mut Vec<String>) -> Result<()> {
    let listing = || format!("cannot list {}", folder.display());
    for entry in fs::read_dir(folder).with_context(listing)? {
        let entry = entry.with_context(listing)?;
        let address = format!("{prefix}{}", entry.file_name().to_string_lossy());
        let path = entry.path();
        if path.is_dir() {
            walk(&path, &format!("{address}/"), found)?;
        } else {
            found.push(address);
        }
    }
    found.sort();
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_an_address_would_escape_is_refused() {
        let dist = tempfile::TempDir::new().expect("a folder");
        create_folder(&dist.path().join("catalogs")).expect("a folder");
        write(&dist.path().join("catalogs/perch.json"), "{}").expect("a file");
        assert_eq!(
            to_keep(dist.path()).expect("names"),
            ["catalogs/perch.json"]
        );
        write(&dist.path().join("catalogs/perch 22.json"), "{}").expect("a file");
        let error = to_keep(dist.path()).expect_err("a blank in a name");
        assert!(error.to_string().contains("catalogs/perch 22.json"));
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let error = to_keep(Path::new("no/such/build")).expect_err("nothing to list");
        assert_eq!(error.to_string(), "cannot list no/such/build");
    }
}
