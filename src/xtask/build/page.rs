//! Puts the page together from Trunk's directives in it, as Trunk 0.21 does:
//! `cargo xtask trunk-parity` compares the two. Knows only the directives that this
//! page has, and stops at any other.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, bail, ensure};

use crate::{files, project};

/// Writes `dist/index.html` and every file that the page names, except the app's own:
/// those are called `name`.
pub fn assemble(page: &Path, dist: &Path, name: &str) -> Result<()> {
    let text = files::read_text(page)?;
    let folder = page.parent().context("a page without a folder")?;
    let html = expand(&text, folder, dist, name)
        .with_context(|| format!("cannot put {} together", page.display()))?;
    files::write(&dist.join("index.html"), html)
}

fn expand(text: &str, folder: &Path, dist: &Path, name: &str) -> Result<String> {
    let mut html = String::with_capacity(2 * text.len());
    let mut rest = text;
    while let Some((before, directive, after)) = next_directive(rest)? {
        html.push_str(before);
        html.push_str(&directive.replacement(folder, dist, name)?);
        rest = after;
    }
    html.push_str(rest);
    let preload = format!(
        "<link rel=\"modulepreload\" href=\"./{name}.js\" crossorigin=\"anonymous\">\
         <link rel=\"preload\" href=\"./{name}_bg.wasm\" crossorigin=\"anonymous\" \
         as=\"fetch\" type=\"application/wasm\"></head>"
    );
    ensure!(html.matches("</head>").count() == 1, "it has no </head>");
    Ok(html.replace("</head>", &preload))
}

/// An element that names a file for the build.
#[derive(Debug, PartialEq)]
struct Directive<'a> {
    /// In the order of their names.
    attributes: Vec<(&'a str, &'a str)>,
    is_script: bool,
}

/// The next directive, with the text before and after it.
fn next_directive(text: &str) -> Result<Option<(&str, Directive<'_>, &str)>> {
    let find = |tag: &str| {
        text.find(&format!("<{tag} data-trunk "))
            .map(|at| (at, tag == "script"))
    };
    let Some((at, is_script)) = [find("link"), find("script")].into_iter().flatten().min() else {
        return Ok(None);
    };
    let (before, element) = text.split_at(at);
    // This page has no `>` in an attribute.
    let (tag, mut after) = element.split_once('>').context("a tag is not closed")?;
    if is_script {
        after = after
            .strip_prefix("</script>")
            .with_context(|| format!("{tag}> must be empty"))?;
    }
    let (_, list) = tag.split_once(' ').context("a tag without attributes")?;
    let mut attributes = attributes(list).with_context(|| format!("{tag}> cannot be read"))?;
    attributes.sort_unstable();
    let directive = Directive {
        attributes,
        is_script,
    };
    Ok(Some((before, directive, after)))
}

/// Attributes as in `defer href="boot.css"`.
fn attributes(mut list: &str) -> Result<Vec<(&str, &str)>> {
    let mut found = Vec::new();
    loop {
        list = list.trim_start();
        if list.is_empty() {
            return Ok(found);
        }
        let end = list.find(['=', ' ', '\n']).unwrap_or(list.len());
        let (name, rest) = list.split_at(end);
        list = rest;
        let mut value = "";
        if let Some(quoted) = rest.strip_prefix('=') {
            let quoted = quoted.strip_prefix('"').context("a value without quotes")?;
            (value, list) = quoted.split_once('"').context("a quote is not closed")?;
        }
        found.push((name, value));
    }
}

impl Directive<'_> {
    fn get(&self, wanted: &str) -> Result<&str> {
        let mut all = self.attributes.iter();
        all.find(|(name, _)| *name == wanted)
            .map(|(_, value)| *value)
            .with_context(|| format!("an element with data-trunk lacks {wanted:?}"))
    }

    /// The attributes that stay on the element, as written.
    fn kept(&self) -> String {
        let mut text = String::new();
        for (name, value) in &self.attributes {
            if !name.starts_with("data-trunk") && !["href", "rel", "src"].contains(name) {
                text.push(' ');
                text.push_str(name);
                if !value.is_empty() {
                    text.push_str(&format!("=\"{value}\""));
                }
            }
        }
        text
    }

    /// Writes the files that the element names; returns what takes its place.
    fn replacement(&self, folder: &Path, dist: &Path, name: &str) -> Result<String> {
        if self.is_script {
            let file = copy_hashed(&folder.join(self.get("src")?), dist)?;
            return Ok(format!("<script src=\"./{file}\"{}></script>", self.kept()));
        }
        let source = folder.join(self.get("href")?);
        match self.get("rel")? {
            "inline" if self.get("type")? == "js" => {
                Ok(format!("<script>{}</script>", files::read_text(&source)?))
            }
            "css" => {
                let file = copy_hashed(&source, dist)?;
                Ok(format!(
                    "<link rel=\"stylesheet\" href=\"./{file}\"{}/>",
                    self.kept()
                ))
            }
            "rust" if self.get("data-bin")? == project::APP_BIN => Ok(format!(
                "\n<script type=\"module\">\n\
                 import init from './{name}.js';\n\
                 const wasm = await init({{ module_or_path: './{name}_bg.wasm' }});\n\n\n\n\
                 dispatchEvent(new CustomEvent(\"TrunkApplicationStarted\", {{detail: {{wasm}}}}));\n\n\
                 </script>"
            )),
            "copy-file" => {
                let file = source.file_name().context("an address without a file")?;
                files::write(&dist.join(file), files::read(&source)?)?;
                Ok(String::new())
            }
            "copy-dir" => {
                let name = source.file_name().context("an address without a folder")?;
                copy_folder(&source, &dist.join(name))?;
                Ok(String::new())
            }
            other => bail!("rel=\"{other}\" is not supported with these attributes"),
        }
    }
}

