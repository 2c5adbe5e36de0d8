//! `lidoff`: the planner, the checker and the desk on a command line.

fn main() {}
