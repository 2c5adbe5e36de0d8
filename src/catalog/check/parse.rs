//! Parsing: where the text is not a valid catalog, and what the author may have meant.

use serde_json::error::Category;

use super::fault::{FaultKind, Report, Spot};
use super::pieces;
use super::spelling::{did_you_mean, nearest};
use crate::format::CatalogFile;
use lidoff_i18n::{find_translation, localize, tr, tr_noop};
use lidoff_limits::CATALOG;

/// Parses a text; errors go into the report.
pub(super) async fn parse(
    json: &str,
    report: &mut Report,
    rest: &mut impl AsyncFnMut(),
) -> Option<CatalogFile> {
    // Some editors begin a file with a byte order mark; RFC 8259, section 8.1,
    // lets a reader pass over it.
    let json = json.strip_prefix('\u{feff}').unwrap_or(json);
    if let Err(why) = CATALOG.check(json) {
        let problem = tr!("This catalog is too large to read: {why}.", why);
        let fix = tr!("Split the catalog.");
        report.add_unreadable(FaultKind::TooLarge, None, String::new(), problem, fix);
        return None;
    }
    // What cannot be read in pieces is read as a whole, which can tell where it is wrong.
    if let Some(file) = pieces::read(json, rest).await {
        return Some(file);
    }
    let (path, error) = match parsed(json) {
        Ok(file) => return Some(file),
        Err(fault) => fault,
    };
    let spot = Spot {
        line: error.line(),
        column: error.column(),
    };
    let message = error.to_string();
    let what = message.split(" at line ").next().unwrap_or(&message);
    let why = in_words(what);
    let what_is_wrong = tr!("This is not valid catalog JSON: {why}.", why);
    let fix = fix(error.classify(), what);
    report.add_unreadable(FaultKind::Unreadable, Some(spot), path, what_is_wrong, fix);
    None
}

/// The file, or the path at which parsing failed and the reason.
#[cfg(not(target_arch = "wasm32"))]
fn parsed(json: &str) -> Result<CatalogFile, (String, serde_json::Error)> {
    let mut text = serde_json::Deserializer::from_str(json);
    let file = serde_path_to_error::deserialize(&mut text).map_err(|error| {
        let path = error.path().to_string();
        // "." is the file as a whole, "?" a place that is not known.
        let path = if matches!(&*path, "." | "?") {
            String::new()
        } else {
            path
        };
        (path, error.into_inner())
    })?;
    text.end().map_err(|error| (String::new(), error))?;
    Ok(file)
}

/// The same, with line and column only: tracking the path needs a second copy of the
/// parser, which makes the download too large.
#[cfg(target_arch = "wasm32")]
fn parsed(json: &str) -> Result<CatalogFile, (String, serde_json::Error)> {
    crate::json::read(json).map_err(|error| (String::new(), error))
}

fn fix(category: Category, what: &str) -> String {
    match category {
        Category::Data => match meant(what) {
            Some(word) => did_you_mean(word),
            None => tr!("Compare it with the schema that `lidoff schema` prints."),
        },
        Category::Eof => {
            tr!("The file ends too early. Look for an unclosed bracket.")
        }
        Category::Syntax | Category::Io => {
            tr!("Look just before this position for a missing comma, quote or bracket.")
        }
    }
}

/// From "unknown field `a`, expected one of `b`, `c`": the name nearest to `a`.
fn meant(what: &str) -> Option<&str> {
    if !what.starts_with("unknown ") {
        return None;
    }
    let mut words = what.split('`').skip(1).step_by(2);
    let written = words.next()?;
    nearest(written, words)
}

/// The message of the JSON parser, translated as far as possible: the whole text, or its
/// beginning and the text around the names. The rest stays in English.
fn in_words(what: &str) -> String {
    if let Some(translated) = find_translation(what) {
        return translated.to_owned();
    }
    let names = what.find(['`', ':']).unwrap_or(0);
    let (sort, names) = what.split_at(names);
    let space = if sort.ends_with(' ') { " " } else { "" };
    let names = names
        .replace(", expected one of ", &tr!(", expected one of "))
        .replace(", expected ", &tr!(", expected "));
    format!("{}{space}{names}", localize(sort.trim_end()))
}

/// The messages of `serde_json::Error` and serde's `de::Error`, listed for translators. The
/// constant has no name, so it is not in the app.
const _: [&str; 21] = [
    tr_noop!("EOF while parsing a list"),
    tr_noop!("EOF while parsing a string"),
    tr_noop!("EOF while parsing a value"),
    tr_noop!("EOF while parsing an object"),
    tr_noop!("control character (\\u0000-\\u001F) found while parsing a string"),
    tr_noop!("duplicate field"),
    tr_noop!("expected `,` or `]`"),
    tr_noop!("expected `,` or `}`"),
    tr_noop!("expected `:`"),
    tr_noop!("expected value"),
    tr_noop!("invalid escape"),
    tr_noop!("invalid number"),
    tr_noop!("invalid type"),
    tr_noop!("invalid value"),
    tr_noop!("key must be a string"),
    tr_noop!("missing field"),
    tr_noop!("number out of range"),
    tr_noop!("trailing characters"),
    tr_noop!("trailing comma"),
    tr_noop!("unknown field"),
    tr_noop!("unknown variant"),
];
