//! Splits the compiled module into the first module and those that the app fetches
//! later, and writes the JavaScript that loads them. All files carry the hash that is
//! in the module's name.

use std::path::Path;

use anyhow::{Context as _, Result, anyhow, ensure};
use tempfile::TempDir;
use wasm_bindgen_cli_support::Bindgen;
use wasm_split_cli_support::Options;

use crate::files;
use crate::project;

/// The script that fetches the later modules, as the first module imports it.
const LOADER: &str = "./__wasm_split.js";

/// Splits `module`; writes `{name}_bg.wasm`, `{name}.js` and the later modules to `dist`.
pub fn split(module: &Path, name: &str, dist: &Path) -> Result<()> {
    let (_, hash) = name.rsplit_once('-').context("a name without a hash")?;
    let work = TempDir::new().context("cannot create a temporary folder")?;
    let first = work.path().join(format!("{name}.wasm"));
    let wasm = files::read(module)?;
    let main_module = format!("./{name}.js");
    let mut options = Options::new(&wasm);
    options.output_dir = work.path();
    options.main_out_path = &first;
    options.main_module = &main_module;
    options.link_name = LOADER;
    let parts = wasm_split_cli_support::transform(options)
        .map_err(|error| anyhow!("cannot split {}: {error:#}", module.display()))?;
    ensure!(
        !parts.split_modules.is_empty(),
        "{} has no split points: was it compiled without the feature {:?}?",
        module.display(),
        project::APP_SPLIT_FEATURE
    );

    // The later modules share the first one's memory and functions, through exports
    // that wasm-bindgen would otherwise remove.
    Bindgen::new()
        .input_path(&first)
        .out_name(name)
        .web(true)?
        .typescript(false)
        .keep_lld_exports(true)
        .omit_default_module_path(false)
        .generate(dist)
        .with_context(|| format!("wasm-bindgen failed on {}", module.display()))?;

    let mut loader = files::read_text(&work.path().join(LOADER))?;
    for part in parts.split_modules {
        let stem = part.file_stem().and_then(|stem| stem.to_str());
        let stem = stem.context("a module without a name")?;
        let new = format!("{}-{hash}.wasm", stem.trim_start_matches("split_"));
        files::write(&dist.join(&new), files::read(&part)?)?;
        loader = loader.replace(&format!("\"./{stem}.wasm\""), &format!("\"./{new}\""));
    }
    let loader_name = format!("parts-{hash}.js");
    files::write(&dist.join(&loader_name), with_sorted_names(&loader))?;

    let script = dist.join(format!("{name}.js"));
    let text = files::read_text(&script)?;
    let renamed = import_loader(&text, &format!("./{loader_name}"));
    ensure!(
        renamed != text,
        "{} does not import {LOADER}",
        script.display()
    );
    files::write(&script, renamed)
}

/// The splitter lists shared names in another order each time. Sorted, the same source
/// always gives the same build, and no device is offered an update without a change.
fn with_sorted_names(loader: &str) -> String {
    let sorted = |line: &str| {
        let (before, rest) = line.split_once("{ ")?;
        let (list, after) = rest.split_once(",  }")?;
        let mut names: Vec<&str> = list.split(", ").collect();
        names.sort_unstable();
        Some(format!("{before}{{ {},  }}{after}", names.join(", ")))
    };
    loader
        .split_inclusive('\n')
        .map(|line| sorted(line).unwrap_or_else(|| line.to_owned()))
        .collect()
}

/// Changes the address in the imports only: the module knows the loader by its old name.
fn import_loader(script: &str, address: &str) -> String {
    script
        .split_inclusive('\n')
        .map(|line| match line.starts_with("import ") {
            true => line.replace(LOADER, address),
            false => line.to_owned(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shared_names_are_sorted_and_nothing_else_changes() {
        let loader = "const { b, c, a,  } = initSync();\nf({ z, y });\nassign(x, { b, a,  });\n";
        assert_eq!(
            with_sorted_names(loader),
            "const { a, b, c,  } = initSync();\nf({ z, y });\nassign(x, { a, b,  });\n"
        );
    }

    #[test]
    fn only_the_address_of_the_import_changes() {
        let script = "import * as a from \"./__wasm_split.js\"\nb[\"./__wasm_split.js\"] = a;";
        assert_eq!(
            import_loader(script, "./parts-1.js"),
            "import * as a from \"./parts-1.js\"\nb[\"./__wasm_split.js\"] = a;"
        );
    }
}
