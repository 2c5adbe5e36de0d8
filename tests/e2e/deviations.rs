//! What turns out otherwise: a way is blocked, the unit is fitted otherwise, time
//! is up; and what is asked before: why, and what else.

use serde_json::Value;

use crate::job::{begun, opening};
use crate::phone::Phone;
use crate::server::Server;

/// A phone on which a job on the kiosk has just been begun: the computer's main
/// board is to be replaced, through the service door.
pub fn kiosk_begun(reference: &str) -> (Server, Phone) {
    kiosk_begun_for(reference, "Main computer board")
}

/// The same for a job that replaces this part.
pub fn kiosk_begun_for(reference: &str, part: &str) -> (Server, Phone) {
    let (server, phone) = opening("Perch 22");
    phone.type_into("input[placeholder='TM-0001']", reference);
    phone.tap_words(part);
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    phone.tap_words("Begin");
    phone.see("h1.do");
    (server, phone)
}

/// Works up to the step that says this.
pub fn do_up_to(phone: &Phone, action: &str) {
    for _ in 0..60 {
        if phone.action().contains(action) {
            return;
        }
        phone.do_step();
    }
    panic!("no step says “{action}”");
}

fn screen_says(phone: &Phone, words: &str) -> bool {
    let words = Value::from(words);
    phone.script(&format!("return document.body.innerText.includes({words})")) == true
}

#[test]
fn a_blocked_operation_is_avoided_and_can_be_unblocked() {
    let (_server, phone) = kiosk_begun("TM-0501");
    do_up_to(&phone, "Open the two quarter-turn fasteners");
    phone.tap_words("Something");
    phone.tap_words("It won't come off");
    phone.see_words("close up from here");
    phone.see_words("left instead of");
    phone.tap_words("It won't come undone: use another route");
    // The door was unlocked for it, and is locked again first.
    phone.wait_until("the door is locked again first", || {
        phone.action().contains("Lock the service door")
    });
    phone.do_step();
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap_words("Change the plan");
    phone.see_words("Service door cannot be eased: a fastener will not come loose.");
    phone.tap_words("It is no longer blocked");
    phone.wait_until("the way is open again", || {
        !screen_says(&phone, "cannot be eased")
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn closing_up_is_offered_with_its_time_and_can_be_taken_back() {
    let (_server, phone) = kiosk_begun("TM-0502");
    do_up_to(&phone, "Open the two quarter-turn fasteners");
    phone.tap_words("Something");
    phone.tap_words("I need to stop");
    phone.tap_words("Close up from here");
    phone.wait_until("the door is locked again", || {
        phone.action().contains("Lock the service door")
    });
    phone.tap_words("Something");
    phone.tap_words("I need to stop");
    phone.tap_words("Carry on with the tasks");
    phone.wait_until("the job goes on where it was", || {
        phone
            .action()
            .contains("Open the two quarter-turn fasteners")
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_unit_fitted_differently_is_replanned() {
    let (_server, phone) = kiosk_begun("TM-0503");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap_words("Change the plan");
    phone.tap_words("Hinged wall plate");
    phone.tap_words("Replan");
    phone.wait_until("the job hangs on the wall", || {
        phone.script(
            "const all = Object.keys(localStorage).map(key => localStorage[key]);
             return all.some(text => text.includes('fitted-otherwise'))",
        ) == true
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn an_operation_can_be_blocked_before_its_step_is_reached() {
    let (_server, phone) = kiosk_begun("TM-0505");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap_words("Change the plan");
    phone.see_words("Something later in the plan won't open");
    phone.script(
        "const select = document.querySelector('#app details[open] select');
         const all = [...select.options];
         select.value = all.find(it => it.text === 'Service door').value;
         select.dispatchEvent(new Event('change', { bubbles: true }))",
    );
    phone.see_words("left instead of");
    phone.tap_words("Use another route");
    phone.see_no("#app details[open] select");
    phone.tap_words("Change the plan");
    phone.see_words("Service door cannot be eased.");
    phone.see_words("It is no longer blocked");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_stripped_screw_leads_to_another_route() {
    let (_server, phone) = kiosk_begun("TM-0506");
    do_up_to(&phone, "Open the two quarter-turn fasteners");
    phone.tap_words("Something");
    phone.tap_words("A fastener is lost or stripped");
    phone.see_words("If the fastener is stripped and still in");
    phone.tap_words("It won't come undone: use another route");
    phone.wait_until("the door is locked again first", || {
        phone.action().contains("Lock the service door")
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

/// Before anything is open, and with no part in hand.
#[test]
fn another_broken_part_can_be_added() {
    let (_server, phone) = kiosk_begun("TM-0507");
    phone.tap_words("Something");
    phone.tap_words("It is broken");
    phone.see_words("Which part is broken?");
    phone.tap_words("Replace: Door fan");
    phone.see_words("left instead of");
    phone.tap_words("Door fan is broken: replace it too");
    phone.see_no("dialog[open]");
    phone.tap_words("Plan");
    phone.see_words("Replace: Door fan");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_service_operation_is_added_to_a_job_under_way() {
    let (_server, phone) = begun("TM-0508");
    phone.tap_words("Add a task");
    phone.tap_words("Clean heatsink and fan");
    phone.see_words("left instead of");
    phone.tap_words("Choose another");
    phone.tap_words("Clean heatsink and fan");
    phone.tap_words("Add this task");
    phone.see_no("dialog[open]");
    phone.tap_words("Plan");
    phone.see_words("Clean heatsink and fan");
    phone.see_words("still to do");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_step_says_why_it_is_in_the_plan() {
    let (_server, phone) = begun("TM-0504");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap(".steps .here summary");
    phone.see_words("The unit is made safe before anything is opened");
    let strip_down = "document.querySelectorAll('.phases .group')[2]";
    phone.tap_found(
        "the phase",
        &format!("{strip_down}.querySelector('summary')"),
    );
    phone.tap_found(
        "its first step",
        &format!("{strip_down}.querySelector('.steps summary')"),
    );
    phone.see_words("needs “Keyboard trim” off");
    phone.see_words("There is no other way.");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn dropping_a_task_shows_the_time_saved_first() {
    let (_server, phone) = begun("TM-0509");
    phone.tap_words("Add a task");
    phone.tap_words("Clean heatsink and fan");
    phone.tap_words("Add this task");
    phone.see_no("dialog[open]");
    phone.tap_words("Plan");
    phone.see_words("still to do");
    phone.tap_words("Drop");
    phone.see_words("left instead of");
    phone.tap_words("Drop this task");
    phone.see_no("dialog[open]");
    phone.see_words("dropped");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn the_extra_time_of_another_part_is_shown_and_the_part_added() {
    let (_server, phone) = opening("Sorrel 14");
    phone.tap_words("Memory module");
    phone.tap_words("Replace more while it is open?");
    phone.see_words("instead of");
    phone.tap_words("Show all");
    let ticked = "return document.querySelectorAll('.part input:checked').length";
    let before = phone.script(ticked).as_u64().expect("a number");
    phone.tap("[aria-label='Add: replace Coin cell']");
    phone.wait_until("it is ticked too", || {
        phone.script(ticked).as_u64() == Some(before + 1)
    });
    // It stays open, and looks again.
    phone.see_words("instead of");
    assert_eq!(phone.console_errors(), [""; 0]);
}
