//! `lidoff`: the planner, the checker and the desk on a command line.
//!
//! One file a subcommand; each gives its exit code. In a browser there is no
//! command line, and this is empty.

#[cfg(not(target_arch = "wasm32"))]
mod check;
#[cfg(not(target_arch = "wasm32"))]
mod schema;

/// Plan, check and compare the opening of sealed units.
#[cfg(not(target_arch = "wasm32"))]
#[derive(clap::Parser)]
#[command(name = "lidoff", version)]
enum Command {
    /// Say what is wrong with catalogs, where, and how to mend it.
    Check(check::Check),
    /// Print the JSON Schema of the catalog file.
    Schema,
}

#[cfg(not(target_arch = "wasm32"))]
fn main() -> std::process::ExitCode {
    match <Command as clap::Parser>::parse() {
        Command::Check(check) => check::run(&check),
        Command::Schema => schema::run(),
    }
}

#[cfg(target_arch = "wasm32")]
fn main() {}
