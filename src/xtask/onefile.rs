//! The one-file edition: the built app as one HTML page, with its modules, catalogs and
//! languages inside. It needs no server: it runs from `file://`.

use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, ensure};
use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;

use crate::offline::policy::sha256;
use crate::{files, project};

const OUT: &str = "target/lidoff.html";

/// `cargo xtask onefile`
#[derive(clap::Args)]
pub struct Args {
    /// The folder with the built app
    #[arg(long, default_value = "dist")]
    dist: PathBuf,
    /// The page to write
    #[arg(long, default_value = OUT)]
    out: PathBuf,
}

/// Answers the app's requests for its files from the page, and says where records are kept.
const SHIM: &str = include_str!("onefile.js");

/// What the user must know about this edition. Not all browsers keep records of a page that
/// is opened from a file, and none keeps them for another path.
const NOTE: &str = r#"<aside id="onefile">
<p lang="en-GB">One-file edition. This browser keeps the records for this file in this folder only, and may delete them: save each job to a file before you move on.</p>
<p lang="de">Ausgabe in einer Datei. Dieser Browser behält die Aufzeichnungen nur für diese Datei in diesem Ordner und kann sie löschen: jeden Auftrag in einer Datei speichern, bevor es weitergeht.</p>
</aside>
"#;

const NOTE_STYLE: &str = "#onefile{padding:0 1rem 1rem;font-size:1rem}
html:lang(de) #onefile :lang(en),html:not(:lang(de)) #onefile :lang(de){display:none}
";

/// Writes the page.
pub fn run(args: &Args) -> Result<()> {
    let page = page(&args.dist)?;
    files::write(&args.out, &page)?;
    let megabytes = page.len() as f64 / 1e6;
    println!("{}: {megabytes:.1} MB", args.out.display());
    Ok(())
}

/// Writes the page of the build in `dist/` and returns its full path, for the tests; `None`
/// if there is no build.
pub fn for_tests() -> Result<Option<PathBuf>> {
    let (dist, out) = (project::root().join("dist"), project::root().join(OUT));
    if !dist.join("index.html").is_file() {
        return Ok(None);
    }
    files::write(&out, page(&dist)?)?;
    Ok(Some(out))
}

fn page(dist: &Path) -> Result<String> {
    let names = files::all(dist)?;
    let find = |start: &str, end: &str| {
        let mut found = names.iter();
        let found = found.find(|name| name.starts_with(start) && name.ends_with(end));
        found.with_context(|| format!("{} has no {start}…{end}: build it", dist.display()))
    };
    let text = |name: &str| files::read_text(&dist.join(name));
    let (app, parts) = (find("lidoff-app-", ".js")?, find("parts-", ".js")?);
    let boot = find("boot-", ".js")?;

    let page = text("index.html")?;
    let styles = names.iter().filter(|name| name.ends_with(".css"));
    // In the order of the page: a later rule wins.
    let mut styles: Vec<&String> = styles.collect();
    styles.sort_by_key(|name| page.find(name.as_str()));
    let mut style = String::new();
    for name in styles {
        style.push_str(&text(name)?);
    }
    style.push_str(NOTE_STYLE);

    let module = module(
        &text(app)?,
        &text(parts)?,
        &format!("./{}", app.replace(".js", "_bg.wasm")),
    )?;
    let look = between(&page, "<script>", "</script>").context("no script for the theme")?;
    let words = page
        .rsplit_once("<script>")
        .and_then(|(_, rest)| rest.split_once("</script>"));
    let (words, _) = words.context("no script for the languages")?;
    let body = between(&page, "<body>", "<script>").context("no body")?;
    let icon = address(dist, "icons/icon.svg", "image/svg+xml")?;
    let body = body.replace("icons/icon.svg", &icon);
    let title = between(&page, "<title>", "</title>").context("no title")?;

    let mut inside = String::new();
    let is_inside = |name: &&String| {
        name.ends_with(".wasm") || name.starts_with("words/") || name.starts_with("catalogs/")
    };
    for name in names.iter().filter(is_inside) {
        let bytes = BASE64_STANDARD.encode(files::read(&dist.join(name))?);
        inside.push_str(&format!(
            "<script type=\"text/plain\" data-file=\"{name}\">{bytes}</script>\n"
        ));
    }
    let boot = text(boot)?;
    let scripts = [look, SHIM, words, &boot, &module];
    for script in scripts {
        ensure!(
            !script.contains("</script"),
            "a script cannot be put inside the page"
        );
    }
    let hashes = |texts: &[&str]| {
        let all = texts
            .iter()
            .map(|text| format!("'{}'", sha256(text.as_bytes())));
        all.collect::<Vec<_>>().join(" ")
    };
    let policy = format!(
        "default-src 'none'; script-src 'wasm-unsafe-eval' {}; style-src {}; \
         img-src blob: data:; base-uri 'none'; form-action 'none'; \
         require-trusted-types-for 'script'; trusted-types default",
        hashes(&scripts),
        hashes(&[&style])
    );
    Ok(format!(
        "<!doctype html>\n<html lang=\"en-GB\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{policy}\">\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1, viewport-fit=cover\">\n\
         <meta name=\"color-scheme\" content=\"light dark\">\n\
         <meta name=\"theme-color\" content=\"#f4f1e8\">\n\
         <script>{look}</script>\n<title>{title}</title>\n<link rel=\"icon\" href=\"{icon}\">\n\
         <style>{style}</style>\n</head>\n<body>{body}{NOTE}{inside}\
         <script>{SHIM}</script>\n<script>{words}</script>\n<script>{boot}</script>\n\
         <script type=\"module\">{module}</script>\n</body>\n</html>\n"
    ))
}

