//! Hands busy, and what goes wrong under them: waits counted down, photos, a
//! fastener that is lost, the wrong part brought, taps that bounce, the screen
//! that stays on, a voice that reads.

use std::fs;

use base64::Engine as _;
use base64::prelude::BASE64_STANDARD;
use serde_json::{Value, json};
use tempfile::TempDir;

use crate::deviations::{do_up_to, kiosk_begun_for};
use crate::job::{begin, begin_with, begun};
use crate::phone::Phone;
use crate::server::Server;
use crate::shots::each;

/// A red picture of 4 × 3 points, as PNG.
const PICTURE: &str = "iVBORw0KGgoAAAANSUhEUgAAAAQAAAADCAIAAAA7ljmRAAAAEElEQVR4nGM4oSAARww4OQDrdwuhZh0XvAAAAABJRU5ErkJggg==";

/// The keys Control and Enter together (WebDriver, "Keyboard actions").
const CTRL_ENTER: &str = "\u{E009}\u{E007}\u{E000}";

impl Phone {
    fn says(&self, words: &str) -> bool {
        let words = Value::from(words);
        self.script(&format!("return document.body.innerText.includes({words})")) == true
    }

    fn done_says(&self) -> (String, bool) {
        let said = self.script(
            "const done = document.querySelector('#done'); return [done.innerText, done.disabled]",
        );
        let words = said[0].as_str().expect("words on Done").to_owned();
        (words, said[1] == true)
    }

    /// Works to the end of the job.
    pub fn do_the_rest(&self) {
        let mut steps = 0;
        while self.script("return location.hash.endsWith('/step')") == true {
            self.do_step();
            steps += 1;
            assert!(steps < 120, "the job has no end");
        }
    }

    /// Confirms in the wrap-up what must be done with each old part.
    pub fn clear_old_parts(&self) {
        let open = "[aria-labelledby=old-parts] button.undone";
        let count = format!("return document.querySelectorAll('{open}').length");
        while let Some(left @ 1..) = self.script(&count).as_u64() {
            self.tap(open);
            self.wait_until("an old part is cleared", || {
                self.script(&count).as_u64() < Some(left)
            });
        }
    }

    /// Runs this before anything else in each page from the next on.
    pub fn before_pages(&self, source: &str) {
        self.cdp(
            "Page.addScriptToEvaluateOnNewDocument",
            &json!({ "source": source }),
        );
    }

    /// Chooses a picture, as the camera would hand it over.
    pub fn take_photo(&self) {
        let folder = TempDir::new().expect("a folder");
        let path = folder.path().join("photo.png");
        let picture = BASE64_STANDARD.decode(PICTURE).expect("a picture");
        fs::write(&path, picture).expect("a picture");
        self.type_into("#photo", path.to_str().expect("a path in UTF-8"));
        self.wait_until("the photo is shown small", || {
            self.script("return document.querySelector('.thumb img')?.naturalWidth > 0") == true
        });
    }
}

/// A phone on which a job on the laptop has just been begun: the fan is to be
/// replaced, below a dozen screws of three lengths.
fn fan_begun(reference: &str) -> (Server, Phone) {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    begin_with(&phone, reference, "Fan");
    (server, phone)
}

