//! `ordering_peers ddo|rpid SECONDS FILE…` prints, for each sequential ordering
//! problem, a line of tab-separated name, cost, bound, proven and seconds, one
//! thread each. Simple models of our own: what is done, what came last, and as the
//! bound the cheapest way into each node that is left.

mod diagram;
mod problem;
mod search;

use std::time::Instant;

use problem::Problem;

/// What a peer came to.
pub struct Found {
    pub cost: Option<i64>,
    pub bound: Option<i64>,
    pub proven: bool,
}

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let mut args = std::env::args().skip(1);
    let (Some(peer), Some(seconds)) = (args.next(), args.next()) else {
        return Err("ordering_peers ddo|rpid SECONDS FILE…".into());
    };
    let seconds: u64 = seconds.parse()?;
    for file in args {
        let problem = Problem::parse(&std::fs::read_to_string(&file)?)?;
        let start = Instant::now();
        let found = match peer.as_str() {
            "ddo" => diagram::solve(problem, seconds),
            "rpid" => search::solve(problem, seconds),
            _ => return Err(format!("there is no peer {peer}").into()),
        };
        let name = std::path::Path::new(&file).file_stem();
        let name = name.map(|name| name.to_string_lossy()).unwrap_or_default();
        let number = |it: Option<i64>| it.map_or("-".to_owned(), |it| it.to_string());
        println!(
            "{name}\t{}\t{}\t{}\t{:.2}",
            number(found.cost),
            number(found.bound),
            if found.proven { "yes" } else { "no" },
            start.elapsed().as_secs_f64()
        );
    }
    Ok(())
}
