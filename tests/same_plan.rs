//! Same input, same plan, everywhere: the plans of the demo units are kept in
//! `src/testkit/demo_plans.txt`, and a test in the browser compares with the same file.

use lidoff_testkit::demo_plans;

/// Where the planner chooses another of several equally good plans, copy the file from where
/// this test leaves it. Look at every line that changes: no plan may become dearer.
#[test]
fn the_demo_units_have_the_plans_that_were_written_down() {
    let found = demo_plans::plan_demo_units();
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo_plans.txt");
    std::fs::write(&path, &found).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let differences = demo_plans::differences(demo_plans::EXPECTED, &found);
    assert!(
        differences.is_empty(),
        "these plans differ from src/testkit/demo_plans.txt:\n{}\ncopy {} there if no plan has become dearer",
        differences.join("\n"),
        path.display()
    );
    if found != demo_plans::EXPECTED {
        println!(
            "fewer states than written down; copy {} there",
            path.display()
        );
    }
}
