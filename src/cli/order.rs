//! `lidoff order`: the ordering engine by itself, on a file of the TSPLIB95 format.

use std::error::Error;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use lidoff_sequencing::{DEFAULT_MEMORY, Solution, Sop, solve};

use crate::say::say;

/// What to order, and for how long.
#[derive(clap::Args)]
pub struct Args {
    /// A sequential ordering problem: TSPLIB95, TYPE SOP, a full matrix
    file: PathBuf,
    /// Stop after so many seconds with the best order and bound so far
    #[arg(long, value_name = "S", default_value = "60", value_parser = seconds)]
    seconds: Duration,
    /// Memory for tables and layers, in MiB
    #[arg(long, value_name = "MIB", default_value_t = DEFAULT_MEMORY >> 20)]
    memory: usize,
    /// Print as JSON
    #[arg(long)]
    json: bool,
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text.parse().map_err(|_| "write a number of seconds")?;
    Duration::try_from_secs_f64(seconds).map_err(|_| "write a number of seconds from 0".into())
}

/// What is printed as JSON. Nodes are numbered from 1, as in the file.
#[derive(serde::Serialize)]
struct Printed {
    cost: u64,
    bound: u64,
    proven: bool,
    order: Vec<usize>,
    nodes: usize,
    states: u64,
    seconds: f64,
}

/// Orders, and prints what was found.
///
/// # Errors
/// When the file cannot be read or is no such problem.
pub fn run(args: &Args) -> Result<(), Box<dyn Error>> {
    let file = args.file.display();
    let text = std::fs::read_to_string(&args.file).map_err(|error| format!("{file}: {error}"))?;
    let sop = Sop::parse(&text).map_err(|error| format!("{file}: {error}"))?;
    let start = Instant::now();
    let memory = args.memory.saturating_mul(1 << 20);
    let ordered = solve(&sop, memory, &mut || start.elapsed() < args.seconds);
    let printed = printed(&ordered, start.elapsed());
    if args.json {
        say(serde_json::to_string_pretty(&printed)? + "\n");
    } else {
        say(words(&printed));
    }
    Ok(())
}

fn printed(ordered: &Solution, took: Duration) -> Printed {
    Printed {
        cost: ordered.cost,
        bound: ordered.bound,
        proven: ordered.is_proven(),
        order: ordered.order.iter().map(|node| node + 1).collect(),
        nodes: ordered.order.len(),
        states: ordered.states,
        seconds: took.as_secs_f64(),
    }
}

fn words(it: &Printed) -> String {
    let proof = match it.proven {
        true => "yes, there is no cheaper order".to_owned(),
        false => {
            let over = (it.cost - it.bound) as f64 / it.bound.max(1) as f64;
            format!("no, within {:.1} % of the best possible", 100.0 * over)
        }
    };
    let order: Vec<String> = it.order.iter().map(usize::to_string).collect();
    format!(
        "cost    {}\nbound   {}\nproven  {proof}\norder   {}\nnodes   {}\nstates  {}\ntime    {:.3} s\n",
        it.cost,
        it.bound,
        order.join(" "),
        it.nodes,
        it.states,
        it.seconds
    )
}
