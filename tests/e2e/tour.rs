//! A walk through every screen, in every state in which it looks otherwise: each
//! check of how the screens look goes along.
//!
//! On the Step screen nothing is named: a step is looked at whenever it has a kind
//! of element that no step before it had, before and after each of its demands.

use std::collections::BTreeSet;

use serde_json::Value;

use crate::deviations::do_up_to;
use crate::phone::Phone;
use crate::server::Server;

/// What looks at a screen that has just come up, and is told which it is.
pub type Look<'a> = &'a mut dyn FnMut(&Phone, &str);

/// Every kind of element that is shown.
fn kinds(phone: &Phone) -> BTreeSet<String> {
    let kinds = phone.script(
        "return [...document.querySelectorAll('#app *')].filter(it => it.checkVisibility())
           .map(it => `${it.localName}.${it.getAttribute('class') ?? ''}.${it.type ?? ''}`)",
    );
    let kinds = kinds.as_array().expect("a list").iter();
    kinds.map(Value::to_string).collect()
}

/// Opens everything that is closed on the screen.
fn open_all(phone: &Phone) {
    for _ in 0..40 {
        let closed = phone.script(
            "const all = [...document.querySelectorAll('#app details:not([open]) > summary')];
             const one = all.find(it => it.checkVisibility() && !it.closest('.why'));
             one?.click();
             return !!one",
        );
        if closed == false {
            return;
        }
        phone.script("await new Promise(done => setTimeout(done, 50))");
    }
    panic!("something on the screen cannot be opened");
}

/// A hazard that is still to be heeded is on the screen when its step comes up,
/// from its first line on, wherever the step before was left.
fn hazard_meets_the_eye(phone: &Phone, name: &str, number: u32) {
    let seen = phone.script(
        "const frame = () => new Promise(done => requestAnimationFrame(done));
         await frame(); await frame();
         const hazard = document.querySelector('main section.hazard');
         const top = hazard?.getBoundingClientRect().top;
         const under = document.querySelector('header.top').getBoundingClientRect().bottom;
         return !hazard || (top >= under - 1 && top < innerHeight / 2)",
    );
    assert_eq!(
        seen, true,
        "{name}, step {number}: the hazard is out of sight"
    );
}

/// Does steps until the job has no more, and looks at all that is new in them.
/// `at` is called before each step with its number, from 0.
fn work(phone: &Phone, look: Look, name: &str, at: &mut dyn FnMut(&Phone, Look, u32)) {
    let mut seen = BTreeSet::new();
    let mut see = |phone: &Phone, look: Look, number: u32| {
        let width = phone.script("return document.scrollingElement.scrollWidth - innerWidth");
        assert_eq!(width, 0, "{name}, step {number}, is wider than the screen");
        let before = seen.len();
        seen.extend(kinds(phone));
        if seen.len() > before {
            look(phone, &format!("{name}-step-{number}"));
        }
    };
    let mut number = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        hazard_meets_the_eye(phone, name, number);
        at(phone, look, number);
        for _ in 0..12 {
            see(phone, look, number);
            if phone.can_be_done() {
                break;
            }
            phone.meet_a_demand();
        }
        phone.do_step();
        number += 1;
        assert!(number < 160, "the job has no end");
    }
}

