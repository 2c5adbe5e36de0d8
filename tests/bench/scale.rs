//! `cargo bench --bench scale`: how planning grows with the unit, each case in a
//! process of its own so that its memory is its own. A table, and a picture in
//! target/planner-scale.svg.

#[cfg(not(target_arch = "wasm32"))]
#[path = "../planner/common/build.rs"]
#[allow(dead_code)]
mod build;
#[cfg(not(target_arch = "wasm32"))]
#[path = "scale/case.rs"]
mod case;
#[cfg(not(target_arch = "wasm32"))]
#[path = "scale/plot.rs"]
mod plot;
#[cfg(not(target_arch = "wasm32"))]
#[path = "scale/table.rs"]
mod table;
#[cfg(not(target_arch = "wasm32"))]
#[path = "scale/unit.rs"]
mod unit;

#[cfg(not(target_arch = "wasm32"))]
fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    if let [word, parts, tasks] = args.as_slice()
        && word == "case"
    {
        let number = |of: &String| of.parse().expect("a number");
        println!("{}", case::run(number(parts), number(tasks)).line());
        return;
    }
    let outcomes = table::measure();
    plot::draw(&outcomes, std::path::Path::new("target/planner-scale.svg"));
}

#[cfg(target_arch = "wasm32")]
fn main() {}
