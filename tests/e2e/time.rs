//! Time on a phone: clocks that jump, a turn-back moment that passes, a slot that
//! is booked, learned times that are used and taken off again.

use std::time::Duration;

use serde_json::json;

use crate::job::begun;
use crate::phone::Phone;

/// Clocks of the page that a test may move.
const OWN_CLOCKS: &str = "
    if (!window.trueNow) {
      window.trueNow = Date.now.bind(Date);
      window.trueMono = performance.now.bind(performance);
      window.wrong = 0; window.later = 0; window.waited = 0;
      Date.now = () => trueNow() + wrong + later + waited;
      performance.now = () => trueMono() + later + waited;
      const stamp = Object.getOwnPropertyDescriptor(Event.prototype, 'timeStamp').get;
      Object.defineProperty(Event.prototype, 'timeStamp', {
        configurable: true,
        get() { return stamp.call(this) + later + waited; },
      });
    }";

impl Phone {
    /// From now on the wall clock shows so many minutes more than it would, and
    /// the monotonic clock, too, where so much time really passes.
    pub fn shift_clock(&self, minutes: i32, really: bool) {
        self.script(&format!(
            "{OWN_CLOCKS}
             if ({really}) later = {minutes} * 60000; else wrong = {minutes} * 60000"
        ));
    }

    /// So much time passes, and the page loaded next knows of it, too.
    pub fn let_time_pass(&self, time: Duration) {
        self.script(&format!("{OWN_CLOCKS} waited += {}", time.as_millis()));
        self.set_next_clocks_ahead(time);
        self.ahead.set(self.ahead.get() + time);
    }

    /// Sets a field as a finger on its wheels would.
    fn set_field(&self, css: &str, value: &str) {
        self.see(css);
        self.script(&format!(
            "const it = document.querySelector('{css}');
             it.value = '{value}';
             it.dispatchEvent(new Event('input', {{ bubbles: true }}));
             it.dispatchEvent(new Event('change', {{ bubbles: true }}))"
        ));
    }

    /// So many minutes from now as a field for times takes it.
    fn in_minutes(&self, minutes: i64) -> String {
        let time = self.script(&format!(
            "const at = new Date(Date.now() + {minutes} * 60000);
             return String(at.getHours()).padStart(2, '0') + ':' + String(at.getMinutes()).padStart(2, '0')"
        ));
        time.as_str().expect("a time of day").to_owned()
    }

    /// On the plan: the technician must leave in so many minutes.
    pub fn leave_in(&self, minutes: i64) {
        let time = self.in_minutes(minutes);
        self.set_field("#leave-by", &time);
    }

    /// Goes to another page of the job.
    pub fn page(&self, page: &str) {
        self.script(&format!(
            "location.hash = location.hash.split('/').slice(0, 3).join('/') + '{page}'"
        ));
    }

    /// The turn-back time that the screen shows, in minutes since midnight.
    fn turn_back_minutes(&self) -> i64 {
        let words = self.read("#turn-back");
        let (_, after) = words.split_once("urn back by ").expect("a turn-back time");
        let number = |text: &str| text.parse::<i64>().expect("digits");
        number(&after[..2]) * 60 + number(&after[3..5])
    }
}