/// Every screen of the app, with a whole job on the laptop.
pub fn laptop(look: Look) {
    let server = Server::start();
    let mut phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    look(&phone, "today-empty");
    phone.tap_words("Desk");
    phone.see_words("No job");
    look(&phone, "desk-empty");
    phone.tap_words("New");
    phone.see_words("Sorrel 14");
    look(&phone, "units");
    phone.tap_words("Sorrel 14");
    phone.see("input[placeholder='TM-0001']");
    look(&phone, "new-job");
    phone.tap_words("Memory module");
    phone.type_into("input[placeholder='TM-0001']", "TM-0901");
    phone.see_words("Start: about");
    open_all(&phone);
    phone.see_words("5 in 10 within");
    phone.see_words("instead of");
    phone.tap_words("Change");
    phone.tap(".part .more");
    phone.see(".part-tasks");
    look(&phone, "new-job-open");
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    look(&phone, "plan");
    phone.tap_words("Begin");
    phone.see("h1.do");

    work(
        &phone,
        look,
        "laptop",
        &mut |phone, look, number| match number {
            2 => {
                phone.tap_words("Pause");
                phone.see("dialog[open] button");
                look(phone, "pause-sheet");
                phone.tap_words("Break");
                phone.see_words("Resume work");
                look(phone, "paused");
                phone.tap_words("Resume work");
                phone.see("h1.do");
            }
            3 => {
                phone.tap_words("Add a task");
                phone.see("dialog[open] input");
                look(phone, "add-sheet");
                phone.tap("dialog[open] li button");
                phone.see("dialog[open] .offer:not([disabled])");
                look(phone, "add-one");
                phone.tap_words("Add this task");
                phone.see_no("dialog[open]");
                phone.page("");
                let tasks = "document.querySelectorAll('[aria-labelledby=tasks] li button')";
                phone.tap_found("Drop", &format!("[...{tasks}].at(-1)"));
                phone.see("dialog[open] .offer:not([disabled])");
                look(phone, "drop-sheet");
                phone.tap_words("Drop this task");
                phone.see_no("dialog[open]");
                phone.page("/step");
                phone.see("h1.do");
            }
            14 => {
                phone.tap_words("Something");
                phone.see("dialog[open] button");
                look(phone, "trouble-sheet");
                phone.tap_words("Back");
                phone.see_no("dialog[open]");
                phone.tap_words("Tray");
                phone.see_words("Wells");
                look(phone, "tray");
                phone.page("");
                phone.see_words("Planned time left");
                phone.tap(".steps .here summary");
                phone.see(".why[open] li");
                open_all(phone);
                look(phone, "plan-open");
                phone.leave_in(22);
                phone.see_words("urn back by");
                look(phone, "plan-near");
                phone.page("/step");
                phone.see_words("urn back by");
                look(phone, "step-near");
                phone.shift_clock(15, true);
                phone.see_words("has passed");
                look(phone, "step-late");
                phone.tap_words("Turn back now");
                phone.see_words("Close up now");
                look(phone, "turning-sheet");
                phone.tap_words("Back");
                phone.see_no("dialog[open]");
            }
            _ => {}
        },
    );
    phone.see_words("Close the job");
    look(&phone, "wrap-up");
    phone.page("/step");
    phone.see_words("All steps are done");
    look(&phone, "finished");
    phone.page("/wrap-up");
    phone.clear_old_parts();
    phone.tap_words("Complete");
    phone.see_words("Closed");
    look(&phone, "closed");
    phone.tap_words("Desk");
    phone.see_words("By step");
    look(&phone, "desk");
    phone.tap_words("Records");
    phone.see_words("Saved on this device");
    look(&phone, "records");
    phone.script("location.hash = '#/no/such/screen'");
    phone.see_words("Page not found");
    look(&phone, "lost");

    // Closed in mid-step, and open again later.
    crate::job::begin(&phone, "TM-0902");
    phone.do_step();
    phone.crash();
    phone.let_pass(20);
    phone.open(server.address());
    phone.see_words("Carry on");
    look(&phone, "today");
    phone.tap_words("Carry on");
    phone.see_words("Lidoff was closed during the job");
    look(&phone, "gap");
}

/// A whole job on the kiosk, with a way that is blocked.
pub fn kiosk(look: Look) {
    let (_server, phone) = crate::deviations::kiosk_begun("TM-0903");
    do_up_to(&phone, "Open the two quarter-turn fasteners");
    for (trouble, form) in [
        ("Danger: smoke", "danger"),
        ("It is broken", "broken"),
        ("A fastener is lost", "fastener"),
        ("The new part is missing", "missing"),
        ("The wrong part", "wrong-part"),
        ("differs from the catalog", "catalog"),
        ("I need to stop", "stop"),
        ("It won't come off", "stuck"),
    ] {
        phone.tap_words("Something");
        phone.see("dialog[open] .choice");
        phone.tap_words(trouble);
        phone.see("dialog[open] h3");
        look(&phone, &format!("kiosk-trouble-{form}"));
        if form == "broken" {
            phone.tap_words("Another part");
            phone.see_words("Which part is broken?");
            look(&phone, "kiosk-trouble-broken-other");
        }
        if form != "stuck" {
            phone.tap_words("Back");
            phone.see_no("dialog[open]");
        }
    }
    phone.see_words("close up from here");
    phone.tap_words("It won't come undone");
    phone.see_no("dialog[open]");
    phone.page("");
    phone.see_words("Planned time left");
    open_all(&phone);
    phone.see_words("Blocked routes");
    look(&phone, "kiosk-change");
    phone.page("/step");
    phone.see("h1.do");
    work(&phone, look, "kiosk", &mut |_, _, _| {});
    phone.see_words("Close the job");
    look(&phone, "kiosk-wrap-up");
}

/// What stops the work: a failed reading, a danger, an answer without a plan.
pub fn findings(look: Look) {
    let (_server, phone) = crate::findings::powered(&["Board", "Fan"]);
    do_up_to(&phone, "mains-dead");
    crate::findings::enter(&phone, "230");
    phone.see("#alarm");
    look(&phone, "alarm");
    crate::findings::enter(&phone, "0");
    phone.see_no("#alarm");
    phone.tap_words("Something");
    phone.tap_words("Danger: smoke");
    phone.tap_words("A part is live");
    phone.see("#danger");
    look(&phone, "danger");
    phone.tap_words("Back");
    phone.see_no("dialog[open]");
    do_up_to(&phone, "board-clips");
    open_all(&phone);
    look(&phone, "standing");
    phone.tap_words("glued");
    phone.see_words("Leave for the next visit");
    look(&phone, "stale");
}
