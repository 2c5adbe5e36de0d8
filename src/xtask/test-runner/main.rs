//! The test runner of wasm-bindgen, compiled from this workspace's Cargo.lock, so that
//! its version always matches the crate `wasm-bindgen`.
//!
//! A package of its own: building and serving the app does not need it.

fn main() -> anyhow::Result<()> {
    wasm_bindgen_cli::wasm_bindgen_test_runner::run_cli_with_args(std::env::args_os())
}
