//! The two pictures under a finger: a face drawing is looked at closer, the depth
//! profile tells what lies where it is tapped.

use serde_json::{Value, json};

use crate::deviations::{do_up_to, kiosk_begun};
use crate::job::begun;
use crate::phone::{Phone, Theme};
use lidoff_testkit::repository;

/// Works up to a step that shows a face with numbers on it.
fn do_up_to_numbers(phone: &Phone) {
    for _ in 0..40 {
        if phone.script("return !!document.querySelector('.face .spot')") == true {
            return;
        }
        phone.do_step();
    }
    panic!("no step shows numbers");
}

/// What is seen of the face: left, top, width, height.
fn window(phone: &Phone) -> Vec<f64> {
    let seen = phone.script(
        "return document.querySelector('.face .frame svg').getAttribute('viewBox').split(' ').map(Number)",
    );
    let seen = seen.as_array().expect("four numbers");
    seen.iter().filter_map(Value::as_f64).collect()
}

/// Two fingers, from this far to either side of the middle of the face to that far,
/// px.
fn pinch(phone: &Phone, from: f64, to: f64) {
    let middle = phone.script(
        "const svg = document.querySelector('.face .frame svg');
         svg.scrollIntoView({block: 'center'});
         const at = svg.getBoundingClientRect();
         return [at.left + at.width / 2, at.top + at.height / 2]",
    );
    let (x, y) = (middle[0].as_f64(), middle[1].as_f64());
    let (x, y) = (x.expect("a place"), y.expect("a place"));
    let fingers =
        |far: f64| json!([{ "x": x - far, "y": y, "id": 0 }, { "x": x + far, "y": y, "id": 1 }]);
    let touch = |kind: &str, points: Value| {
        phone.cdp(
            "Input.dispatchTouchEvent",
            &json!({ "type": kind, "touchPoints": points }),
        );
    };
    touch("touchStart", fingers(from));
    for part in 1..=4 {
        touch(
            "touchMove",
            fingers(from + (to - from) * f64::from(part) / 4.0),
        );
    }
    touch("touchEnd", json!([]));
}

/// One finger upward from the middle of the first thing that fits.
fn swipe_up(phone: &Phone, css: &str) {
    let middle = phone.script(&format!(
        "const it = document.querySelector({});
         it.scrollIntoView({{block: 'center'}});
         const at = it.getBoundingClientRect();
         return [at.left + at.width / 2, at.top + at.height / 2]",
        Value::from(css)
    ));
    let y = middle[1].as_f64().expect("a place");
    let touch = |kind: &str, points: Value| {
        phone.cdp(
            "Input.dispatchTouchEvent",
            &json!({ "type": kind, "touchPoints": points }),
        );
    };
    touch("touchStart", json!([{ "x": middle[0], "y": y }]));
    for part in 1..=8 {
        touch(
            "touchMove",
            json!([{ "x": middle[0], "y": y - 15.0 * f64::from(part) }]),
        );
    }
    touch("touchEnd", json!([]));
}

fn press(phone: &Phone, key: &str) {
    phone.script(&format!(
        "document.querySelector('.face .frame').dispatchEvent(
            new KeyboardEvent('keydown', {{ key: {}, bubbles: true, cancelable: true }}))",
        Value::from(key)
    ));
}

