//! `cargo bench`: how long a plan takes on this machine.

#[cfg(not(target_arch = "wasm32"))]
mod planning;

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    let start = std::time::Instant::now();
    for unit in 0..planning::UNITS.len() {
        let report = planning::run(unit, || start.elapsed().as_secs_f64() * 1000.0);
        print!("{report}");
    }
}

#[cfg(target_arch = "wasm32")]
fn main() {}
