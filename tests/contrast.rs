//! The colours of the themes, against WCAG 2.2: every pair that stands on each
//! other is far enough apart in every theme, and no colour is used that is not in
//! the list of pairs.
//!
//! Source: W3C, Web Content Accessibility Guidelines (WCAG) 2.2, the definitions
//! of “relative luminance” and “contrast ratio”, and the success criteria 1.4.3
//! (text 4.5:1), 1.4.6 (enhanced 7:1) and 1.4.11 (non-text 3:1).

use std::collections::{BTreeMap, BTreeSet};

const THEMES: &str = include_str!("../public/themes.css");
const STYLE: &str = include_str!("../public/style.css");
const LOOK: &str = include_str!("../public/look.js");
const PAGE: &str = include_str!("../public/index.html");

/// What text stands on.
const GROUNDS: [&str; 5] = ["paper", "sheet", "danger-soft", "warn-soft", "note-soft"];

/// Words on what they stand on: 4.5:1, and 7:1 in sunlight.
fn text_pairs() -> Vec<(&'static str, &'static str)> {
    let mut pairs = vec![("on-key", "key"), ("on-here", "here-fill")];
    for ground in GROUNDS {
        pairs.extend([("ink", ground), ("soft", ground)]);
    }
    pairs
}

/// Edges, marks and parts of pictures that tell something: 3:1.
fn shape_pairs() -> Vec<(&'static str, &'static str)> {
    // What is filled with here-fill is outlined in ink, which is far from each ground.
    let mut pairs = vec![
        ("key", "paper"),
        ("key", "sheet"),
        // The depth profile, and the gauge of a step's time.
        ("done-fill", "todo-fill"),
        ("here", "todo-fill"),
        ("danger", "todo-fill"),
        ("ink", "done-fill"),
        ("ink", "todo-fill"),
        ("done-fill", "sheet"),
        ("done-fill", "paper"),
    ];
    for ground in GROUNDS {
        let on_all = ["edge", "here", "danger", "focus"];
        pairs.extend(on_all.map(|mark| (mark, ground)));
    }
    pairs
}

/// Tell nothing: what they part is apart without them, or is behind a veil.
const TELL_NOTHING: [&str; 2] = ["line", "veil"];

// --- The style sheets, as far as they are needed here ---------------------------

/// One rule: the conditions it stands under, its selector, its declarations.
struct Rule {
    under: String,
    selector: String,
    says: Vec<(String, String)>,
}

impl Rule {
    fn get(&self, property: &str) -> Option<&str> {
        let found = self.says.iter().rev().find(|(name, _)| name == property);
        found.map(|(_, value)| value.as_str())
    }
}

fn rules(css: &str) -> Vec<Rule> {
    let mut text = String::new();
    for (nth, part) in css.split("/*").enumerate() {
        text.push_str(if nth == 0 {
            part
        } else {
            part.split_once("*/").expect("a comment has an end").1
        });
    }
    let mut all = Vec::new();
    read_rules(&text, "", &mut all);
    all
}

fn read_rules(mut rest: &str, under: &str, all: &mut Vec<Rule>) {
    while let Some((head, after)) = rest.split_once('{') {
        let mut depth = 1;
        let end = after.find(|letter| {
            depth += match letter {
                '{' => 1,
                '}' => -1,
                _ => 0,
            };
            depth == 0
        });
        let end = end.expect("a block has an end");
        let (head, body) = (head.trim(), &after[..end]);
        if head.starts_with('@') {
            read_rules(body, &format!("{under} {head}"), all);
        } else {
            let says = body.split(';').filter_map(|line| line.split_once(':'));
            let says = says.map(|(name, value)| (name.trim().to_owned(), value.trim().to_owned()));
            all.push(Rule {
                under: under.trim().to_owned(),
                selector: head.to_owned(),
                says: says.collect(),
            });
        }
        rest = &after[end + 1..];
    }
}

/// The names of the properties that a value uses.
fn used(value: &str) -> Vec<&str> {
    let parts = value.split("var(--").skip(1);
    parts
        .filter_map(|part| part.split([')', ',']).next())
        .collect()
}

/// What each theme says: the light one, with its own laid over it.
fn themes() -> BTreeMap<String, BTreeMap<String, String>> {
    let rules = rules(THEMES);
    let said = |rule: &Rule| -> BTreeMap<String, String> {
        let properties = rule.says.iter();
        let own = properties.filter_map(|(name, value)| {
            let name = name.strip_prefix("--")?;
            Some((name.to_owned(), value.clone()))
        });
        own.collect()
    };
    let light = rules.iter().find(|rule| rule.selector == ":root");
    let light = said(light.expect("the light theme"));
    let mut themes = BTreeMap::from([("light".to_owned(), light.clone())]);
    for rule in &rules {
        if let Some((_, name)) = rule.selector.split_once("data-theme=\"") {
            let mut theme = light.clone();
            theme.extend(said(rule));
            themes.insert(name.trim_end_matches("\"]").to_owned(), theme);
        }
    }
    themes
}

// --- Contrast ------------------------------------------------------------------

/// Relative luminance of a colour written as `#rrggbb`.
fn luminance(colour: &str) -> f64 {
    let digits = colour.strip_prefix('#').filter(|digits| digits.len() == 6);
    let digits = digits.unwrap_or_else(|| panic!("{colour} is not #rrggbb"));
    let channel = |at: usize| {
        let byte = u8::from_str_radix(&digits[at..at + 2], 16).expect("two hex digits");
        let share = f64::from(byte) / 255.0;
        if share <= 0.04045 {
            share / 12.92
        } else {
            ((share + 0.055) / 1.055).powf(2.4)
        }
    };
    0.2126 * channel(0) + 0.7152 * channel(2) + 0.0722 * channel(4)
}

