//! The catalog index, so that the app finds the catalogs on a server that lists no
//! folders.

use std::path::Path;

use anyhow::{Context as _, Result};
use serde::Serialize;
use sha2::{Digest, Sha256};

use crate::files;

/// `catalogs/index.json`
#[derive(Serialize)]
struct Index {
    format: &'static str,
    /// Sorted by file name.
    catalogs: Vec<Entry>,
}

#[derive(Serialize)]
struct Entry {
    file: String,
    /// SHA-256 of the file, in lower-case hex.
    sha256: String,
}

const NAME: &str = "index.json";

/// Removes the gettext files that lie beside the catalogs: the app reads the text file
/// of its language instead.
pub fn remove_translations(dist: &Path) -> Result<()> {
    let folder = dist.join("catalogs");
    for file in files::to_keep(&folder)? {
        if file.ends_with(".po") {
            files::remove(&folder.join(file))?;
        }
    }
    Ok(())
}

/// Takes the line breaks and indents, which only authors need, out of the catalogs.
pub fn minify(dist: &Path) -> Result<()> {
    let folder = dist.join("catalogs");
    for file in files::to_keep(&folder)? {
        if file.ends_with(".json") {
            let path = folder.join(file);
            files::write(&path, without_spaces(&files::read_text(&path)?))?;
        }
    }
    Ok(())
}

/// JSON without the spaces between its texts and signs.
fn without_spaces(json: &str) -> String {
    let (mut in_text, mut escaped) = (false, false);
    let keep = |char: &char| {
        if *char == '"' && !escaped {
            in_text = !in_text;
        }
        escaped = in_text && *char == '\\' && !escaped;
        in_text || !char.is_ascii_whitespace()
    };
    json.chars().filter(keep).collect()
}

/// Writes the index of every catalog in `dist/catalogs`.
pub fn write_index(dist: &Path) -> Result<()> {
    let folder = dist.join("catalogs");
    let mut catalogs = Vec::new();
    for file in files::to_keep(&folder)? {
        if file.ends_with(".json") && file != NAME {
            let sha256 = Sha256::digest(files::read(&folder.join(&file))?)
                .iter()
                .map(|byte| format!("{byte:02x}"))
                .collect();
            catalogs.push(Entry { file, sha256 });
        }
    }
    let index = Index {
        format: "lidoff-catalog-index/1",
        catalogs,
    };
    let json = serde_json::to_string(&index).context("cannot write the catalog index")?;
    files::write(&folder.join(NAME), json)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn the_index_lists_the_catalogs_in_order_and_not_the_schema() {
        let dist = crate::offline::tests::staged();
        write_index(dist.path()).expect("an index");
        let index = fs::read_to_string(dist.path().join("catalogs/index.json")).expect("index");
        let index: serde_json::Value = serde_json::from_str(&index).expect("JSON");
        let files: Vec<_> = index["catalogs"]
            .as_array()
            .expect("a list")
            .iter()
            .map(|entry| entry["file"].as_str().expect("a name"))
            .collect();
        assert_eq!(files, ["perch.json", "sedge.json"]);
        // `printf '{}' | sha256sum`
        assert_eq!(
            index["catalogs"][1]["sha256"],
            "44136fa355b3678a1146ad16f7e8649e94fb4fc21fe77e8310c060f61caaff8a"
        );
    }

    #[test]
    fn a_catalog_is_kept_without_the_spaces_between_its_texts() {
        let json = "{\n  \"a b\": [1, \"c \\\" d \\\\\", true],\n  \"e\": \" \"\n}\n";
        let short = "{\"a b\":[1,\"c \\\" d \\\\\",true],\"e\":\" \"}";
        assert_eq!(without_spaces(json), short);
    }

    #[test]
    fn an_index_written_twice_does_not_list_itself() {
        let dist = crate::offline::tests::staged();
        let path = dist.path().join("catalogs/index.json");
        write_index(dist.path()).expect("an index");
        let once = fs::read(&path).expect("index");
        write_index(dist.path()).expect("an index");
        assert_eq!(once, fs::read(&path).expect("index"));
    }
}
