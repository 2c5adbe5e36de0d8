//! What is in a build: every file that a phone needs, in one fixed order.

use std::fs;
use std::path::Path;

use super::OfflineError;

/// The files under `dist` as relative addresses, sorted by byte.
///
/// Left out are hidden files, which many servers refuse to give, and the schema,
/// which is for those who write catalogs.
pub fn to_keep(dist: &Path) -> Result<Vec<String>, OfflineError> {
    let mut found = Vec::new();
    walk(dist, "", &mut found)?;
    found.sort();
    Ok(found)
}

/// Whether this is the catalogs' schema and not a catalog.
pub fn is_schema(name: &str) -> bool {
    name.ends_with("schema.json")
}

fn walk(folder: &Path, prefix: &str, found: &mut Vec<String>) -> Result<(), OfflineError> {
    for entry in fs::read_dir(folder).map_err(OfflineError::io("list", folder))? {
        let entry = entry.map_err(OfflineError::io("list", folder))?;
        let name = entry.file_name();
        let name = name.to_string_lossy();
        let address = format!("{prefix}{name}");
        if name.starts_with('.') || is_schema(&name) {
            continue;
        }
        let plain = |c: char| c.is_ascii_alphanumeric() || "-_.".contains(c);
        if !name.chars().all(plain) {
            return Err(OfflineError::Name { file: address });
        }
        let path = entry.path();
        if path.is_dir() {
            walk(&path, &format!("{address}/"), found)?;
        } else {
            found.push(address);
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_that_an_address_would_escape_is_refused() {
        let dist = crate::offline::tests::staged();
        fs::write(dist.path().join("catalogs/perch 22.json"), "{}").expect("file");
        let error = to_keep(dist.path()).expect_err("a blank in a name");
        assert!(error.to_string().contains("catalogs/perch 22.json"));
    }

    #[test]
    fn a_folder_that_is_not_there_is_named() {
        let error = to_keep(Path::new("no/such/build")).expect_err("nothing to list");
        assert_eq!(error.to_string(), "cannot list no/such/build");
    }
}
