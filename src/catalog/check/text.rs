//! From text to file: where the text stops being a catalog, and what may have
//! been meant there.

use serde_json::error::Category;

use super::fault::{Report, Spot};
use super::spelling::nearest;
use crate::catalog::format::CatalogFile;

/// Reads a text; what keeps it from being read goes into the report.
pub(super) fn parse(json: &str, report: &mut Report) -> Option<CatalogFile> {
    // Some editors begin a file with a byte order mark; RFC 8259, section 8.1,
    // lets a reader pass over it.
    let json = json.strip_prefix('\u{feff}').unwrap_or(json);
    let (path, error) = match parsed(json) {
        Ok(file) => return Some(file),
        Err(fault) => fault,
    };
    let spot = Spot {
        line: error.line(),
        column: error.column(),
    };
    let said = error.to_string();
    let what = said.split(" at line ").next().unwrap_or(&said);
    report.say_unreadable(spot, path, sentence(what), mend(error.classify(), what));
    None
}

/// The file, or the path at which it stops being one, and why.
#[cfg(not(target_arch = "wasm32"))]
fn parsed(json: &str) -> Result<CatalogFile, (String, serde_json::Error)> {
    let mut text = serde_json::Deserializer::from_str(json);
    let file = serde_path_to_error::deserialize(&mut text).map_err(|error| {
        let path = error.path().to_string();
        let path = if path == "." { String::new() } else { path };
        (path, error.into_inner())
    })?;
    text.end().map_err(|error| (String::new(), error))?;
    Ok(file)
}

/// The same, with line and column alone: keeping track of the path is a second
/// copy of the reader, and over the air that costs too much.
#[cfg(target_arch = "wasm32")]
fn parsed(json: &str) -> Result<CatalogFile, (String, serde_json::Error)> {
    serde_json::from_str(json).map_err(|error| (String::new(), error))
}

fn mend(category: Category, what: &str) -> String {
    match category {
        Category::Data => match meant(what) {
            Some(word) => format!("Did you mean “{word}”?"),
            None => "Compare with the schema: `lidoff schema` prints it.".to_owned(),
        },
        Category::Eof => {
            "The text ends too soon: look for a bracket that is not closed.".to_owned()
        }
        Category::Syntax | Category::Io => {
            "Look just before this place for a missing comma, quote or bracket.".to_owned()
        }
    }
}

/// Out of "unknown field `a`, expected one of `b`, `c`": the one that `a` is
/// nearest to.
fn meant(what: &str) -> Option<&str> {
    if !what.starts_with("unknown ") {
        return None;
    }
    let mut words = what.split('`').skip(1).step_by(2);
    let written = words.next()?;
    nearest(written, words)
}

fn sentence(what: &str) -> String {
    let mut letters = what.chars();
    let first = letters.next().map(char::to_uppercase);
    let first = first.into_iter().flatten();
    let mut sentence: String = first.chain(letters).collect();
    sentence.push('.');
    sentence
}
