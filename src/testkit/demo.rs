//! The demo units.

use lidoff_catalog::model::Catalog;

/// File name and text of each demo catalog.
pub const CATALOGS: [(&str, &str); 2] = [
    (
        "perch-22.json",
        include_str!("../../catalogs/perch-22.json"),
    ),
    (
        "sorrel-14.json",
        include_str!("../../catalogs/sorrel-14.json"),
    ),
];

/// The lending kiosk.
pub fn perch() -> Catalog {
    checked(0)
}

/// The laptop.
pub fn sorrel() -> Catalog {
    checked(1)
}

fn checked(unit: usize) -> Catalog {
    let (name, text) = CATALOGS[unit];
    lidoff_catalog::read(name, text).unwrap_or_else(|faults| panic!("{name}: {faults:#?}"))
}