fn between<'a>(text: &'a str, start: &str, end: &str) -> Option<&'a str> {
    let (_, rest) = text.split_once(start)?;
    Some(rest.split_once(end)?.0)
}

fn address(dist: &Path, name: &str, kind: &str) -> Result<String> {
    let bytes = files::read(&dist.join(name))?;
    Ok(format!(
        "data:{kind};base64,{}",
        BASE64_STANDARD.encode(bytes)
    ))
}

/// The app's script and the loader of its later modules, which import each other, as one
/// module; and the start of the app.
fn module(app: &str, parts: &str, wasm: &str) -> Result<String> {
    const EXPORTS: &str = "export { initSync, __wbg_init as default };";
    ensure!(
        app.contains(EXPORTS),
        "the app's script does not end as expected"
    );
    // Without imports, and with the exported classes and constants as plain ones.
    let plain = |script: &str| -> String {
        let own = script.lines().filter(|line| !line.starts_with("import "));
        let own = own.map(|line| {
            let is_plain = ["export class ", "export const "];
            let is_plain = is_plain.iter().any(|start| line.starts_with(start));
            line.get("export ".len()..)
                .filter(|_| is_plain)
                .unwrap_or(line)
        });
        own.collect::<Vec<_>>().join("\n")
    };
    let app = plain(&app.replace(EXPORTS, ""));
    let names = parts.lines().filter_map(|line| {
        let rest = line.strip_prefix("export const ")?;
        rest.split_once(" = ").map(|(name, _)| name)
    });
    let names: Vec<&str> = names.collect();
    let parts = plain(parts);
    for script in [&app, &parts] {
        let is_left = |line: &str| line.starts_with("export ") || line.starts_with("import ");
        ensure!(
            !script.lines().any(is_left),
            "an import or export is left in the module"
        );
    }
    Ok(format!(
        "const {{ init, initSync, bind }} = (() => {{\nlet import1, import2, import3;\n{app}\n\
         return {{ init: __wbg_init, initSync, bind: (parts) => {{ \
         import1 = import2 = import3 = parts; }} }};\n}})();\n\
         bind((() => {{\n{parts}\nreturn {{ {} }};\n}})());\n\
         const wasm = await init({{ module_or_path: \"{wasm}\" }});\n\
         dispatchEvent(new CustomEvent(\"TrunkApplicationStarted\", {{ detail: {{ wasm }} }}));\n",
        names.join(", ")
    ))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn two_scripts_that_import_each_other_become_one() {
        let app = "import * as import1 from \"./parts-1.js\"\nexport class A {}\n\
                   function initSync() {}\nasync function __wbg_init() {}\n\
                   export { initSync, __wbg_init as default };\n";
        let parts =
            "import { initSync } from \"./lidoff-app-1.js\";\nexport const load = initSync;\n";
        let one = module(app, parts, "./a.wasm").expect("one module");
        assert!(
            !one.contains("export ") && !one.contains("import {"),
            "{one}"
        );
        assert!(
            one.contains("\nclass A {}") && one.contains("return { load };"),
            "{one}"
        );
        assert!(module("", parts, "./a.wasm").is_err());
        let other = app.replace("class A", "function a");
        assert!(
            module(&other, parts, "./a.wasm").is_err(),
            "an export is left"
        );
    }
}
