//! The plan and the new job on a small screen, with one eye and one glove.

use crate::job::opening;
use crate::phone::{Phone, Theme};
use crate::pictures::whole_page;

/// The height of the page, px.
fn page_height(phone: &Phone) -> u64 {
    let height = phone.script("return document.scrollingElement.scrollHeight");
    height.as_u64().expect("a height")
}

/// Pictures of the whole page on screens of several sizes.
fn sizes(phone: &Phone, name: &str) {
    phone.script("await new Promise(done => setTimeout(done, 1500))");
    println!("{name}: {} px", page_height(phone));
    for theme in [Theme::Light, Theme::Dark] {
        phone.theme(theme);
        phone.resize(360, 740);
        whole_page(phone, &format!("{name}-360-{}", theme.name()));
    }
    phone.theme(Theme::Light);
    for (width, height) in [(820, 1180), (1280, 800)] {
        phone.resize(width, height);
        whole_page(phone, &format!("{name}-{width}"));
    }
    phone.resize(360, 740);
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_the_plan_and_the_new_job() {
    for (unit, parts) in [
        (
            "Perch 22",
            ["Receipt printer", "Card reader", "Main computer board"],
        ),
        ("Sorrel 14", ["Memory module", "Fan", "Keyboard"]),
    ] {
        let (_server, phone) = opening(unit);
        phone.see("input[placeholder='TM-0001']");
        sizes(&phone, &format!("new-{unit}"));
        for part in parts {
            phone.tap_words(part);
        }
        phone.see_words("Start: about");
        sizes(&phone, &format!("new-three-{unit}"));
        phone.tap_words("Start: about");
        phone.see_words("Planned time left");
        sizes(&phone, &format!("plan-{unit}"));
        phone.tap_words("Begin");
        phone.see("h1.do");
        for _ in 0..14 {
            phone.do_step();
        }
        phone.tap_words("Plan");
        phone.see_words("Planned time left");
        phone.leave_in(120);
        phone.tap(".steps .here summary");
        sizes(&phone, &format!("plan-begun-{unit}"));
    }
}
