//! The unit catalogs in use.

use std::sync::Arc;

use lidoff_catalog::format::Text;
use lidoff_catalog::model::Catalog;

/// The unit catalogs.
#[derive(Clone, Default)]
pub struct CatalogLibrary {
    /// Usable catalogs.
    pub units: Vec<Arc<Catalog>>,
    /// Rejected catalogs with the reasons.
    pub troubles: Vec<RejectedCatalog>,
}

/// A catalog that cannot be used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct RejectedCatalog {
    /// Name of its file.
    pub name: Text,
    /// What is wrong with it.
    pub lines: Vec<Text>,
}

impl CatalogLibrary {
    /// The catalog of this unit.
    pub fn find(&self, unit: &str) -> Option<Arc<Catalog>> {
        self.units
            .iter()
            .find(|catalog| catalog.unit().id == unit)
            .cloned()
    }
}
