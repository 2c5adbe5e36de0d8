//! Pictures of the screens in every theme: `make shots`.

use crate::deviations::{do_up_to, kiosk_begun};
use crate::job::begun;
use crate::phone::{Phone, Theme};
use lidoff_testkit::repository;

/// Takes one screen in every theme.
pub fn each(phone: &Phone, name: &str) {
    for theme in Theme::ALL {
        phone.theme(theme);
        let path = phone.shot(&format!("{name}-{}", theme.name()));
        println!("{}", path.display());
    }
    phone.theme(Theme::Light);
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots() {
    let (_server, phone) = begun("TM-0001");
    each(&phone, "step-first");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    each(&phone, "plan");
    phone.tap_words("New");
    each(&phone, "units");
    phone.tap_words("Perch 22");
    phone.see_words("Tasks");
    each(&phone, "new-job");
    phone.tap_words("Lidoff");
    phone.see_words("Carry on");
    each(&phone, "today");
    phone.tap_words("Carry on");
    let mut seen_hazard = false;
    let mut seen_screws = false;
    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        let has =
            |css: &str| phone.script(&format!("return !!document.querySelector('{css}')")) == true;
        if !seen_hazard && has(".hazard:not(.notice) button") {
            each(&phone, "step-hazard");
            std::fs::copy(
                repository("target/shots/step-hazard-light.png"),
                repository("tests/pictures/step.png"),
            )
            .expect("the README's picture");
            seen_hazard = true;
        }
        if !seen_screws && has(".face .spot") {
            each(&phone, "step");
            phone.tap_words("Something");
            each(&phone, "step-wrong");
            phone.tap_words("Back");
            phone.tap_words("Tray");
            phone.see_words("Wells");
            each(&phone, "tray");
            phone.tap_words("Back to the step");
            phone.see("h1.do");
            seen_screws = true;
        }
        phone.do_step();
        steps += 1;
        assert!(steps < 120, "the job has no end");
    }
    phone.see_words("Close the job");
    each(&phone, "wrap-up");
    phone.clear_old_parts();
    phone.tap_words("Complete");
    phone.see_words("Closed");
    each(&phone, "closed");
    phone.tap_words("Desk");
    phone.see_words("By job");
    each(&phone, "desk");
    phone.tap_words("Records");
    phone.see_words("Saved on this device");
    each(&phone, "records");
    phone.tap_words("Remove jobs from this device");
    phone.see("[aria-label='Remove TM-0001 · Sorrel 14']");
    each(&phone, "records-jobs");
    phone.tap("[aria-label='Remove TM-0001 · Sorrel 14']");
    phone.see("#remove-now");
    each(&phone, "records-remove");
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_what_turns_out_otherwise() {
    let (_server, phone) = kiosk_begun("TM-0002");
    do_up_to(&phone, "Open the two quarter-turn fasteners");
    phone.tap_words("Something");
    phone.tap_words("It won't come off");
    phone.see_words("close up from here");
    each(&phone, "step-otherwise");
    phone.tap_words("It won't come undone");
    phone.see_no("dialog[open]");
    each(&phone, "step-turned-back");
    do_up_to(&phone, "Unlock the paper door");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap(".steps .here summary");
    phone.see_words("needs");
    each(&phone, "plan-why");
    phone.tap_words("Change the plan");
    phone.see_words("Blocked routes");
    each(&phone, "plan-change");
    phone.tap_words("New");
    phone.tap_words("Sorrel 14");
    phone.tap_words("Memory module");
    phone.tap_words("Replace more while it is open?");
    phone.see_words("instead of");
    phone.tap_words("Show all");
    each(&phone, "new-job-also");
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_times() {
    let (_server, phone) = begun("TM-0003");
    for _ in 0..14 {
        phone.do_step();
    }
    each(&phone, "time-step");
    phone.shift_clock(60, false);
    phone.see("#clock-told");
    each(&phone, "time-clock");
    phone.shift_clock(0, false);
    phone.see_no("#clock-told");
    phone.tap_words("Plan");
    phone.see("#leave-by");
    phone.leave_in(40);
    phone.see_words("urn back by");
    each(&phone, "time-plan");
    phone.leave_in(12);
    phone.see_words("urn back by");
    each(&phone, "time-plan-near");
    phone.page("/step");
    phone.see_words("urn back by");
    each(&phone, "time-step-near");
    phone.shift_clock(15, true);
    phone.see_words("has passed");
    phone.script("document.querySelector('#turn-back').scrollIntoView({block: 'center'})");
    each(&phone, "time-step-late");
    phone.tap_words("Turn back now");
    each(&phone, "time-turning");
    phone.tap_words("Close up now");
    phone.see_no("dialog");
    phone.page("");
    phone.see_words("left for the next visit");
    phone.script("document.querySelector('#tasks').scrollIntoView()");
    each(&phone, "time-turned");
    phone.page("/wrap-up");
    phone.tap_words("Another visit is needed");
    phone.tap_words("New");
    phone.tap_words("Sorrel 14");
    phone.see("#left-open");
    each(&phone, "time-left-open");
    phone.tap_words("Add these tasks");
    phone.tap_words("What this job takes");
    phone.tap_words("Book a slot");
    phone.script("document.querySelector('#slot').scrollIntoView()");
    each(&phone, "time-booking");
    phone.tap_words("Records");
    phone.script("document.querySelector('#times-in-use').scrollIntoView({block: 'center'})");
    each(&phone, "time-records");
}
