//! The plan and the new job on a small screen, with one eye and one glove.

use serde_json::json;

use crate::job::opening;
use crate::phone::{Phone, Theme};
use crate::pictures::whole_page;
use crate::server::Server;

/// The height of the page, px.
fn page_height(phone: &Phone) -> u64 {
    let height = phone.script("return document.scrollingElement.scrollHeight");
    height.as_u64().expect("a height")
}

/// A kiosk job with three tasks has just been started: its plan is on the screen.
fn planned(reference: &str) -> (Server, Phone) {
    let (server, phone) = opening("Perch 22");
    phone.type_into("input[placeholder='TM-0001']", reference);
    for part in ["Receipt printer", "Card reader", "Main computer board"] {
        phone.tap_words(part);
    }
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    (server, phone)
}

fn count(phone: &Phone, css: &str) -> u64 {
    let count = phone.script(&format!("return document.querySelectorAll('{css}').length"));
    count.as_u64().expect("a number")
}

#[test]
fn a_plan_is_short_until_its_phases_are_opened() {
    let (_server, phone) = planned("TM-0651");
    phone.see(".steps .here");
    let folded = page_height(&phone);
    assert!(folded <= 3000, "{folded} px");
    let steps = count(&phone, ".steps > li");
    phone.tap(".group:not([open]) > summary");
    phone.wait_until("the steps of the phase are there", || {
        count(&phone, ".steps > li") > steps
    });
    phone.see_no(".why[open]");
    phone.tap(".steps .here summary");
    phone.see(".why[open] li");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn what_is_loaded_into_the_van_stays_ticked_until_the_job_is_removed() {
    let (_server, phone) = planned("TM-0652");
    phone.tap_words("Load the van");
    phone.see_words("P22-1170");
    phone.see_words("N·m");
    phone.see_words("Protective equipment");
    phone.tap_words("Receipt printer, complete");
    phone.tap_words("Wrist strap");
    phone.see_words("2 of ");
    phone.reload();
    phone.see_words("2 of ");
    phone.tap_words("Load the van");
    phone.wait_until("both are ticked", || {
        count(&phone, ".van input:checked") == 2
    });

    // The list is alone on the paper.
    phone.script("window.print = () => {}");
    phone.tap_words("Print");
    let media = |media: &str| {
        phone.cdp("Emulation.setEmulatedMedia", &json!({ "media": media }));
    };
    media("print");
    let words = phone.read("body");
    assert!(words.contains("TM-0652") && words.contains("P22-1170"));
    for other in ["Records", "Make safe", "Begin", "Add a task", "Print"] {
        assert!(!words.contains(other), "“{other}” is printed");
    }
    media("");
    phone.script("dispatchEvent(new Event('afterprint'))");
    phone.see_words("Make safe");

    let kept =
        "return Object.keys(localStorage).filter(key => key.startsWith('lidoff/van/')).length";
    assert_eq!(phone.script(kept), 1);
    phone.tap_words("Records");
    phone.tap_words("Remove jobs from this device");
    phone.tap("[aria-label='Remove TM-0652 · Perch 22']");
    phone.tap("#remove-now");
    phone.wait_until("the ticks are gone with the job", || {
        phone.script(kept) == 0
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_part_is_found_by_typing_and_its_task_taken_back_by_a_tap_on_its_chip() {
    let (_server, phone) = opening("Sorrel 14");
    phone.see("#find");
    let all = count(&phone, ".parts > li");
    assert!(all > 20, "{all}");
    phone.type_into("#find", "COIN");
    phone.wait_until("only what fits is listed", || {
        count(&phone, ".parts > li") == 1
    });
    phone.tap_words("Coin cell");
    assert!(phone.read(".chips").contains("Replace: Coin cell"));
    phone.see_words("Start: about");
    // Another task of a part, on request.
    phone.script(
        "const find = document.querySelector('#find'); find.value = '';
        find.dispatchEvent(new Event('input', { bubbles: true }))",
    );
    phone.wait_until("all is listed again", || {
        count(&phone, ".parts > li") == all
    });
    phone.tap("[aria-label='Other tasks: Memory module']");
    phone.tap_words("Reseat: Memory module");
    phone.wait_until("there are two", || count(&phone, ".chip") == 2);
    phone.wait_until("each part says what it adds", || {
        phone.script("return /^\\+/.test(document.querySelector('.part .num').innerText)") == true
    });
    for left in [1, 0] {
        phone.tap(".chip");
        phone.wait_until("it is taken back", || count(&phone, ".chip") == left);
    }
    assert_eq!(count(&phone, ".part input:checked"), 0);
    phone.see_words("Choose a task first");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn the_setup_of_the_unit_is_a_sentence_that_can_be_changed() {
    let (_server, phone) = opening("Perch 22");
    phone.see_words("Floor pedestal, card reader, no coin acceptor");
    phone.see_no("fieldset");
    phone.tap_words("Change");
    phone.tap_words("Hinged wall plate");
    phone.see_words("Hinged wall plate, card reader");
    assert_eq!(phone.console_errors(), [""; 0]);
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
        phone.tap_words("Load the van");
        sizes(&phone, &format!("van-{unit}"));
        phone.script("window.print = () => {}");
        phone.tap_words("Print");
        phone.resize(794, 1123);
        phone.cdp("Emulation.setEmulatedMedia", &json!({ "media": "print" }));
        whole_page(&phone, &format!("van-print-{unit}"));
        phone.cdp("Emulation.setEmulatedMedia", &json!({ "media": "" }));
        phone.script("dispatchEvent(new Event('afterprint'))");
        phone.resize(360, 740);
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
