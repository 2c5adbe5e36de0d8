//! The page's content security policy. It allows each inline script of the page by its
//! hash (W3C Content Security Policy Level 3, hash sources) and no other, so the policy
//! cannot fall behind the page.

use std::path::Path;

use anyhow::{Context as _, Result, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use sha2::{Digest, Sha256};

use crate::files;

/// The placeholder for the hashes in the policy of `public/index.html`.
const PLACEHOLDER: &str = "%INLINE_SCRIPTS%";

/// Fills in the placeholder in the policy of `dist/index.html`.
pub fn allow_inline_scripts(dist: &Path) -> Result<()> {
    let path = dist.join("index.html");
    let page = files::read_text(&path)?;
    ensure!(
        page.contains(PLACEHOLDER),
        "{} has no {PLACEHOLDER} in its Content-Security-Policy. \
         This build may be finished already: build it again",
        path.display()
    );
    let scripts = inline_scripts(&page)
        .with_context(|| format!("{} has a <script> without its </script>", path.display()))?;
    let hashes: Vec<_> = scripts
        .iter()
        .map(|script| format!("'{}'", sha256(script.as_bytes())))
        .collect();
    files::write(&path, page.replace(PLACEHOLDER, &hashes.join(" ")))
}

/// A hash as policies and integrity attributes write it: `sha256-` and base64.
pub fn sha256(bytes: &[u8]) -> String {
    format!("sha256-{}", BASE64_STANDARD.encode(Sha256::digest(bytes)))
}

/// The text of each inline script of the page; `None` if a script is not closed. Our page has no `>` inside an attribute and no script in a comment.
fn inline_scripts(page: &str) -> Option<Vec<&str>> {
    let mut found = Vec::new();
    let mut rest = page;
    while let Some(start) = rest.find("<script") {
        let (tag, after) = rest[start..].split_once('>')?;
        let (script, after) = after.split_once("</script>")?;
        if !tag.contains(" src=") {
            found.push(script);
        }
        rest = after;
    }
    Some(found)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::fs;

    #[test]
    fn a_script_in_the_page_is_allowed_by_its_hash() {
        // The example of "Hash usage for script elements" in W3C Content Security
        // Policy Level 2: the hash of
        // `alert('Hello, world.');`.
        let hash = "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='";
        let dist = tempfile::TempDir::new().expect("folder");
        let path = dist.path().join("index.html");
        fs::write(
            &path,
            "<meta content=\"script-src %INLINE_SCRIPTS%\"><script>alert('Hello, world.');</script>",
        )
        .expect("page");
        allow_inline_scripts(dist.path()).expect("a policy");
        let page = fs::read_to_string(path).expect("page");
        assert!(page.contains(hash), "{page}");
    }

    #[test]
    fn only_scripts_that_stand_in_the_page_need_a_hash() {
        let page = "<script src=\"a.js\"></script><script type=\"module\">b</script>";
        assert_eq!(inline_scripts(page), Some(vec!["b"]));
        assert_eq!(inline_scripts("<script>never closed"), None);
    }
}