/// Copies a file under a name with its hash; returns that name.
fn copy_hashed(source: &Path, dist: &Path) -> Result<String> {
    let bytes = files::read(source)?;
    let name = source.file_name().and_then(|name| name.to_str());
    let (stem, ending) = name
        .and_then(|name| name.rsplit_once('.'))
        .with_context(|| format!("{} has no ending", source.display()))?;
    let name = format!("{stem}-{:x}.{ending}", seahash::hash(&bytes));
    files::write(&dist.join(&name), bytes)?;
    Ok(name)
}

/// Copies a folder with everything in it.
pub fn copy_folder(from: &Path, to: &Path) -> Result<()> {
    files::create_folder(to)?;
    let listing = || format!("cannot list {}", from.display());
    for entry in fs::read_dir(from).with_context(listing)? {
        let entry = entry.with_context(listing)?;
        let (from, to) = (entry.path(), to.join(entry.file_name()));
        if from.is_dir() {
            copy_folder(&from, &to)?;
        } else {
            files::write(&to, files::read(&from)?)?;
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use tempfile::TempDir;

    /// The page in a folder with the files that it may name.
    fn built(page: &str) -> Result<(String, TempDir)> {
        let place = TempDir::new().expect("a folder");
        let put = |name: &str, text: &str| {
            let path = place.path().join(name);
            fs::create_dir_all(path.parent().expect("a parent")).expect("a folder");
            fs::write(path, text).expect("a file");
        };
        put("public/a.js", "a()");
        put("public/a.css", "a{}");
        put("public/index.html", page);
        put("units/deep/one.json", "{}");
        let dist = place.path().join("dist");
        fs::create_dir(&dist).expect("a folder");
        assemble(&place.path().join("public/index.html"), &dist, "app-1f")?;
        Ok((
            fs::read_to_string(dist.join("index.html")).expect("a page"),
            place,
        ))
    }

    #[test]
    fn each_directive_becomes_what_trunk_makes_of_it() {
        let (html, place) = built(
            "<head>\n\
             <link data-trunk rel=\"inline\" href=\"a.js\" type=\"js\">\n\
             <link data-trunk rel=\"css\" href=\"a.css\" data-integrity=\"none\">\n\
             <script data-trunk src=\"a.js\" defer data-integrity=\"none\"></script>\n\
             <link data-trunk rel=\"copy-file\" href=\"a.css\">\n\
             <link data-trunk rel=\"copy-dir\" href=\"../units\">\n\
             </head>\n<script src=\"b.js\"></script>\n",
        )
        .expect("a page");
        let (css, js) = (seahash::hash(b"a{}"), seahash::hash(b"a()"));
        assert_eq!(
            html,
            format!(
                "<head>\n\
                 <script>a()</script>\n\
                 <link rel=\"stylesheet\" href=\"./a-{css:x}.css\" data-integrity=\"none\"/>\n\
                 <script src=\"./a-{js:x}.js\" data-integrity=\"none\" defer></script>\n\
                 \n\
                 \n\
                 <link rel=\"modulepreload\" href=\"./app-1f.js\" crossorigin=\"anonymous\">\
                 <link rel=\"preload\" href=\"./app-1f_bg.wasm\" crossorigin=\"anonymous\" \
                 as=\"fetch\" type=\"application/wasm\"></head>\n<script src=\"b.js\"></script>\n"
            )
        );
        let dist = place.path().join("dist");
        for file in [&format!("a-{css:x}.css"), "a.css", "units/deep/one.json"] {
            assert!(dist.join(file).is_file(), "{file}");
        }
    }

    #[test]
    fn what_is_not_supported_is_refused() {
        for (page, word) in [
            (
                "<head><link data-trunk rel=\"sass\" href=\"a.css\"></head>",
                "sass",
            ),
            ("<head><link data-trunk rel=\"css\"></head>", "href"),
            (
                "<head><link data-trunk rel=css href=\"a.css\"></head>",
                "quotes",
            ),
            (
                "<head><link data-trunk rel=\"css\" href=\"no.css\"></head>",
                "no.css",
            ),
            (
                "<head><script data-trunk src=\"a.js\">x</script></head>",
                "empty",
            ),
            ("<link data-trunk rel=\"css\" href=\"a.css\">", "</head>"),
        ] {
            let error = format!("{:#}", built(page).expect_err(page));
            assert!(error.contains(word), "{error}");
        }
    }
}
