//! What a technician does on a job, tap by tap.

use std::time::{Duration, Instant};

use lidoff_app_core::debounce::BOUNCE_MS;
use serde_json::Value;

use crate::phone::Phone;
use crate::server::Server;

/// What the screen still asks for; its clocks are left out.
const DEMANDED: &str = "
    const many = css => document.querySelectorAll(css).length;
    return [
      document.querySelector('#done')?.innerText, many('.hazard button:not(.back)'),
      many('fieldset.sheet'), many('label.boxed input:enabled'),
      document.querySelector('.verdict')?.innerText, many(`[aria-label='Write down'] [role=status]`),
    ].join()";

/// A value that is to be written down and was not yet.
const TO_WRITE_DOWN: &str = "[aria-label='Write down']:not(:has([role=status]))";

/// What an element shows, without the places where a long word may be broken.
const SHOWN: &str = "innerText.replaceAll('\u{ad}', '')";

impl Phone {
    /// Taps the first button, link, label or summary on the screen that says this.
    pub fn tap_words(&self, words: &str) {
        let find = format!(
            "[...(document.querySelector('dialog[open]') ?? document)
                .querySelectorAll('button, a, label, summary')]
                .find(it => it.checkVisibility() && !it.disabled && it.{SHOWN}.includes({}))",
            Value::from(words)
        );
        self.tap_found(&format!("“{words}”"), &find);
    }

    /// Waits until the screen says this.
    pub fn see_words(&self, words: &str) {
        let look = format!(
            "return document.body.{SHOWN}.includes({})",
            Value::from(words)
        );
        self.wait_until(&format!("the screen says “{words}”"), || {
            self.script(&look) == true
        });
    }

    /// What the step in hand tells to do.
    pub fn action(&self) -> String {
        self.read("h1.do")
    }

    /// Does the step in hand: heeds, answers, reads and confirms what it asks, and
    /// taps Done.
    pub fn do_step(&self) {
        let before = self.place();
        for _ in 0..16 {
            if self.can_be_done() {
                break;
            }
            self.meet_a_demand();
        }
        self.tap_done();
        self.wait_until("the next step is on the screen", || self.place() != before);
    }

    /// Whether the step in hand asks for nothing more.
    pub fn can_be_done(&self) -> bool {
        self.script("return document.querySelector('#done')?.innerText") == "Done"
    }

    /// Lets the clocks go on until the app takes Done again: a tap that follows another
    /// one sooner is taken for the same tap, bounced.
    pub fn rest(&self) {
        let bounce = Duration::from_secs_f64(BOUNCE_MS / 1000.0);
        let elapsed = self.last_done.get().map(|last| last.elapsed());
        let left = elapsed.map_or(Duration::ZERO, |elapsed| bounce.saturating_sub(elapsed));
        if !left.is_zero() {
            self.let_time_pass(left);
        }
    }

    /// Taps Done, no sooner after the last time than the app takes it.
    pub fn tap_done(&self) {
        self.rest();
        self.tap("#done");
        self.last_done.set(Some(Instant::now()));
    }

    /// Lets the clocks go on by what is left of the wait on the screen.
    pub fn wait_out(&self) {
        let left = self.script(
            "const left = document.querySelector('#wait-left, #hazard-wait-left');
             if (!left) return 0;
             const [minutes, seconds] = left.innerText.split(':').map(Number);
             return minutes * 60 + seconds + 1",
        );
        let seconds = left.as_u64().expect("seconds");
        if seconds > 0 {
            self.let_time_pass(Duration::from_secs(seconds));
            self.wait_until("the wait is over", || {
                self.script("return !document.querySelector('#wait-left, #hazard-wait-left')")
                    == true
            });
        }
    }

    /// The number of the step in hand, of "Strip down · 11 of 69", and the address. A new
    /// plan changes how many steps there are, and not this.
    pub fn place(&self) -> String {
        self.script(
            "const place = document.querySelector('.place span')?.innerText ?? '';
             return (place.match(/[0-9]+/)?.[0] ?? '') + location.hash",
        )
        .to_string()
    }

    /// Heeds, answers, reads or confirms the first thing that the step asks for.
    pub fn meet_a_demand(&self) {
        let before = self.script(DEMANDED);
        let is_there = |css: &str| {
            let css = Value::from(css);
            self.script(&format!("return !!document.querySelector({css})")) == true
        };
        if is_there("#wait-left, #hazard-wait-left") {
            return self.wait_out();
        }
        if is_there(".hazard button:not(.back)") {
            self.tap(".hazard button:not(.back)");
        } else if is_there("fieldset.sheet button") {
            self.tap("fieldset.sheet button");
        } else if is_there("[aria-label=Check] form") {
            let value = self.script(
                "const said = document.querySelector('[aria-label=Check] label').innerText;
                 const limits = said.slice(said.lastIndexOf('(')).match(/-?[0-9.]+/g).map(Number);
                 return String(limits[0])",
            );
            let value = value.as_str().expect("a limit to read").to_owned();
            self.type_into("[aria-label=Check] input", &value);
            self.tap("[aria-label=Check] form button");
        } else if is_there("[aria-label=Check] button") {
            self.tap("[aria-label=Check] button");
        } else if is_there("label.boxed input") {
            self.tap("label.boxed input");
        } else if is_there(&format!("{TO_WRITE_DOWN} form")) {
            // A new part never has the number of the old one.
            let place = self.read(".place span");
            let number: String = place.chars().filter(char::is_ascii_digit).collect();
            self.type_into(&format!("{TO_WRITE_DOWN} input"), &format!("CR-{number}"));
            self.tap(&format!("{TO_WRITE_DOWN} button"));
        }
        self.wait_until("what was asked is met", || self.script(DEMANDED) != before);
    }
}