fn contrast(one: &str, other: &str) -> f64 {
    let (one, other) = (luminance(one), luminance(other));
    (one.max(other) + 0.05) / (one.min(other) + 0.05)
}

#[test]
fn the_formula_gives_what_is_known() {
    // By the definition itself: the widest ratio there is, and none at all.
    assert!((contrast("#000000", "#ffffff") - 21.0).abs() < 1e-9);
    assert!((contrast("#14201f", "#14201f") - 1.0).abs() < 1e-9);
    // The lightest grey that may stand on white at 4.5:1, and the next one that may
    // not (from memory).
    assert!(contrast("#767676", "#ffffff") >= 4.5);
    assert!(contrast("#777777", "#ffffff") < 4.5);
    // 7:1 likewise (from memory).
    assert!(contrast("#595959", "#ffffff") >= 7.0);
    assert!(contrast("#5a5a5a", "#ffffff") < 7.0);
}

#[test]
fn every_pair_is_far_enough_apart_in_every_theme() {
    let mut near = Vec::new();
    for (theme, colours) in themes() {
        let at_least = if theme == "sunlight" { 7.0 } else { 4.5 };
        let text = text_pairs().into_iter().map(|pair| (pair, at_least));
        let shapes = shape_pairs().into_iter().map(|pair| (pair, 3.0));
        for ((on, ground), at_least) in text.chain(shapes) {
            let ratio = contrast(&colours[on], &colours[ground]);
            if ratio < at_least {
                near.push(format!(
                    "{theme}: {on} on {ground} is {ratio:.2}:1, not {at_least}:1"
                ));
            }
        }
    }
    assert!(near.is_empty(), "{near:#?}");
}

#[test]
fn no_colour_is_used_that_is_not_in_the_list() {
    let listed: BTreeSet<&str> = text_pairs()
        .into_iter()
        .chain(shape_pairs())
        .flat_map(|(on, ground)| [on, ground])
        .chain(TELL_NOTHING)
        .collect();
    let light = &themes()["light"];
    for (name, value) in light {
        let is_colour = value.starts_with('#') || value.contains('(');
        assert!(
            !is_colour || listed.contains(name.as_str()),
            "--{name} is in no pair"
        );
    }
    let text = text_pairs();
    let foregrounds: BTreeSet<&str> = text.iter().map(|(on, _)| *on).collect();
    for rule in rules(STYLE) {
        let at = &rule.selector;
        for (property, value) in &rule.says {
            assert!(
                !value.contains('#') && !value.contains("rgb") && !value.contains("hsl"),
                "{at}: {property}: {value}: the colours are in themes.css"
            );
            for name in used(value) {
                let known = light.contains_key(name) || name == "gap";
                assert!(known, "{at}: there is no --{name}");
            }
        }
        let colour = rule.get("color").map(used).unwrap_or_default();
        for name in &colour {
            assert!(
                foregrounds.contains(name),
                "{at}: --{name} is not for words"
            );
        }
        // Words on a ground of their own: in its own colour or in that of all words.
        let ground = rule.get("background").map(used).unwrap_or_default();
        for ground in ground {
            let on = colour.first().copied().unwrap_or("ink");
            let is_a_shape = rule.selector.contains("::")
                || shape_pairs()
                    .iter()
                    .any(|(mark, on)| *mark == ground || *on == ground);
            assert!(
                text.contains(&(on, ground)) || (colour.is_empty() && is_a_shape),
                "{at}: {on} on {ground} is in no pair"
            );
        }
    }
}

#[test]
fn sunlight_has_heavier_strokes_and_no_soft_greys() {
    let themes = themes();
    let (light, sun) = (&themes["light"], &themes["sunlight"]);
    for stroke in ["hair", "rule", "bold"] {
        let px = |theme: &BTreeMap<String, String>| -> f64 {
            let width = theme[stroke].strip_suffix("px").expect("a width in px");
            width.parse().expect("a number")
        };
        assert!(px(sun) > px(light), "{stroke} is no heavier");
    }
    assert_eq!(sun["soft"], sun["ink"]);
    assert_eq!(sun["line"], sun["ink"]);
    assert_eq!(sun["edge"], sun["ink"]);
}

#[test]
fn the_browser_s_own_bars_are_of_the_paper_of_each_theme() {
    let themes = themes();
    assert_eq!(themes.len(), 3, "light, dark and sunlight");
    for (theme, colours) in &themes {
        let entry = format!("{theme}: \"{}\"", colours["paper"]);
        assert!(LOOK.contains(&entry), "look.js does not say {entry}");
    }
    let meta = format!(
        "<meta name=\"theme-color\" content=\"{}\">",
        themes["light"]["paper"]
    );
    assert!(PAGE.contains(&meta), "index.html does not say {meta}");
}

#[test]
fn nothing_moves_for_those_who_want_it_still() {
    for rule in rules(STYLE) {
        for (property, value) in &rule.says {
            let moves = property.starts_with("transition")
                || property.starts_with("animation")
                || property == "scroll-behavior";
            assert!(
                !moves || rule.under.contains("prefers-reduced-motion: no-preference"),
                "{}: {property}: {value}",
                rule.selector
            );
        }
    }
}
