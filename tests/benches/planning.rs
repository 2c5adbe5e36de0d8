//! `cargo bench --bench planning`: how long a plan takes on this machine.

use lidoff_testkit::{demo, planning_times};

fn main() {
    let start = std::time::Instant::now();
    for unit in 0..demo::CATALOGS.len() {
        let now_ms = || start.elapsed().as_secs_f64() * 1000.0;
        print!("{}", planning_times::run(unit, now_ms));
    }
}