#[test]
fn done_is_disabled_until_a_wait_is_over_even_after_a_reload() {
    let (_server, phone) = kiosk_begun_for("TM-0801", "Power supply");
    do_up_to(&phone, "Wait for the 5-minute timer");
    phone.see_words("This wait is for your safety and cannot be skipped.");
    assert_eq!(phone.done_says(), ("Wait first".to_owned(), true));

    let left = || {
        let words = phone.read("#wait-left");
        let (minutes, seconds) = words.split_once(':').expect("a clock");
        minutes.parse::<u32>().expect("minutes") * 60 + seconds.parse::<u32>().expect("seconds")
    };
    let before = left();
    assert!((1..=300).contains(&before), "{before} s of five minutes");
    phone.let_time_pass(std::time::Duration::from_secs(30));
    phone.reload();
    phone.see("#wait-left");
    let after = left();
    assert!(after <= before - 30, "{before} s left, and then {after} s");
    assert_eq!(phone.done_says(), ("Wait first".to_owned(), true));

    phone.wait_out();
    phone.see_words("The wait is over.");
    assert_eq!(phone.done_says(), ("Done".to_owned(), false));
    phone.do_step();
    // The charge is measured before hands go in.
    assert!(phone.action().contains("Measure at the two test points"));
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_photo_stays_with_its_step_goes_into_the_report_and_can_be_deleted() {
    let (_server, phone) = begun("TM-0802");
    phone.take_photo();
    phone.see_words("one photo, 0.1 MB");
    assert_eq!(
        phone
            .script("return Object.values(localStorage).some(text => text.includes('data:image'))"),
        false,
        "local storage is for the log alone"
    );
    phone.reload();
    phone.see(".thumb img");
    phone.do_step();
    phone.see_no(".thumb");
    phone.page("/wrap-up");
    phone.see(".thumb img");
    let page = phone.saved_by(|| phone.tap_words("Save the report with photos"));
    assert!(page.contains("src=\"data:image/jpeg;base64,"), "no picture");
    assert!(page.contains("TM-0802"));
    phone.tap(".thumb");
    phone.see("dialog img.large");
    phone.tap_words("Delete this photo");
    phone.see_no(".thumb");
    phone.wait_until("the picture itself is gone", || {
        phone.script(
            "const open = indexedDB.open('lidoff-photos');
             await new Promise(done => open.onsuccess = done);
             const count = open.result.transaction('events').objectStore('events').count();
             await new Promise(done => count.onsuccess = done);
             open.result.close();
             return count.result",
        ) == 0
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_lost_screw_needs_a_reason_before_the_job_is_complete() {
    let (_server, phone) = fan_begun("TM-0803");
    do_up_to(&phone, "Remove the four short screws");
    phone.tap_words("Something");
    phone.tap_words("A fastener is lost or stripped");
    phone.tap_words("One is lost");
    phone.see_no("dialog[open]");
    phone.tap_words("Tray");
    phone.see_words("1 lost");
    phone.see(".cell.now");
    phone.see_words("fill now");
    phone.tap_words("Back to the step");
    phone.see("h1.do");
    phone.do_the_rest();
    phone.see_words("Before you close:");
    phone.see_words("1 lost, one position left empty.");
    let shut = "return [...document.querySelectorAll('#app button')]
        .find(it => it.innerText === 'Complete').disabled";
    assert_eq!(phone.script(shut), true);
    phone.type_into("[aria-labelledby=tally] input", "in the lift shaft");
    phone.tap_words("Save the reason");
    phone.see_words("Reasons given");
    phone.see_words("in the lift shaft");
    phone.clear_old_parts();
    assert_eq!(phone.script(shut), false);
    phone.tap_words("Complete");
    phone.see_words("Closed");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_wrong_part_closes_the_unit_and_is_reported_to_the_next_visit() {
    let (_server, phone) = begun("TM-0804");
    do_up_to(&phone, "Unpack the new memory module");
    phone.tap_words("Something");
    phone.tap_words("The wrong part was brought");
    phone.see_words("left instead of");
    phone.tap_words("Close up with the old part");
    phone.see_no("dialog[open]");
    phone.do_the_rest();
    phone.see_words("Zero: everything taken out is accounted for.");
    phone.see_words("the wrong part was brought");
    phone.see_words("left for the next visit");
    phone.tap_words("Another visit is needed");
    phone.see_words("Closed");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_double_tap_on_done_counts_once_and_the_keyboard_works_too() {
    let (_server, phone) = begun("TM-0805");
    do_up_to(&phone, "Spread both socket arms");
    while !phone.can_be_done() {
        phone.meet_a_demand();
    }
    let first = phone.action();
    phone.rest();
    // The clock stands still, so that the second tap comes as soon as can be.
    phone.script(
        "window.realNow = performance.now.bind(performance);
         const stands = realNow(); performance.now = () => stands;
         document.querySelector('#done').click()",
    );
    phone.wait_until("the next step is there", || phone.action() != first);
    let second = phone.action();
    // It asks for nothing; only the bounced tap is not taken.
    assert_eq!(phone.done_says(), ("Done".to_owned(), false));
    phone.script(
        "document.querySelector('#done').click();
         await new Promise(done => setTimeout(done, 1000))",
    );
    assert_eq!(phone.action(), second);
    phone.script("performance.now = () => realNow()");
    phone.script("await new Promise(done => setTimeout(done, 500))");
    phone.type_into("#app", CTRL_ENTER);
    phone.wait_until("the keyboard did it", || phone.action() != second);
    // Over an open question the key does nothing.
    let third = phone.action();
    phone.tap_words("Something");
    phone.type_into("dialog[open]", CTRL_ENTER);
    phone.script("await new Promise(done => setTimeout(done, 500))");
    assert_eq!(phone.action(), third);
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn the_screen_stays_on_only_while_a_step_runs() {
    let server = Server::start();
    let phone = Phone::new();
    phone.before_pages(
        "window.locks = 0;
         const lock = () => { window.locks += 1; return { release: async () => { window.locks -= 1 } } };
         Object.defineProperty(navigator, 'wakeLock', { value: { request: async () => lock() } })",
    );
    phone.open(server.address());
    phone.wait_until_kept();
    assert_eq!(phone.script("return window.locks"), 0);
    begin(&phone, "TM-0806");
    let locks = |many: u32, when: &str| {
        phone.wait_until(when, || phone.script("return window.locks") == many);
    };
    locks(1, "the screen is kept on");
    phone.do_step();
    locks(1, "it is still kept on, once");
    phone.tap_words("Pause");
    phone.tap_words("Break");
    locks(0, "a pause lets it go");
    phone.tap_words("Resume work");
    locks(1, "it is kept on again");
    phone.tap_words("Plan");
    locks(0, "another screen lets it go");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_missing_wake_lock_is_reported_once() {
    let server = Server::start();
    let phone = Phone::new();
    phone.before_pages("Object.defineProperty(navigator, 'wakeLock', { value: undefined })");
    phone.open(server.address());
    phone.wait_until_kept();
    begin(&phone, "TM-0807");
    phone.see_words("This browser cannot keep the screen on");
    phone.tap(".banner button");
    phone.see_no(".banner");
    phone.do_step();
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    phone.tap_words("Carry on");
    phone.see("h1.do");
    phone.see_no(".banner");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_step_is_read_aloud_only_by_an_offline_voice() {
    let server = Server::start();
    let phone = Phone::new();
    phone.before_pages(
        "window.voices = [{ lang: 'en-GB', localService: false }];
         window.said = [];
         const synth = new EventTarget();
         Object.assign(synth, {
           getVoices: () => window.voices, cancel() {}, speak(it) { window.said.push(it) },
         });
         Object.defineProperty(window, 'speechSynthesis', { value: synth });
         window.SpeechSynthesisUtterance = class { constructor(text) { this.text = text } }",
    );
    phone.open(server.address());
    phone.wait_until_kept();
    begin(&phone, "TM-0808");
    phone.tap_words("More on this step");
    phone.tap_words("Screen, voice, beep, keyboard");
    phone.see_words("This device has no offline voice");
    assert!(!phone.says("Read aloud"));
    phone.script(
        "window.voices.push({ lang: 'de_DE', localService: true }, { lang: 'en_US', localService: true });
         speechSynthesis.dispatchEvent(new Event('voiceschanged'))",
    );
    phone.tap_words("Read aloud");
    let said = phone.script("const [it] = window.said; return [it.text, it.voice.lang]");
    let text = said[0].as_str().expect("words");
    assert!(text.contains(&phone.action()), "{text}");
    assert_eq!(said[1], "en_US");
    phone.see_words("Stop reading");
    // Every step, from the next on.
    phone.tap_words("Read every step aloud");
    phone.do_step();
    phone.wait_until("the next step is read", || {
        let last = phone.script("return window.said.at(-1).text");
        last.as_str().expect("words").contains(&phone.action())
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_busy_hands() {
    let (_server, phone) = fan_begun("TM-0004");
    let top = |css: &str| {
        let css = Value::from(css);
        phone.script(&format!(
            "document.querySelector({css}).scrollIntoView({{block: 'start'}}); scrollBy(0, -80)"
        ));
    };
    do_up_to(&phone, "Unplug charger");
    each(&phone, "hands-isolate");
    do_up_to(&phone, "Hold the power button");
    each(&phone, "hands-isolated");
    do_up_to(&phone, "Measure the underside");
    each(&phone, "hands-wait");
    phone.tap(".hazard button:not(.back)");
    phone.type_into("[aria-label=Check] input", "60");
    phone.tap_words("Enter the reading");
    phone.see_words("✗ failed");
    top("[aria-label=Check]");
    each(&phone, "hands-failed");
    phone.type_into("[aria-label=Check] input", "33");
    phone.tap_words("Enter another reading");
    do_up_to(&phone, "Remove the two screws");
    phone.take_photo();
    phone.take_photo();
    phone.tap_words("More on this step");
    phone.tap_words("Screen, voice, beep, keyboard");
    top("[aria-label=Photos]");
    each(&phone, "hands-photos");
    phone.tap(".thumb");
    phone.see("dialog img.large");
    each(&phone, "hands-photo");
    phone.tap_words("Back");
    phone.tap_words("Something");
    each(&phone, "hands-wrong");
    for (choice, name) in [
        ("It is broken", "broken"),
        ("It won't come off", "stuck"),
        ("A fastener is lost", "fastener"),
        ("The new part is missing", "missing"),
        ("The wrong part was brought", "wrong-part"),
        ("It differs from the catalog", "catalog"),
        ("I need to stop", "stop"),
    ] {
        phone.tap_words(choice);
        phone.see_words("Choose something else");
        each(&phone, &format!("hands-wrong-{name}"));
        phone.tap_words("Choose something else");
    }
    phone.tap_words("A fastener is lost");
    phone.tap_words("One is lost");
    phone.see_no("dialog[open]");
    phone.tap_words("Tray");
    phone.see_words("Wells");
    top("[aria-labelledby=wells]");
    each(&phone, "hands-tray");
    top("[aria-labelledby=fates]");
    each(&phone, "hands-tray-fates");
    phone.tap_words("Back to the step");
    phone.see("h1.do");
    phone.do_the_rest();
    phone.see_words("Before you close:");
    each(&phone, "hands-wrap-up");
    phone.type_into("[aria-labelledby=tally] input", "in the lift shaft");
    phone.tap_words("Save the reason");
    phone.see_words("Reasons given");
    each(&phone, "hands-wrap-up-reason");
    top("[aria-labelledby=checks]");
    each(&phone, "hands-wrap-up-checks");
    top("[aria-label=Photos]");
    each(&phone, "hands-wrap-up-photos");
}
