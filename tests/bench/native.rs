//! `cargo bench`: how long a plan takes on this machine.

#[cfg(not(target_arch = "wasm32"))]
mod planning;

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    let start = std::time::Instant::now();
    print!(
        "{}",
        planning::run(|| start.elapsed().as_secs_f64() * 1000.0)
    );
}

#[cfg(target_arch = "wasm32")]
fn main() {}
