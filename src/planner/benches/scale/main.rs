//! `cargo bench -p lidoff-planner --bench scale`: how planning grows with the unit. Each case
//! runs in a process of its own, so that its memory is its own. Prints a table and draws
//! `target/planner-scale.svg`.

mod case;
mod plot;
mod table;

fn main() {
    let args: Vec<String> = std::env::args().skip(1).collect();
    if let [word, parts, tasks] = args.as_slice()
        && word == "case"
    {
        let number = |of: &String| of.parse().expect("a number");
        println!("{}", case::run(number(parts), number(tasks)).line());
        return;
    }
    let results = table::measure();
    // A bench runs in the folder of its package.
    let root = concat!(env!("CARGO_MANIFEST_DIR"), "/../..");
    let into = std::path::Path::new(root).join("target/planner-scale.svg");
    plot::draw(&results, &into);
}