#[test]
fn a_face_is_zoomed_with_buttons_fingers_and_keys() {
    let (_server, phone) = begun("TM-0601");
    do_up_to_numbers(&phone);
    let framed = window(&phone);
    phone.tap_words("Show all");
    phone.wait_until("all is seen", || window(&phone)[2] > framed[2]);
    let all = window(&phone);

    phone.tap(".face [aria-label='Zoom in']");
    phone.wait_until("it is larger", || window(&phone)[2] < all[2]);
    let closer = window(&phone);
    press(&phone, "ArrowRight");
    phone.wait_until("it moves to the right", || window(&phone)[0] > closer[0]);
    press(&phone, "-");
    phone.wait_until("all is seen again", || window(&phone) == all);
    phone.tap(".face [aria-label='Zoom in']");
    phone.tap(".face [aria-label='Zoom in']");
    phone.tap_words("Show all");
    phone.wait_until("all is seen again", || window(&phone) == all);

    pinch(&phone, 30.0, 90.0);
    phone.wait_until("two fingers bring it closer", || {
        window(&phone)[2] < all[2] / 2.0
    });
    pinch(&phone, 90.0, 20.0);
    phone.wait_until("and away again", || window(&phone) == all);

    // One finger on the picture scrolls the page, and not the picture.
    let scrolled = || phone.script("return scrollY").as_f64().expect("a number");
    let before = scrolled();
    swipe_up(&phone, ".face .frame svg");
    phone.wait_until("the page scrolls", || (scrolled() - before).abs() > 30.0);
    assert_eq!(window(&phone), all);
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn the_profile_shows_the_step_that_is_tapped() {
    let (_server, phone) = begun("TM-0602");
    phone.do_step();
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    let card = || phone.read(".profile .card");
    // Its middle, then on with the buttons.
    phone.tap(".profile svg");
    let first = card();
    assert!(first.contains(" of "), "{first}");
    phone.tap(".profile .card [aria-label='Next step']");
    phone.wait_until("the next step is told", || card() != first);
    phone.tap(".profile .card [aria-label='Previous step']");
    phone.wait_until("the first one is told again", || card() == first);
    let focused = |css: &str| {
        phone.wait_until(&format!("{css} has the focus"), || {
            phone.script(&format!("return !!document.activeElement.matches('{css}')")) == true
        });
    };
    phone.tap_words("Close");
    phone.see_no(".profile .card");
    focused(".profile .look");
    // Without a pointer there is a button, and it opens at the step in hand.
    phone.tap_words("To see a step");
    focused(".profile .card");
    assert!(card().contains("2 of "), "{}", card());
    assert!(card().contains("now"));

    // On the step itself it is there too, by a tap and by the button.
    phone.page("/step");
    phone.see("h1.do");
    phone.tap_words("More on this step");
    phone.tap(".profile svg");
    phone.see(".profile .card");
    phone.tap(".profile .card button:last-child");
    phone.see_no(".profile .card");
    phone.tap_words("To see a step");
    assert!(card().contains("now"), "{}", card());
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn an_unacknowledged_hazard_stands_alone_under_the_heading() {
    let (_server, phone) = begun("TM-0603");
    for _ in 0..20 {
        if phone.script("return !!document.querySelector('.hazard button')") == true {
            let above = phone.script(
                "const shown = [...document.querySelector('.step').children];
                 const hazard = shown.findIndex(it => it.matches('.hazard'));
                 return shown[hazard - 1].className + ', '
                   + document.querySelector('.work').checkVisibility()",
            );
            assert_eq!(above, "do, false");
            let action = phone.action();
            phone.tap("#done");
            phone.tap("#done");
            assert_eq!(phone.action(), action, "Done was not shut");
            return;
        }
        phone.do_step();
    }
    panic!("there is no hazard");
}

/// The whole page, also what one would have to scroll to.
pub fn whole_page(phone: &Phone, name: &str) {
    use base64::Engine as _;
    let shot = phone.cdp(
        "Page.captureScreenshot",
        &json!({ "captureBeyondViewport": true }),
    );
    let picture = base64::prelude::BASE64_STANDARD
        .decode(shot["data"].as_str().expect("a picture"))
        .expect("a picture in base64");
    let folder = repository("target/shots");
    std::fs::create_dir_all(&folder).expect("a folder for pictures");
    std::fs::write(folder.join(format!("{name}.png")), picture).expect("a picture");
}

/// Every step of a job that shows a face in a new way, until it is done.
fn every_picture(phone: &Phone, name: &str) {
    let mut seen = std::collections::BTreeSet::new();
    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true && steps < 140 {
        steps += 1;
        let sight = phone.script(
            "const face = document.querySelector('.face figcaption span')?.innerText ?? '';
             const lit = document.querySelectorAll('.face .lit').length;
             const spots = document.querySelectorAll('.face .spot').length;
             const more = ['#turn', '#tool-change', '.cable', '.swap', '#as-found', '.hazard button']
                .map(it => document.querySelector(it) ? 1 : 0).join('');
             return `${face} ${lit} ${spots} ${more}`",
        );
        if steps == 30 {
            phone.tap_words("Plan");
            phone.see_words("Planned time left");
            whole_page(phone, &format!("{name}-plan-30"));
            phone.page("/step");
            phone.see("h1.do");
        }
        if seen.insert(sight.to_string()) {
            whole_page(phone, &format!("{name}-{steps:03}"));
        }
        phone.do_step();
    }
    whole_page(phone, &format!("{name}-wrap-up"));
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_pictures_of_the_kiosk() {
    let (_server, phone) = kiosk_begun("TM-0604");
    phone.page("");
    phone.see_words("Planned time left");
    phone.leave_in(33);
    phone.see_words("urn back by");
    phone.tap(".profile svg");
    phone.see(".profile .card");
    whole_page(&phone, "pictures-kiosk-plan");
    phone.page("/step");
    do_up_to(&phone, "Shut the kiosk down");
    every_picture(&phone, "pictures-kiosk");
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_pictures_of_the_laptop() {
    let (_server, phone) = begun("TM-0605");
    phone.theme(Theme::Dark);
    phone.tap_words("Add a task");
    phone.tap_words("Replace: Screen assembly");
    phone.tap_words("Add this task");
    phone.wait_until("there is a new plan", || {
        phone.script("return document.querySelector('dialog[open]') === null") == true
    });
    phone.tap_words("Add a task");
    phone.tap_words("Replace: Main board");
    phone.tap_words("Add this task");
    phone.wait_until("there is a new plan", || {
        phone.script("return document.querySelector('dialog[open]') === null") == true
    });
    every_picture(&phone, "pictures-laptop");
}
