//! Every case, one after another.

use std::process::Command;

use crate::case::ScaleResult;

pub const SIZES: [usize; 6] = [50, 100, 200, 500, 1000, 2000];
pub const TASKS: [usize; 3] = [1, 3, 10];

/// Runs every case and prints each result at once.
pub fn measure() -> Vec<ScaleResult> {
    println!("parts  tasks  time, ms    states  memory, MiB  operations  gap");
    let mut results = Vec::new();
    for parts in SIZES {
        for tasks in TASKS {
            let result = apart(parts, tasks);
            println!("{}", row(&result));
            results.push(result);
        }
    }
    results
}

fn row(result: &ScaleResult) -> String {
    let gap = match result.gap {
        Some(gap) if gap > 0.0 => format!("{gap:.1} %"),
        Some(_) => "proven".to_owned(),
        None => "no plan within the limit".to_owned(),
    };
    format!(
        "{:5}  {:5}  {:8.1}  {:8}  {:11.0}  {:10}  {gap}",
        result.parts, result.tasks, result.ms, result.states, result.mib, result.ops
    )
}

fn apart(parts: usize, tasks: usize) -> ScaleResult {
    let me = std::env::current_exe().expect("a program knows where it lies");
    let child = Command::new(me)
        .args(["case", &parts.to_string(), &tasks.to_string()])
        .output()
        .expect("a program can be run again");
    let told = String::from_utf8_lossy(&child.stdout);
    ScaleResult::read(&told).unwrap_or_else(|| {
        panic!(
            "{parts} parts, {tasks} tasks: {}",
            String::from_utf8_lossy(&child.stderr)
        )
    })
}
