//! What was recorded stays until it is removed, and what was removed is gone.

use serde_json::{Value, json};

use crate::deviations::kiosk_begun_for;
use crate::job::{ARCHIVED, begin, begun, seed_finished};
use crate::phone::Phone;

/// How many records of jobs there are: in local storage, in the journal.
fn records(phone: &Phone) -> (u64, u64) {
    let many = phone.script(
        "const open = indexedDB.open('lidoff');
         await new Promise(done => open.onsuccess = done);
         const count = open.result.transaction('events').objectStore('events').count();
         await new Promise(done => count.onsuccess = done);
         open.result.close();
         const kept = Object.keys(localStorage).filter(it => it.startsWith('lidoff/job/'));
         return [kept.length, count.result]",
    );
    let number = |at: usize| many[at].as_u64().expect("a number");
    (number(0), number(1))
}

#[test]
fn a_job_is_removed_once_that_was_confirmed_and_stays_removed() {
    let (server, mut phone) = begun("TM-1101");
    begin(&phone, "TM-1102");
    let (kept, _) = records(&phone);
    phone.tap_words("Records");
    phone.tap_words("Remove jobs from this device");
    phone.tap("[aria-label='Remove TM-1101 · Sorrel 14']");
    phone.see_words("Job TM-1101 · Sorrel 14: 2 entries");
    phone.see_words("the work on it is lost");
    let saved = phone.saved_by(|| phone.tap_words("Save to a file first"));
    assert!(saved.contains("lidoff-job/1"), "{saved}");
    // Whoever thinks better of it keeps it.
    phone.tap_words("Back");
    assert_eq!(records(&phone).0, kept);
    phone.tap("[aria-label='Remove TM-1101 · Sorrel 14']");
    phone.tap_words("Remove now");
    phone.see_words("The job was removed.");
    phone.see_no("dialog[open]");
    assert_eq!(records(&phone), (kept - 2, kept - 2));
    phone.see_no("[aria-label='Remove TM-1101 · Sorrel 14']");
    phone.see("[aria-label='Remove TM-1102 · Sorrel 14']");
    // Local storage may come back with what it held before: the journal does not.
    phone.crash();
    phone.open(server.address());
    phone.see_words("TM-1102");
    phone.see_words("Carry on");
    assert!(!phone.read("#app").contains("TM-1101"));
    let (in_storage, in_journal) = records(&phone);
    assert!(in_storage < kept && in_journal < kept);
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn everything_is_removed_and_nothing_comes_back() {
    let (_server, phone) = begun("TM-1103");
    phone.script("localStorage.setItem('somebody-else', 'stays')");
    phone.tap_words("Records");
    phone.tap_words("Remove jobs from this device");
    phone.tap_words("Remove everything from this device");
    phone.see_words("1 job with its photos");
    let saved = phone.saved_by(|| phone.tap_words("Save to a file first"));
    let saved: Value = serde_json::from_str(&saved).expect("records in JSON");
    let events = saved["indexedDB"]["lidoff"]["events"].as_array();
    assert_eq!(events.map(Vec::len), Some(2));
    phone.tap_words("Remove now");
    phone.wait_until("nothing is left", || records(&phone) == (0, 0));
    phone.see_words("0 jobs");
    let left = phone.script("return Object.keys(localStorage)");
    assert_eq!(left, json!(["somebody-else"]));
    phone.tap_words("Lidoff");
    phone.see_words("No job is open on this device.");
    phone.reload();
    phone.see_words("No job is open on this device.");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_catalog_that_was_added_can_be_removed_and_the_served_one_is_used_again() {
    let (_server, phone) = begun("TM-1104");
    phone.script(
        "const text = await (await fetch('catalogs/sorrel-14.json')).text();
         const open = indexedDB.open('lidoff');
         await new Promise(done => open.onsuccess = done);
         const write = open.result.transaction('catalogs', 'readwrite');
         write.objectStore('catalogs').put(text.replace('Sorrel 14', 'Sorrel 14 mine'), 'mine.json');
         await new Promise(done => write.oncomplete = done);
         open.result.close()",
    );
    phone.reload();
    phone.tap_words("Records");
    phone.see_words("Added from “mine.json”: Sorrel 14 mine");
    phone.tap("[aria-label='Remove mine.json']");
    phone.see_words("One open job needs it.");
    phone.tap_words("Remove now");
    phone.see_words("The catalog from “mine.json” was removed.");
    phone.tap_words("New");
    phone.see_words("Sorrel 14");
    assert!(!phone.read("#app").contains("Sorrel 14 mine"));
    assert_eq!(phone.console_errors(), [""; 0]);
}

/// Clicks the button, and once more as if it had been tapped so many ms after that and only
/// handled once the next screen is there.
fn tap_twice(phone: &Phone, css: &str, apart_ms: u32) {
    phone.script(&format!(
        "const tap = at => {{
           const tap = new MouseEvent('click', {{ bubbles: true, cancelable: true }});
           Object.defineProperty(tap, 'timeStamp', {{ value: at }});
           document.querySelector({css}).dispatchEvent(tap);
         }};
         const at = new Event('now').timeStamp;
         tap(at);
         await new Promise(done => setTimeout(done, 900));
         tap(at + {apart_ms});
         await new Promise(done => setTimeout(done, 300))",
        css = Value::from(css),
    ));
}

