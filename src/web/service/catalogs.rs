//! The catalogs: those shipped with the app, and those that an author added from a
//! file.
//!
//! A broken catalog is reported and does not hide the others.

use std::fmt;

use serde::Deserialize;

use lidoff_i18n::tr;

use super::fetch::{ask, text_of};
use super::journal::{CATALOGS, Journal, JournalError};
use super::scheduler::Turns;
use lidoff_catalog::check::{Checked, Faults, examine_async};
use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;

const FOLDER: &str = "catalogs/";
const INDEX: &str = "index.json";
const FORMAT: &str = "lidoff-catalog-index/1";

/// A catalog that can be used.
#[derive(Clone, Debug)]
pub struct Loaded {
    /// The catalog.
    pub catalog: Catalog,
    /// Warnings about it.
    pub warnings: Faults,
    /// Name of its file.
    pub file: String,
    /// Where it is from.
    pub origin: Origin,
}

/// Where a catalog is from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Origin {
    /// Shipped with the app.
    Served,
    /// Added from a file; it replaces a shipped catalog of the same unit.
    Added,
}

/// Why a catalog cannot be used.
#[derive(Clone, Debug)]
pub struct CatalogTrouble {
    /// Name of its file.
    pub name: String,
    /// Where it is from.
    pub origin: Origin,
    /// What is wrong.
    pub what: Trouble,
}

/// What is wrong with a catalog.
#[derive(Clone, Debug)]
pub enum Trouble {
    /// It could not be fetched.
    Unreachable(Text),
    /// It is faulty.
    Faulty(Faults),
}

impl fmt::Display for CatalogTrouble {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match &self.what {
            Trouble::Unreachable(why) => f.write_str(&tr!(
                "{} could not be loaded ({why}). Reload when you are online.",
                self.name,
                why
            )),
            Trouble::Faulty(faults) => faults.fmt(f),
        }
    }
}

impl std::error::Error for CatalogTrouble {}

/// Why a catalog was not added.
#[derive(Clone, Debug)]
pub enum AddError {
    /// It is faulty.
    Faulty(Faults),
    /// It could not be stored.
    NotStored(JournalError),
}

impl fmt::Display for AddError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Faulty(faults) => faults.fmt(f),
            Self::NotStored(why) => why.fmt(f),
        }
    }
}

impl std::error::Error for AddError {}

#[derive(Deserialize)]
struct Index {
    format: String,
    catalogs: Vec<Entry>,
}

#[derive(Deserialize)]
struct Entry {
    file: String,
}

/// All catalogs: first those shipped with the app, then the added ones, each in file order.
pub async fn load(journal: &Journal) -> Vec<Result<Loaded, CatalogTrouble>> {
    let mut all = served().await;
    match texts(journal).await {
        Ok(texts) => {
            for (file, text) in texts {
                let added = examine(file, &text, Origin::Added).await;
                if let Ok(added) = &added {
                    let unit = &added.catalog.unit().id;
                    all.retain(|it| !it.as_ref().is_ok_and(|it| it.catalog.unit().id == *unit));
                }
                all.push(added);
            }
        }
        Err(error) => all.push(Err(CatalogTrouble {
            name: tr!("The catalogs that you added"),
            origin: Origin::Added,
            what: Trouble::Unreachable(error.to_string()),
        })),
    }
    all
}

/// Stores a catalog from a file, replacing an earlier one with the same file name.
///
/// # Errors
/// When it is faulty, or cannot be kept.
pub async fn add(journal: &Journal, file: &str, text: &str) -> Result<Loaded, AddError> {
    let added = examine(file.to_owned(), text, Origin::Added)
        .await
        .map_err(|trouble| match trouble.what {
            Trouble::Faulty(faults) => AddError::Faulty(faults),
            Trouble::Unreachable(why) => AddError::NotStored(JournalError::Other(why)),
        })?;
    let stored = journal.put_text(CATALOGS, file, text).await;
    stored.map_err(AddError::NotStored)?;
    Ok(added)
}

/// Every catalog that was added: name of its file, and its text.
///
/// # Errors
/// When they cannot be read.
pub async fn texts(journal: &Journal) -> Result<Vec<(String, String)>, JournalError> {
    journal.texts(CATALOGS).await
}

/// Removes a catalog that was added.
///
/// # Errors
/// When it is still there.
pub async fn remove(journal: &Journal, file: &str) -> Result<(), JournalError> {
    journal.remove_text(CATALOGS, file).await
}

async fn served() -> Vec<Result<Loaded, CatalogTrouble>> {
    let unreachable = |name: &str, why: String| CatalogTrouble {
        name: name.to_owned(),
        origin: Origin::Served,
        what: Trouble::Unreachable(why),
    };
    let index = match text_of(ask(&address(INDEX))).await {
        Ok(text) => lidoff_catalog::json::read::<Index>(&text).map_err(|error| error.to_string()),
        Err(error) => Err(error.to_string()),
    };
    let index = match index {
        Ok(index) if index.format == FORMAT => index,
        Ok(index) => {
            let why = tr!(
                "it is a “{}” file, not “{wanted}”",
                index.format,
                wanted = FORMAT
            );
            return vec![Err(unreachable("catalogs/index.json", why))];
        }
        Err(why) => return vec![Err(unreachable("catalogs/index.json", why))],
    };
    // Start all requests before awaiting the first.
    let files = index.catalogs.into_iter().map(|entry| {
        let text = ask(&address(&entry.file));
        (entry.file, text)
    });
    let mut all = Vec::new();
    for (file, text) in files.collect::<Vec<_>>() {
        all.push(match text_of(text).await {
            Ok(text) => examine(file, &text, Origin::Served).await,
            Err(error) => Err(unreachable(&file, error.to_string())),
        });
    }
    all
}

async fn examine(file: String, text: &str, origin: Origin) -> Result<Loaded, CatalogTrouble> {
    // This takes a while on a phone. Without a turn, the page is only less smooth.
    let mut turns = Turns::begin();
    let turn = async || turns.turn().await;
    match examine_async(&file, text, turn).await {
        Ok(Checked { catalog, warnings }) => Ok(Loaded {
            catalog,
            warnings,
            file,
            origin,
        }),
        Err(faults) => Err(CatalogTrouble {
            name: file,
            origin,
            what: Trouble::Faulty(faults),
        }),
    }
}

fn address(file: &str) -> String {
    format!("{FOLDER}{file}")
}
