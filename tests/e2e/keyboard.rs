//! A whole job by keyboard alone, with the focus always in sight.
//!
//! Source: WCAG 2.2, success criteria 2.1.1 (keyboard), 2.4.7 (focus visible) and
//! 2.4.11 (focus not obscured, minimum).

use std::time::Instant;

use serde_json::Value;

use crate::phone::Phone;
use crate::server::Server;

// WebDriver, "Keyboard actions": the code points of keys.
const TAB: &str = "\u{E004}";
const ENTER: &str = "\u{E007}";
const ESCAPE: &str = "\u{E00C}";
const SPACE: &str = " ";

/// What a step asks for before it can be done, and Done itself.
const ASKED: &str = ".hazard button:not(.back), .hazard input, fieldset.sheet button, fieldset.sheet input, \
                     [aria-label=Check] button, [aria-label=Check] input, label.boxed input, #done";

impl Phone {
    /// Goes to the next thing that takes the focus, and checks that it is to be
    /// seen. What it is, in words.
    fn tab(&self) -> String {
        self.press(TAB);
        let said = self.script(
            "const it = document.activeElement;
             if (!it || it === document.body || it === document.documentElement) return ['', true, true];
             const shown = it.closest('label.tick') ?? it;
             const { left, right, top, bottom } = shown.getBoundingClientRect();
             const spots = [0.02, 0.5, 0.98].flatMap(x => [0.05, 0.5, 0.95].map(y =>
               document.elementFromPoint(left + x * (right - left), top + y * (bottom - top))));
             const clear = spots.filter(spot => spot && (shown.contains(spot) || spot.contains(it) && spot.localName !== 'main')).length;
             const { outlineStyle, outlineWidth } = getComputedStyle(it);
             const words = it.getAttribute('aria-label') ?? shown.innerText ?? '';
             return [`${it.localName} ${it.type ?? ''} ${words}`, clear > 0,
               outlineStyle !== 'none' && parseFloat(outlineWidth) >= 2]",
        );
        let what = said[0].as_str().expect("words").to_owned();
        let place = self.script("return location.hash + ' ' + scrollY");
        assert_eq!(
            said[1], true,
            "“{what}” has the focus and is hidden, at {place}"
        );
        assert_eq!(
            said[2], true,
            "“{what}” has the focus and does not show it, at {place}"
        );
        what
    }

    /// Lets the page draw what has come up: the focus goes to what it is about in the
    /// frame after, and a key pressed before that would go on from somewhere else.
    fn let_it_draw(&self) {
        self.script(
            "const frame = () => new Promise(done => requestAnimationFrame(done));
             await frame(); await frame(); await frame()",
        );
    }

    /// Goes on to the thing that says this.
    fn tab_to(&self, words: &str) {
        self.let_it_draw();
        let mut passed = Vec::new();
        for _ in 0..150 {
            let what = self.tab();
            if what.contains(words) {
                return;
            }
            passed.push(what);
        }
        panic!("the keyboard does not get to “{words}”, only to {passed:#?}");
    }

    /// Goes on to the next thing that fits the CSS selector.
    fn tab_to_css(&self, css: &str) {
        self.let_it_draw();
        let fits = format!(
            "return document.activeElement.matches({})",
            Value::from(css)
        );
        for _ in 0..150 {
            self.tab();
            if self.script(&fits) == true {
                return;
            }
        }
        panic!("the keyboard does not get to {css}");
    }

    /// Does what the step in hand asks, and the step, and counts the keys.
    fn step_by_keyboard(&self) {
        let place = self.place();
        for _ in 0..20 {
            self.wait_out();
            // A check that was read can be read again: it is not asked for.
            let ready = self.can_be_done();
            self.tab_to_css(if ready { "#done" } else { ASKED });
            let before = self.script("return document.querySelector('#app').innerText");
            let kind = self.script("return document.activeElement.type");
            let done = self.script("return document.activeElement.id === 'done'") == true;
            if kind == "text" {
                let value = self.script(
                    "const said = document.activeElement.closest('label').innerText;
                     return said.slice(said.lastIndexOf('(')).match(/-?[0-9.]+/g)[0]",
                );
                for digit in value.as_str().expect("a limit").chars() {
                    self.press(&digit.to_string());
                }
                self.press(ENTER);
            } else if kind == "checkbox" || kind == "radio" {
                self.press(SPACE);
            } else {
                if done {
                    self.rest();
                }
                self.press(ENTER);
                if done {
                    self.last_done.set(Some(Instant::now()));
                }
            }
            self.wait_until("something comes of it", || {
                self.script("return document.querySelector('#app').innerText") != before
            });
            if done {
                self.wait_until("the next step is on the screen", || self.place() != place);
                return;
            }
        }
        panic!("the step asks for more and more");
    }
}

#[test]
fn a_whole_job_by_keyboard_alone() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see_words("Start a new job");
    phone.tab_to("Start a new job");
    phone.press(ENTER);
    phone.see_words("Sorrel 14");
    phone.tab_to("Sorrel 14");
    phone.press(ENTER);
    phone.see("input[placeholder='TM-0001']");
    phone.tab_to("Memory module");
    phone.press(SPACE);
    phone.see_words("Start: about");
    phone.tab_to("Start: about");
    phone.press(ENTER);
    phone.see_words("Planned time left");
    phone.tab_to("Begin");
    phone.press(ENTER);
    phone.see("h1.do");

    // A sheet opens, goes again by Escape, and gives the focus back.
    let focus = "return document.activeElement.innerText";
    phone.tab_to("button button Pause");
    phone.press(ENTER);
    phone.see("dialog[open]");
    phone.tab_to("Break");
    phone.press(ESCAPE);
    phone.see_no("dialog[open]");
    assert_eq!(phone.script(focus), "Pause");
    // No key follows Escape within the frame in which the sheet goes.
    phone.let_it_draw();
    phone.press(ENTER);
    phone.see("dialog[open]");
    phone.tab_to("Break");
    phone.press(ENTER);
    phone.see_words("Resume work");
    phone.tab_to("Resume work");
    phone.press(ENTER);
    phone.see("h1.do");

    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        phone.step_by_keyboard();
        steps += 1;
        assert!(steps < 120, "the job has no end");
    }
    assert!(steps > 20, "the job has only {steps} steps");
    phone.see_words("Close the job");
    let open = || {
        phone
            .script("return document.querySelectorAll('.undone').length")
            .as_u64()
    };
    while let Some(left @ 1..) = open() {
        phone.tab_to_css(".undone");
        phone.press(ENTER);
        phone.wait_until("an old part is cleared", || open() < Some(left));
    }
    phone.tab_to("button button Complete");
    phone.press(ENTER);
    phone.see_words("Closed");
    assert_eq!(phone.console_errors(), [""; 0]);
}
