//! `lidoff schema`: the JSON Schema of the catalog file, on standard output.

use lidoff_catalog::schema::schema_json;

use crate::print::print;

/// Prints the schema.
pub fn run() {
    print(schema_json());
}
