//! `lidoff`: the planner, the checker and the desk on a command line.

mod check;
mod cli;
mod compare;
mod marginal_cost;
mod order;
mod plan;
mod say;
mod schema;
mod times;

fn main() -> std::process::ExitCode {
    cli::run()
}
