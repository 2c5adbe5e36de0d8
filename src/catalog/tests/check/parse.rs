//! A text that is no catalog is told with the place where it stops being one.

use lidoff_catalog::check::{FaultKind as Kind, Faults, Spot, read};

use crate::good;

fn refused(text: &str) -> Faults {
    read("tern-5.json", text).expect_err("this is no catalog")
}

/// Rustfmt keeps each kind and its comma together, as in the other tests.
fn assert_one(faults: &Faults, (kind, path): (Kind, &str)) {
    assert_eq!(faults.len(), 1, "{faults}");
    for fault in faults {
        assert_eq!((fault.kind, fault.path.as_str()), (kind, path));
    }
}

#[test]
fn a_misspelt_field_is_reported_with_path_line_and_suggestion() {
    let text = good::TEXT.replacen("\"redo\"", "\"reddo\"", 1);
    let faults = refused(&text);
    assert_one(
        &faults,
        (Kind::Unreadable, "parts[0].take_off.back[0].reddo"),
    );
    let fault = faults.iter().next().expect("one fault");
    assert_eq!(fault.fix, "Did you mean “redo”?");
    let before = text.split("\"reddo\"").next().expect("the text before it");
    let spot = fault.spot.expect("a place in the text");
    assert_eq!(spot.line, before.lines().count());
    assert!(fault.to_string().starts_with(&format!(
        "tern-5.json:{}:{}, parts[0]",
        spot.line, spot.column
    )));
}

#[test]
fn a_misspelt_element_is_reported_with_a_suggestion() {
    let text = good::TEXT.replacen("\"screw-out\"", "\"screw-uot\"", 1);
    let faults = refused(&text);
    let fault = faults.iter().next().expect("one fault");
    assert_eq!(fault.kind, Kind::Unreadable);
    assert_eq!(fault.path, "parts[0].take_off.out[0].elements[0].element");
    assert_eq!(fault.fix, "Did you mean “screw-out”?");
}

#[test]
fn a_missing_bracket_is_reported_at_the_end_of_the_file() {
    let text = good::TEXT.trim_end().trim_end_matches('}').trim_end();
    let faults = refused(text);
    let fault = faults.iter().next().expect("one fault");
    assert!(fault.fix.contains("bracket"), "{fault}");
    let lines = text.lines().count();
    assert_eq!(fault.spot.map(|spot| spot.line), Some(lines));
}

#[test]
fn text_after_the_catalog_is_refused() {
    let faults = refused(&format!("{}\n{{}}", good::TEXT.trim_end()));
    assert_one(&faults, (Kind::Unreadable, ""));
}

#[test]
fn an_empty_file_is_refused() {
    let faults = refused("");
    assert_one(&faults, (Kind::Unreadable, ""));
    let spot = faults.iter().next().and_then(|fault| fault.spot);
    assert_eq!(spot, Some(Spot { line: 1, column: 0 }));
}

#[test]
fn a_byte_order_mark_at_the_beginning_is_ignored() {
    let marked = format!("\u{feff}{}", good::TEXT);
    assert_eq!(
        read("tern-5.json", &marked),
        read("tern-5.json", good::TEXT)
    );
    assert!(read("tern-5.json", &marked).is_ok());
}

#[test]
fn another_format_is_refused() {
    let faults = refused(&good::TEXT.replacen("lidoff-catalog/1", "lidoff-catalog/9", 1));
    assert_one(&faults, (Kind::Unreadable, "format"));
}
