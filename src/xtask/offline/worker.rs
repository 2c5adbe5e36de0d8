//! The service worker: its template with the list of files to keep, the hash of each,
//! and a version that changes when any of them does.

use std::path::Path;

use anyhow::Result;

use super::policy;
use crate::files;
use crate::project;

const NAME: &str = "sw.js";

/// Writes `dist/sw.js`.
pub fn write(dist: &Path) -> Result<()> {
    let template = files::read_text(&project::root().join(project::WORKER_TEMPLATE))?;
    let mut rows = Vec::new();
    for file in files::to_keep(dist)? {
        if file == NAME {
            continue;
        }
        let bytes = files::read(&dist.join(&file))?;
        // Some servers redirect "index.html" to the folder, and a redirected
        // answer may not be given to a navigation.
        let address = if file == "index.html" { "./" } else { &file };
        // Names are checked to need no escaping.
        rows.push(format!("[\"{address}\",\"{}\"]", policy::sha256(&bytes)));
    }
    let list = format!("[\n{}\n]", rows.join(",\n"));
    let version = policy::sha256(format!("{template}{list}").as_bytes());
    let worker = template
        .replace("\"%FILES%\"", &list)
        .replace("%VERSION%", &version["sha256-".len()..][..16]);
    files::write(&dist.join(NAME), worker)
}
