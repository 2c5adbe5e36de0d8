//! Same input, same plan, everywhere: the plans of the demo units are kept in
//! `src/testkit/demo_plans.txt`, and a test in the browser holds itself to the
//! same file.

use lidoff_testkit::demo_plans;

/// Where the planner was changed so that another of several equally good plans is
/// chosen, the file is copied from where this test leaves it: look at every line that
/// changes, for none may become dearer, and none looks at more states without a
/// reason.
#[test]
fn the_demo_units_have_the_plans_that_were_written_down() {
    let kept = demo_plans::EXPECTED;
    let here = demo_plans::plan_demo_units();
    let is_kept = |line: &&str| kept.lines().any(|other| other == *line);
    let others: Vec<&str> = here.lines().filter(|line| !is_kept(line)).collect();
    let path = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).join("demo_plans.txt");
    std::fs::write(&path, &here).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    assert!(
        here == kept,
        "these are not as in src/testkit/demo_plans.txt:\n{}\ncopy {} there if none has become dearer, and none looks at more states without a reason",
        others.join("\n"),
        path.display()
    );
}
