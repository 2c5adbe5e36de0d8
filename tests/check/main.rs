//! What the checks say of a catalog with one thing wrong.
#![cfg(not(target_arch = "wasm32"))]

mod good;

use lidoff::catalog::check::examine_text;

#[test]
fn the_good_catalog_has_nothing_wrong_with_it() {
    let checked = examine_text("tern-5.json", good::TEXT);
    let faults = checked.map(|checked| checked.warnings.to_string());
    assert_eq!(
        faults.map_err(|faults| faults.to_string()),
        Ok(String::new())
    );
}
