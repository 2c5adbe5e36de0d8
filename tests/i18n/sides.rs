//! The look of the app knows where lines begin and end, not left and right: it
//! serves languages that run either way.

use std::fs;

use lidoff_testkit::repository;

/// Declarations that name a side, as "12: margin-left: 1rem".
fn sided(css: &str) -> Vec<String> {
    let lines = css.lines().enumerate();
    lines
        .filter(|(_, line)| {
            let (name, value) = line.trim().split_once(':').unwrap_or_default();
            let property = ["left", "right"].iter().any(|side| {
                name == *side
                    || name.ends_with(&format!("-{side}"))
                    || name.contains(&format!("-{side}-"))
            });
            let is_declared = line.trim_end().ends_with(';');
            let aligned = ["text-align", "float", "clear"].contains(&name)
                && (value.contains("left") || value.contains("right"));
            is_declared && (property || aligned)
        })
        .map(|(nth, line)| format!("{}: {}", nth + 1, line.trim()))
        .collect()
}

#[test]
fn the_look_names_no_side_but_start_and_end() {
    let folder = repository("public");
    for entry in fs::read_dir(folder).expect("the page's files") {
        let path = entry.expect("an entry").path();
        if path.extension().is_some_and(|ending| ending == "css") {
            let css = fs::read_to_string(&path).expect("a style sheet");
            assert_eq!(sided(&css), [""; 0], "{}: say start or end", path.display());
        }
    }
}

#[test]
fn a_side_is_seen_and_a_start_is_not() {
    let css = "a {\n  margin-left: 1rem;\n  border-left-color: red;\n  left: 0;\n  text-align: right;\n  \
               inset-inline-start: 0;\n  text-align: start;\n  color: red;\n}\n";
    let seen = sided(css);
    assert_eq!(
        seen,
        [
            "2: margin-left: 1rem;",
            "3: border-left-color: red;",
            "4: left: 0;",
            "5: text-align: right;"
        ]
    );
}
