//! The only way from a catalog file to a catalog, with all checks on the way.
//!
//! All faults are reported at once, in two rounds: first the ids and everything that
//! can be checked locally; then, once every id resolves, whatever depends on several
//! entries. [`check()`] returns a [`Catalog`] only if neither round found an
//! error; a catalog with warnings can be used.

mod balance;
mod conditions;
mod configurations;
mod draft;
mod drawings;
mod entry_kind;
mod faces;
mod failures;
mod fasteners;
mod fastenings;
mod fault;
mod figures;
mod hazards;
mod ids;
mod kit;
mod limits;
mod lower;
mod parse;
mod parts;
mod path;
mod people;
mod pieces;
mod precedence;
mod questions;
mod reach;
mod records;
mod services;
mod spares;
mod spelling;
mod substitutes;
mod texts;
mod times;
mod unused;

pub use fault::{Fault, FaultKind, Faults, Severity, Spot};

use super::format::CatalogFile;
use super::model::Catalog;
use crate::block_on;
use configurations::Variables;
use fault::{FaultKind as Kind, Report};
use lidoff_i18n::tr;
use path::Path;

/// Checks a file that is named after its unit; [`read`] takes another name.
///
/// # Errors
/// When anything keeps the catalog from being used; the faults then hold the
/// warnings, too.
///
/// ```
/// use lidoff_catalog::check::{FaultKind, check};
/// use lidoff_catalog::format::CatalogFile;
///
/// let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/check/good.json"));
/// let mut file: CatalogFile = serde_json::from_str(text).unwrap();
/// assert!(check(file.clone()).is_ok());
///
/// file.parts[0].fastenings[0].count = 0;
/// let faults = check(file).unwrap_err();
/// let fault = faults.errors().find(|fault| fault.kind == FaultKind::BadNumber).unwrap();
/// assert_eq!(fault.path, "parts[0].fastenings[0].count");
/// assert_eq!(fault.problem, "The count must be at least 1.");
/// ```
pub fn check(file: CatalogFile) -> Result<Catalog, Faults> {
    let mut report = Report::new(&format!("{}.json", file.unit.id));
    let catalog = block_on(examine(&file, &mut report, &mut async || {}));
    finish(catalog, report).map(|checked| checked.catalog)
}

/// Reads and checks a text. `name` is the file's name, which each fault repeats.
///
/// # Errors
/// As [`check`], and when the text is not JSON of this format: the fault then
/// says the line, the column and the path where it stops being so.
///
/// ```
/// use lidoff_catalog::read;
///
/// let text = include_str!(concat!(env!("CARGO_MANIFEST_DIR"), "/tests/check/good.json"));
/// let catalog = read("tern-5.json", text).unwrap();
/// assert!(catalog.find_part("lid").is_some());
///
/// let faults = read("tern-5.json", "{").unwrap_err();
/// assert!(faults.to_string().starts_with("error: tern-5.json:1:1: This is not valid"));
/// ```
pub fn read(name: &str, json: &str) -> Result<Catalog, Faults> {
    examine_text(name, json).map(|checked| checked.catalog)
}

/// A usable catalog, with its warnings.
#[derive(Clone, Debug, PartialEq)]
pub struct Checked {
    pub catalog: Catalog,
    /// Warnings only.
    pub warnings: Faults,
}

/// Reads and checks a text, as [`read`] does, and keeps the warnings.
///
/// # Errors
/// As [`read`].
pub fn examine_text(name: &str, json: &str) -> Result<Checked, Faults> {
    block_on(examine_async(name, json, async || {}))
}

/// As [`examine_text`], with a `rest` now and then: on a phone it all takes a while.
///
/// # Errors
/// As [`read`].
pub async fn examine_async(
    name: &str,
    json: &str,
    mut rest: impl AsyncFnMut(),
) -> Result<Checked, Faults> {
    let mut report = Report::new(name);
    let Some(file) = parse::parse(json, &mut report, &mut rest).await else {
        return Err(report.into_faults());
    };
    rest().await;
    if ids::too_long(&file, &mut report) {
        return Err(report.into_faults());
    }
    named_after_unit(name, &file, &mut report);
    let catalog = examine(&file, &mut report, &mut rest).await;
    finish(catalog, report)
}

fn finish(catalog: Catalog, report: Report) -> Result<Checked, Faults> {
    let faults = report.into_faults();
    if faults.has_errors() {
        return Err(faults);
    }
    Ok(Checked {
        catalog,
        warnings: faults,
    })
}

/// The app finds a unit's catalog by the name of the file.
fn named_after_unit(name: &str, file: &CatalogFile, report: &mut Report) {
    let base = name.rsplit(['/', '\\']).next().unwrap_or(name);
    if base.ends_with(".json") && base != format!("{}.json", file.unit.id) {
        report.add(
            Kind::MisnamedFile,
            &Path::root().field("unit").field("id"),
            tr!(
                "The unit is called “{}”, but its file is called “{base}”.",
                file.unit.id,
                base
            ),
            tr!("Rename the file to “{}.json”.", file.unit.id),
        );
    }
}

async fn examine(file: &CatalogFile, report: &mut Report, rest: &mut impl AsyncFnMut()) -> Catalog {
    let draft = lower::lower(file.clone(), report, rest).await;
    let ids_are_sound = report.ids_are_sound();
    rest().await;
    texts::check(&draft, report);
    rest().await;
    // The other checks take long for entries by the thousand, and could list nothing.
    if report.is_full() {
        return draft.catalog;
    }
    figures::check(&draft, report);
    times::check(&draft, report);
    records::check(&draft, report);
    failures::check(&draft, report);
    fasteners::check(&draft, report);
    substitutes::check(&draft, report);
    spares::check(&draft, report);
    kit::check(&draft, report);
    people::check(&draft, report);
    limits::check(&draft, report);
    faces::check(&draft, report);
    fastenings::check(&draft, report);
    rest().await;
    conditions::groups(&draft, report);
    questions::check(&draft, report);
    parts::check(&draft, report);
    hazards::check(&draft, report);
    if !ids_are_sound {
        return draft.catalog;
    }
    rest().await;
    let variables = Variables::from_catalog(&draft.catalog);
    conditions::check(&draft, &variables, report);
    questions::asked(&draft, report);
    times::waits(&draft, report);
    rest().await;
    fastenings::placed(&draft, &variables, report);
    rest().await;
    balance::check(&draft, &variables, report);
    rest().await;
    parts::related(&draft, report);
    reach::check(&draft, &variables, report, rest).await;
    rest().await;
    services::check(&draft, report);
    drawings::check(&draft, report);
    unused::check(&draft, report);
    draft.catalog
}
