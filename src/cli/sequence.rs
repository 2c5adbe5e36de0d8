//! `lidoff order`: the sequencing engine by itself, on a TSPLIB95 file.

use std::error::Error;
use std::path::PathBuf;
use std::time::{Duration, Instant};

use lidoff_limits::ORDERING;
use lidoff_sequencing::{DEFAULT_MEMORY, Solution, Sop, solve};

use crate::input::{read_text, unreadable};
use crate::print::print;

/// What to order, and for how long.
#[derive(clap::Args)]
pub struct Args {
    /// Problem file (TSPLIB95, TYPE: SOP, full matrix)
    file: PathBuf,
    /// Stop after this many seconds with the best order and bound so far
    #[arg(long, value_name = "S", default_value = "60", value_parser = seconds)]
    seconds: Duration,
    /// Memory for tables and layers, MiB
    #[arg(long, value_name = "MIB", default_value_t = DEFAULT_MEMORY >> 20)]
    memory: usize,
    /// Print as JSON
    #[arg(long)]
    json: bool,
}

fn seconds(text: &str) -> Result<Duration, String> {
    let seconds: f64 = text
        .parse()
        .map_err(|_| "give a number of seconds, such as 60")?;
    Duration::try_from_secs_f64(seconds).map_err(|_| "give 0 seconds or more".into())
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

/// Solves the problem and prints the best order found.
///
/// # Errors
/// If the file cannot be read or is not a sequential ordering problem.
pub fn run(args: &Args) -> Result<(), Box<dyn Error>> {
    let file = args.file.display();
    let text = read_text(&args.file, ORDERING).map_err(|error| unreadable(&args.file, &error))?;
    let sop = Sop::parse(&text).map_err(|error| format!("{file}: {error}"))?;
    let start = Instant::now();
    let memory = args.memory.saturating_mul(1 << 20);
    let ordered = solve(&sop, memory, &mut || start.elapsed() < args.seconds);
    let printed = printed(&ordered, start.elapsed());
    if args.json {
        print(serde_json::to_string_pretty(&printed)? + "\n");
    } else {
        print(describe(&printed));
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

fn describe(printed: &Printed) -> String {
    let proof = match printed.proven {
        true => "yes, no cheaper order exists".to_owned(),
        false => {
            let over = (printed.cost - printed.bound) as f64 / printed.bound.max(1) as f64;
            format!("no, within {:.1} % of the lower bound", 100.0 * over)
        }
    };
    let order: Vec<String> = printed.order.iter().map(usize::to_string).collect();
    format!(
        "cost    {}\nbound   {}\nproven  {proof}\norder   {}\nnodes   {}\nstates  {}\ntime    {:.3} s\n",
        printed.cost,
        printed.bound,
        order.join(" "),
        printed.nodes,
        printed.states,
        printed.seconds
    )
}
