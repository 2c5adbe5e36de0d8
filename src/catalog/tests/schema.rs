//! The committed schema, and what it lets through.
#![cfg(not(target_arch = "wasm32"))]

use lidoff_catalog::schema::schema_json;
use serde_json::Value;

const COMMITTED: &str = include_str!("../../../catalogs/schema/lidoff-catalog-2.schema.json");

#[test]
fn the_committed_schema_is_in_step_with_the_format() {
    assert!(
        COMMITTED == schema_json(),
        "The format has changed. Regenerate its schema:\n    \
         cargo run -q --bin lidoff -- schema > catalogs/schema/lidoff-catalog-2.schema.json"
    );
}

#[test]
fn the_schema_names_its_draft_for_editors() {
    let schema: Value = serde_json::from_str(COMMITTED).expect("JSON");
    assert_eq!(
        schema["$schema"],
        "https://json-schema.org/draft/2020-12/schema"
    );
    assert_eq!(schema["title"], "Lidoff unit catalog");
    assert_eq!(schema["additionalProperties"], false);
}
