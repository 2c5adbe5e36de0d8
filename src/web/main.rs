//! The browser's entry point.

#[cfg(target_arch = "wasm32")]
fn main() {
    lidoff_web::start();
}

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    println!("This is the browser app. `make serve` builds and opens it.");
}
