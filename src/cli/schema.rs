//! `lidoff schema`: the JSON Schema of the catalog file, on standard output.

use std::io::{self, Write};
use std::process::ExitCode;

use lidoff_catalog::schema::schema_json;

/// Prints the schema.
pub fn run() -> ExitCode {
    match io::stdout().write_all(schema_json().as_bytes()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(error) => {
            eprintln!("lidoff: the schema cannot be written: {error}. Check the disk space.");
            ExitCode::FAILURE
        }
    }
}
