//! A text that is no catalog is told with the place where it stops being one.

use lidoff_catalog::check::{FaultKind as Kind, Faults, Severity, Spot, read};

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

#[test]
fn a_catalog_that_is_too_large_is_refused_with_the_limit() {
    let deep = format!("{{\"parts\": {}", "[".repeat(100_000));
    let numbers = format!("[{}]", vec!["0"; 400_000].join(","));
    for (text, limit) in [
        (" ".repeat(4_000_001), "the limit is 4.0 MB"),
        (deep, "deeper than the limit of 64"),
        (numbers, "exceeds the limit of 300000 values"),
    ] {
        let faults = refused(&text);
        assert_one(&faults, (Kind::TooLarge, ""));
        assert!(faults.to_string().contains(limit), "{faults}");
    }
}

#[test]
fn of_very_many_faults_the_first_are_listed_and_the_others_counted() {
    let tool = r#"{"id": "a b", "name": "", "class": "basic"}"#;
    let tools = vec![tool; 3_000].join(",");
    let text = good::TEXT.replacen("\"tools\": [", &format!("\"tools\": [{tools},"), 1);
    let faults = refused(&text);
    assert_eq!(faults.errors().count(), 100);
    // Each tool has a bad id and an empty name, and each but the first the id of another.
    let all = faults.count(Severity::Error);
    assert!(all >= 8_999, "{all}");
    assert_eq!(faults.len(), all + faults.count(Severity::Warning));
    let lines = faults.lines();
    let last = lines.last().expect("a line");
    let unlisted = faults.len() - faults.iter().count();
    assert_eq!(*last, format!("and at least {unlisted} more faults"));
    assert_eq!(faults.to_string().lines().count(), lines.len());
}
