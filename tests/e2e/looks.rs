//! Every screen, looked at: nothing on it violates WCAG 2.2 A or AA in any theme
//! as far as axe-core can tell, all of it fits a phone of 360 × 740 also with words
//! twice as large, and what is used at the unit takes a gloved thumb.

use std::collections::BTreeMap;

use serde_json::Value;

use crate::axe::{self, violations};
use crate::fits::{cut_off_in_drawings, does_not_fit, too_small};
use crate::phone::{Phone, Theme};
use crate::tour::{self, Look};

/// What is wrong, and where it was seen.
type Wrong = BTreeMap<String, Vec<String>>;

/// The screens that are used with the unit open.
fn is_at_the_unit(name: &str) -> bool {
    let at_the_unit = [
        "step", "tray", "wrap-up", "sheet", "paused", "gap", "trouble", "finished",
    ];
    at_the_unit.iter().any(|part| name.contains(part))
}

fn nothing_is_wrong(tour: fn(Look)) {
    let axe = axe::source();
    let mut wrong = Wrong::new();
    let mut looked = 0;
    tour(&mut |phone, name| {
        looked += 1;
        // Shown where the walk itself does not come through.
        println!("{name}");
        let mut put = |lines: Vec<String>, how: &str| {
            for line in lines {
                wrong.entry(line).or_default().push(format!("{name}{how}"));
            }
        };
        put(does_not_fit(phone), "");
        put(cut_off_in_drawings(phone), "");
        if is_at_the_unit(name) {
            put(too_small(phone), "");
        }
        twice_as_large(phone, || {
            put(does_not_fit(phone), " with words twice as large");
        });
        // What lies behind the head or the foot now can be moved from there.
        phone.stretch(true);
        for theme in Theme::ALL {
            phone.theme(theme);
            put(
                violations(phone, &axe, theme),
                &format!(", {}", theme.name()),
            );
        }
        phone.theme(Theme::Light);
        phone.stretch(false);
    });
    println!(
        "looked at {looked} screens, each in {} themes",
        Theme::ALL.len()
    );
    let told: Vec<String> = wrong
        .iter()
        .map(|(line, places)| format!("{line}\n    on {}", places.join("; ")))
        .collect();
    assert!(
        told.is_empty(),
        "{} wrong:\n{}",
        told.len(),
        told.join("\n")
    );
}

fn twice_as_large(phone: &Phone, look: impl FnOnce()) {
    phone.text_size(32);
    let size = phone.script("return getComputedStyle(document.documentElement).fontSize");
    assert_eq!(size, Value::from("32px"), "the user's size is not used");
    look();
    phone.text_size(16);
}

#[test]
fn nothing_is_wrong_on_the_screens_of_a_job_on_the_laptop() {
    nothing_is_wrong(tour::laptop);
}

#[test]
fn nothing_is_wrong_on_the_screens_of_a_job_on_the_kiosk() {
    nothing_is_wrong(tour::kiosk);
}

#[test]
fn nothing_is_wrong_on_the_screens_of_what_stops_the_work() {
    nothing_is_wrong(tour::findings);
}