/// A phone that has just been to the app for the first time, and has it for good;
/// a job on this unit is being opened.
pub fn opening(unit: &str) -> (Server, Phone) {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    phone.tap_words("New");
    phone.tap_words(unit);
    (server, phone)
}

/// A phone on which a job on the laptop has just been begun: the memory is to be
/// replaced.
pub fn begun(reference: &str) -> (Server, Phone) {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    begin(&phone, reference);
    (server, phone)
}

/// Begins a job on the laptop: the memory is to be replaced.
pub fn begin(phone: &Phone, reference: &str) {
    begin_with(phone, reference, "Memory");
}

/// Begins a job on the laptop: this part is to be replaced.
pub fn begin_with(phone: &Phone, reference: &str, part: &str) {
    phone.tap_words("New");
    phone.tap_words("Sorrel 14");
    phone.type_into("input[placeholder='TM-0001']", reference);
    phone.tap_words(part);
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    phone.tap_words("Begin");
    phone.see("h1.do");
}

/// How many jobs are archived.
pub const ARCHIVED: &str = "
    const open = indexedDB.open('lidoff');
    await new Promise(done => open.onsuccess = done);
    const ask = open.result.transaction('archive').objectStore('archive').count();
    await new Promise(done => ask.onsuccess = done);
    open.result.close();
    return ask.result";

/// Puts copies of the first job into the journal, each finished, with these numbers.
pub fn seed_finished(phone: &Phone, from: u32, to: u32) {
    phone.script(&format!(
        "const open = indexedDB.open('lidoff');
         await new Promise(done => open.onsuccess = done);
         const write = open.result.transaction('events', 'readwrite');
         const events = write.objectStore('events');
         const get = what => new Promise(done => {{
           const ask = events[what](); ask.onsuccess = () => done(ask.result);
         }});
         const [keys, texts] = [await get('getAllKeys'), await get('getAll')];
         const first = keys[0][0];
         const own = keys.map((key, nth) => [key, texts[nth]]).filter(([key]) => key[0] === first);
         const last = JSON.parse(own.at(-1)[1]);
         for (let nth = {from}; nth < {to}; nth++) {{
           const job = '1000000000' + String(nth).padStart(4, '0') + '-b';
           for (const [key, text] of own) events.put(text, [job, key[1]]);
           const id = {{ seq: own.length, run: last.id.run }};
           const at = {{ ...last.at, wall_ms: last.at.wall_ms - 1e9 - nth * 1e7 }};
           const key = own.at(-1)[0][1].replace(/^[0-9]+/, String(own.length).padStart(10, '0'));
           events.put(JSON.stringify({{ id, at, what: {{ closed: {{ outcome: 'complete' }} }} }}), [job, key]);
         }}
         await new Promise(done => write.oncomplete = done);
         open.result.close()"
    ));
}
