//! Removes from each WASM module what no browser reads: the custom sections, above all
//! the names of the functions. The compiler writes them because splitting needs them.

use std::path::Path;

use anyhow::{Context as _, Result};
use wasmparser::{BinaryReaderError, Parser, Payload};

use crate::files;

/// Set for a build whose functions a profiler can name.
const NAMED: &str = "LIDOFF_NAMED";

/// Shortens every module in `dist`.
pub fn shorten(dist: &Path) -> Result<()> {
    if std::env::var_os(NAMED).is_some() {
        return Ok(());
    }
    for file in files::to_keep(dist)? {
        if file.ends_with(".wasm") {
            let path = dist.join(file);
            let short = without_custom_sections(&files::read(&path)?)
                .with_context(|| format!("{} is no WASM module; build it again", path.display()))?;
            files::write(&path, short)?;
        }
    }
    Ok(())
}

fn without_custom_sections(module: &[u8]) -> Result<Vec<u8>, BinaryReaderError> {
    let mut short = Vec::with_capacity(module.len());
    // Where the section before ended: the head of the next lies from there on.
    let mut ended = 0;
    for payload in Parser::new(0).parse_all(module) {
        let (end, kept) = match payload? {
            Payload::Version { range, .. } => (range.end, true),
            Payload::CustomSection(section) => (section.range().end, false),
            other => match other.as_section() {
                Some((_, range)) => (range.end, true),
                // A function's body, which lies within a section; or the end.
                None => continue,
            },
        };
        // Within the module, whose length is a usize.
        let end = end as usize;
        let section = &module[ended.min(end)..end];
        if kept {
            short.extend_from_slice(section);
        }
        ended = ended.max(end);
    }
    Ok(short)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A function type, a function with its body, an export; between them custom
    /// sections. By hand after the WebAssembly Core Specification 2.0, 5.5 "Modules".
    const MODULE: [&[u8]; 7] = [
        b"\0asm\x01\0\0\0",
        b"\x00\x05\x04name",
        b"\x01\x04\x01\x60\0\0",
        b"\x03\x02\x01\0",
        b"\x07\x05\x01\x01f\0\0",
        b"\x0a\x04\x01\x02\0\x0b",
        b"\x00\x07\x05relocX",
    ];

    #[test]
    fn custom_sections_are_left_out_and_nothing_else() {
        let custom = |section: &[u8]| section[0] == 0 && !section.starts_with(b"\0asm");
        let kept: Vec<&[u8]> = MODULE.into_iter().filter(|it| !custom(it)).collect();
        let short = without_custom_sections(&MODULE.concat()).expect("a module");
        assert_eq!(short, kept.concat());
        assert_eq!(without_custom_sections(&short).expect("a module"), short);
    }

    #[test]
    fn what_is_no_module_is_named() {
        let dist = crate::offline::tests::staged();
        std::fs::write(dist.path().join("part.wasm"), "not a module").expect("file");
        let error = shorten(dist.path()).expect_err("no module");
        assert!(error.to_string().contains("part.wasm"), "{error}");
    }
}
