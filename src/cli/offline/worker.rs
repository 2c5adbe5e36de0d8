//! The service worker: `public/sw.js` with the list of what to keep, the hash of
//! each file, and a version that changes when any of them does.

use std::fs;
use std::path::Path;

use super::{OfflineError, files, policy};

const TEMPLATE: &str = include_str!("../../../public/sw.js");
const NAME: &str = "sw.js";

/// Writes `dist/sw.js`.
pub fn write(dist: &Path) -> Result<(), OfflineError> {
    let mut rows = Vec::new();
    for file in files::to_keep(dist)? {
        if file == NAME {
            continue;
        }
        let path = dist.join(&file);
        let bytes = fs::read(&path).map_err(OfflineError::io("read", path))?;
        // Some servers redirect "index.html" to the folder, and a redirected
        // answer may not be given to a navigation.
        let address = if file == "index.html" { "./" } else { &file };
        // Names are checked to need no escaping.
        rows.push(format!("[\"{address}\",\"{}\"]", policy::sha256(&bytes)));
    }
    let list = format!("[\n{}\n]", rows.join(",\n"));
    let version = policy::sha256(format!("{TEMPLATE}{list}").as_bytes());
    let worker = TEMPLATE
        .replace("\"%FILES%\"", &list)
        .replace("%VERSION%", &version["sha256-".len()..][..16]);
    let path = dist.join(NAME);
    fs::write(&path, worker).map_err(OfflineError::io("write", path))
}