#[test]
fn a_clock_change_during_a_step_is_reported_and_not_counted() {
    let (_server, phone) = begun("TM-0501");
    for _ in 0..3 {
        phone.do_step();
    }
    phone.see_no("#clock-told");
    phone.shift_clock(60, false);
    phone.see_words("set forward by 60.0 min");
    let clock = phone.read("[role=timer]");
    assert!(clock.starts_with("0:"), "an hour was counted: {clock}");
    phone.do_step();
    phone.see_no("#clock-told");

    phone.shift_clock(-30, false);
    phone.see_words("set back by 90.0 min");
    let clock = phone.read("[role=timer]");
    assert!(clock.starts_with("0:"), "time ran backwards: {clock}");
    phone.do_step();

    // Another time zone is crossed.
    phone.cdp(
        "Emulation.setTimezoneOverride",
        &json!({ "timezoneId": "Asia/Kolkata" }),
    );
    phone.see_words("Local time changed by +");
    phone.do_step();

    // All of it stays with the job.
    phone.page("/wrap-up");
    phone.see_words("Irregularities");
    phone.see_words("set forward by 60.0 min");
    phone.see_words("set back by 90.0 min");
    phone.see_words("Local time changed by +");
    let took = phone.read(".facts dd");
    assert!(!took.contains('h'), "the job did not take {took}");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_time_after_the_night_of_a_clock_change_is_told_as_the_clock_will_show_it() {
    let (_server, phone) = begun("TM-0505");
    phone.cdp(
        "Emulation.setTimezoneOverride",
        &json!({ "timezoneId": "Europe/Berlin" }),
    );
    // Twenty minutes before two o'clock becomes three o'clock.
    let minutes =
        phone.script("return Math.round((Date.UTC(2027, 2, 28, 0, 40) - Date.now()) / 60_000)");
    let minutes = minutes.as_i64().and_then(|it| it.try_into().ok());
    phone.shift_clock(minutes.expect("a number"), false);
    phone.wait_until("it tells when the job is done", || {
        phone.script("return /Done about 0[34]:/.test(document.body.innerText)") == true
    });
}

#[test]
fn after_the_turn_back_time_the_task_goes_to_the_next_visit() {
    let (_server, phone) = begun("TM-0601");
    for _ in 0..8 {
        phone.do_step();
    }
    // In an hour and a half there is time.
    phone.tap_words("Plan");
    let leave = phone.in_minutes(90);
    phone.set_field("#leave-by", &leave);
    phone.see_words("turn back by");
    let turn = phone.turn_back_minutes();
    let (hours, minutes) = leave.split_once(':').expect("a time of day");
    let leave: i64 =
        hours.parse::<i64>().expect("hours") * 60 + minutes.parse::<i64>().expect("min");
    let needs = (leave - turn).rem_euclid(24 * 60);
    assert!(
        (1..60).contains(&needs),
        "closing up does not take {needs} min"
    );
    // Also where the app starts on the step, and the catalogs come after the job.
    phone.page("/step");
    phone.reload();
    phone.see_words("turn back by");
    phone.script(
        "window.beeps = 0;
         const Real = window.AudioContext;
         window.AudioContext = class extends Real {
           createOscillator() { window.beeps += 1; return super.createOscillator(); }
         }",
    );
    phone.tap_words("Plan");

    // In what closing up takes and a little there is not.
    phone.set_field("#leave-by", &phone.in_minutes(needs + 2));
    phone.see_words("Turn back by");
    phone.page("/step");
    phone.see_words("Turn back by");
    phone.see_words("Turn back now");
    phone.wait_until("it beeps once", || phone.script("return window.beeps") == 1);

    // And then it has passed.
    phone.shift_clock(4, true);
    phone.see_words("has passed");
    phone.wait_until("it beeps again", || {
        phone.script("return window.beeps") == 2
    });
    phone.see_no("#clock-told");
    phone.tap_words("Turn back now");
    phone.see_words("Left for the next visit");
    phone.tap_words("Close up now");
    phone.see_no("dialog");
    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        phone.do_step();
        steps += 1;
        assert!(steps < 60, "closing up has no end");
    }
    phone.see_words("Zero: everything taken out is accounted for.");
    phone.see_words("left for the next visit");
    phone.tap_words("Another visit is needed");
    phone.see_words("Closed");

    // The next visit starts from what is known.
    phone.tap_words("New");
    phone.tap_words("Sorrel 14");
    phone.see_words("Left open on earlier visits");
    phone.tap_words("Add these tasks");
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    phone.see_words("TM-0601");
    phone.see_words("Replace: Memory");
    phone.tap_words("New");
    phone.tap_words("Sorrel 14");
    phone.see_words("Tasks");
    phone.see_no("#left-open");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_slot_is_booked_into_a_calendar_and_travel_is_remembered() {
    let (_server, phone) = begun("TM-0701");
    let choose = || {
        phone.tap_words("New");
        phone.tap_words("Sorrel 14");
        phone.tap_words("Memory");
        phone.tap_words("What this job takes");
        phone.tap_words("Book a slot");
        phone.see("#slot");
    };
    choose();
    let travel = "details[open] input[inputmode=decimal]";
    phone.set_field(travel, "45");
    phone.set_field("#begins", "2027-03-01T09:30");
    let file = phone.saved_by(|| phone.tap_words("Save the calendar file"));
    assert!(file.starts_with("BEGIN:VCALENDAR\r\n"), "{file}");
    assert!(file.contains("SUMMARY:Sorrel 14\r\n"), "{file}");
    assert!(file.contains("Replace: Memory"), "{file}");
    assert!(file.contains("DTSTART:20270301T"), "{file}");
    phone.tap_words("Lidoff");
    choose();
    let kept = phone.script(&format!("return document.querySelector('{travel}').value"));
    assert_eq!(kept, "45");
}

#[test]
fn learned_times_are_shown_beside_the_handbook_and_can_be_removed() {
    let (_server, phone) = begun("TM-0801");
    let first = phone.action();
    let learned = "{\"format\":\"lidoff-times/1\",\"made\":\"2026-11-25 14:00\",\"jobs\":12,\
                   \"steps\":[],\"elements\":[{\"element\":\"note\",\"handbook_s\":45,\"seen_s\":60,\"n\":12},\
                   {\"element\":\"switch\",\"handbook_s\":3,\"seen_s\":6,\"n\":12}]}";
    phone.script(&format!(
        "localStorage.setItem('lidoff/times', '{learned}')"
    ));
    phone.reload();
    phone.tap_words("Records");
    phone.see_words("Estimates are corrected by recorded times");
    phone.see_words("handbook 3.0 s → actual 6.0 s (n = 12)");
    // A job that was planned before keeps its plan.
    phone.tap_words("Lidoff");
    phone.tap_words("Carry on");
    assert_eq!(phone.action(), first);
    phone.tap_words("More on this step");
    assert!(!phone.read("#rests-on").contains("handbook"));
    let seen = |phone: &Phone| {
        let mut seen = false;
        for _ in 0..8 {
            let line =
                phone.script("return document.querySelector('#rests-on')?.textContent ?? ''");
            seen |= line.as_str().is_some_and(|line| line.contains("→ actual"));
            phone.do_step();
        }
        seen
    };
    assert!(!seen(&phone));
    phone.tap_words("Lidoff");
    crate::job::begin(&phone, "TM-0802");
    assert!(seen(&phone), "no step says what was seen");
    phone.tap_words("Records");
    phone.tap_words("Go back to the handbook times");
    phone.see_words("Handbook times and the catalogs' own times.");
    let kept = phone.script("return localStorage.getItem('lidoff/times')");
    assert!(kept.is_null());
    assert_eq!(phone.console_errors(), [""; 0]);
}
