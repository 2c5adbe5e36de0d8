//! How long a tap on Done takes until the next step is painted, on a processor
//! four times slower: `make taps`. Measures; checks nothing but that it has
//! measured.

use serde_json::Value;

use crate::phone::Phone;
use crate::server::Server;
use crate::slowed::slower;

/// From now on the page notes for each tap on Done: the ms from the finger's
/// leaving the screen until the frame after the next step's words are in the page
/// has been drawn. The event lies in both stores by then: the app shows a step only
/// after that.
const WATCH: &str = "
    window.taps = [];
    // A drive that waits something out shifts the page's clocks, not this one.
    const clock = performance.now.bind(performance);
    let from = null;
    let stored = 0;
    const begin = IDBDatabase.prototype.transaction;
    IDBDatabase.prototype.transaction = function (...of) {
      const began = clock();
      const one = begin.apply(this, of);
      one.addEventListener('complete', () => { stored += clock() - began; });
      return one;
    };
    const place = () => (document.querySelector('.place span')?.innerText ?? '') + location.hash;
    let before = place();
    addEventListener('pointerup', event => {
      if (event.target.closest?.('#done')) { from = event.timeStamp; stored = 0; before = place(); window.kind = event.pointerType; }
    }, true);
    new MutationObserver(() => {
      if (from === null || place() === before) return;
      const began = from;
      const waited = stored;
      const changed = clock();
      from = null;
      requestAnimationFrame(() => requestAnimationFrame(() =>
        taps.push([clock() - began, changed - began, waited])));
    }).observe(document.querySelector('#app'), { childList: true, subtree: true, characterData: true });
";

/// Long enough for eighty steps: several tasks at once.
const TASKS: [&str; 6] = [
    "Main computer board",
    "Receipt printer",
    "Card reader",
    "Touch glass",
    "Speaker",
    "Fan",
];

fn begin_long_job(phone: &Phone) {
    phone.tap_words("New");
    phone.tap_words("Perch 22");
    phone.type_into("input[placeholder='TM-0001']", "TM-0951");
    for task in TASKS {
        let there = format!(
            "return [...document.querySelectorAll('.parts label.tick')].some(it => it.innerText.includes({}))",
            Value::from(task)
        );
        if phone.script(&there) == true {
            phone.tap_words(task);
        }
    }
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    phone.leave_in(600);
    phone.tap_words("Begin");
    phone.see("h1.do");
}

#[test]
#[ignore = "a measurement, not a check: make taps"]
fn taps() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    begin_long_job(&phone);
    let slower = slower();
    phone.slow_down(slower);
    phone.script(WATCH);
    let mut steps = 0;
    while phone.script("return location.hash.endsWith('/step')") == true {
        phone.do_step();
        steps += 1;
        assert!(steps < 400, "the job has no end");
    }
    let said = phone.script("await new Promise(done => setTimeout(done, 500)); return taps");
    let pairs = said.as_array().expect("a list");
    let part = |at: usize| -> Vec<f64> {
        let mut all: Vec<f64> = pairs
            .iter()
            .map(|pair| pair[at].as_f64().expect("ms"))
            .collect();
        all.sort_by(f64::total_cmp);
        all
    };
    assert!(
        pairs.len() >= steps.max(20) - 1,
        "{steps} steps, {} taps",
        pairs.len()
    );
    println!(
        "{steps} steps, processor {slower} times slower, taps by {}",
        phone.script("return window.kind")
    );
    for (what, all) in [
        ("next step painted", part(0)),
        ("next step in the page", part(1)),
        ("of that, storing", part(2)),
    ] {
        // The nearest rank.
        let at = |share: f64| all[((share * all.len() as f64).ceil() as usize).max(1) - 1];
        println!(
            "tap on Done → stored → {what}: p50 {:.0} ms, p95 {:.0} ms, most {:.0} ms (n = {})",
            at(0.5),
            at(0.95),
            at(1.0),
            all.len()
        );
    }
}
