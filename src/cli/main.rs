//! `lidoff`: the planner, the checker and the desk on a command line.

mod audit;
mod check;
mod cli;
mod compare;
mod input;
mod marginal_cost;
mod plan;
mod print;
mod schema;
mod sequence;
mod times;

fn main() -> std::process::ExitCode {
    cli::run()
}
