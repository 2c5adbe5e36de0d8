//! The browser's entry point.

fn main() {
    println!("This is the browser app. `make serve` builds and opens it.");
}