#[test]
fn two_touches_that_a_slow_phone_handles_late_do_one_step_and_undo_one() {
    let (_server, phone) = begun("TM-1105");
    let ready = |phone: &Phone| {
        while !phone.can_be_done() {
            phone.meet_a_demand();
        }
    };
    // "Strip down · 11 of 69".
    let place = |phone: &Phone| -> u32 {
        let place = phone.read(".place span");
        let words = place
            .split_once("· ")
            .and_then(|(_, place)| place.split_once(' '));
        let (number, _) = words.unwrap_or_else(|| panic!("a place, not {place}"));
        number.parse().expect("a number")
    };
    // Where two steps in a row ask for nothing, a second touch would do the second.
    for _ in 0..30 {
        ready(&phone);
        phone.rest();
        let here = place(&phone);
        tap_twice(&phone, "#done", 150);
        assert_eq!(place(&phone), here + 1, "two touches did two steps");
        if phone.can_be_done() {
            break;
        }
    }
    assert!(phone.can_be_done(), "every step asks for something");
    phone.let_time_pass(std::time::Duration::from_secs(2));
    phone.do_step();
    let here = place(&phone);
    tap_twice(&phone, "[aria-label='Undo the last entry']", 150);
    assert_eq!(place(&phone), here - 1, "two touches undid two steps");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_hazard_whose_last_two_demands_are_ticked_at_once_can_be_acknowledged() {
    let (_server, phone) = kiosk_begun_for("TM-1106", "Display panel");
    let ticks = "return Math.max(0, ...[...document.querySelectorAll('.hazard')]
                     .map(it => it.querySelectorAll('.tick-off').length))";
    let mut found = 0;
    for _ in 0..40 {
        found = phone.script(ticks).as_u64().unwrap_or_default();
        if found >= 2 {
            break;
        }
        phone.do_step();
    }
    assert!(found >= 2, "no hazard has two demands to tick");
    phone.script(
        "const many = it => it.querySelectorAll('.tick-off').length;
         const hazard = [...document.querySelectorAll('.hazard')].find(it => many(it) > 1);
         for (const tick of hazard.querySelectorAll('.tick-off')) tick.click()",
    );
    // All of them are met: there is a way on.
    phone.do_step();
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_wait_for_safety_goes_on_where_it_was_when_the_clock_is_set_forward_and_the_app_restarts() {
    let (_server, phone) = kiosk_begun_for("TM-1107", "Power supply");
    let left = |phone: &Phone| {
        let left = phone.read("#wait-left");
        let (minutes, seconds) = left.split_once(':').expect("a clock");
        minutes.parse::<i64>().expect("min") * 60 + seconds.parse::<i64>().expect("s")
    };
    for _ in 0..40 {
        if phone.script("return !!document.querySelector('#wait-left')") == true {
            break;
        }
        phone.do_step();
    }
    let before = left(&phone);
    assert!(before > 120, "{before} s left");
    // Two minutes by the wall clock, and nobody knows whether they have passed.
    phone.let_pass(2);
    phone.reload();
    phone.tap_words("All of it was work");
    let after = left(&phone);
    assert!(
        (before - 30..=before).contains(&after),
        "{before} s, then {after} s"
    );
    phone.see_words("does not count: Lidoff was closed");
    // The entry that answered the question has not ended it, nor does another start.
    phone.reload();
    let after = left(&phone);
    assert!(
        (before - 60..=before).contains(&after),
        "{before} s, then {after} s"
    );
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn archived_jobs_are_still_at_the_desk_in_the_records_and_under_their_address() {
    let (_server, phone) = begun("TM-1105");
    seed_finished(&phone, 0, 16);
    let start_anew = || {
        phone.script("location.hash = '#/'");
        phone.reload();
        phone.see_words("Carry on");
    };
    start_anew();
    phone.wait_until("six are archived", || phone.script(ARCHIVED) == 6);
    start_anew();
    phone.see_words("Several finished jobs are on this device only.");

    phone.script("location.hash = '#/job/10000000000015-b/wrap-up'");
    phone.see_words("Closed");
    phone.reload();
    phone.see_words("Closed");
    phone.tap_words("Records");
    phone.see_words("17 jobs");
    let saved = phone.saved_by(|| phone.tap_words("Save everything to a file"));
    for nth in 0..16 {
        assert!(saved.contains(&format!("100000000000{nth:02}-b")), "{nth}");
    }
    start_anew();
    assert_eq!(
        phone.script("return document.body.innerText.includes('on this device only')"),
        false
    );
    phone.tap_words("Desk");
    phone.wait_until("the desk has all of them", || {
        phone.script("return document.querySelectorAll('a[href$=wrap-up]').length >= 16") == true
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}
