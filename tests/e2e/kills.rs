//! The browser is killed at random moments: what the screen has acknowledged is still there
//! afterwards, and the job goes on.
//!
//! `LIDOFF_KILLS` says how many times, `LIDOFF_SEED` with which numbers; every second time the
//! processor is six times slower. `make kill N=200` makes a long run.

use std::collections::BTreeMap;
use std::thread::sleep;
use std::time::Duration;

use lidoff_testkit::split_mix::SplitMix64;
use serde_json::Value;

use crate::job::{begin, begun};
use crate::phone::Phone;
use crate::server::Server;

/// Every record of the journal: its key and its text.
const RECORDS: &str = "
    const settled = request => new Promise((done, failed) => {
      request.onsuccess = () => done(request.result);
      request.onerror = () => failed(request.error);
    });
    const journal = await settled(indexedDB.open('lidoff'));
    const events = journal.transaction('events').objectStore('events');
    const [keys, texts] = await Promise.all([settled(events.getAllKeys()), settled(events.getAll())]);
    journal.close();
    return keys.map((key, nth) => [JSON.stringify(key), texts[nth]])";

fn records(phone: &Phone) -> BTreeMap<String, Value> {
    let rows = phone.script(RECORDS);
    let rows = rows.as_array().expect("the records of the journal");
    let pair = |row: &Value| {
        (
            row[0].as_str().unwrap_or_default().to_owned(),
            row[1].clone(),
        )
    };
    rows.iter().map(pair).collect()
}

fn number(name: &str, otherwise: u64) -> u64 {
    let set = std::env::var(name).ok();
    set.map_or(otherwise, |text| text.parse().expect("a number"))
}

fn is_at_a_step(phone: &Phone) -> bool {
    phone.script("return location.hash.endsWith('/step') && !!document.querySelector('h1.do')")
        == true
}

/// Goes on with the job after a start of the browser.
fn carry_on(server: &Server, phone: &Phone, reference: &str) {
    phone.open(server.address());
    phone.see_words(reference);
    phone.tap_words("Carry on");
    phone.wait_until("the job is on the screen again", || {
        phone.script(
            "return /[/](step|wrap-up)$/.test(location.hash) && !!document.querySelector('h1')",
        ) == true
    });
}

#[test]
fn nothing_that_was_acknowledged_is_lost_when_the_browser_is_killed() {
    let (kills, seed) = (number("LIDOFF_KILLS", 2), number("LIDOFF_SEED", 1));
    let mut random = SplitMix64(seed);
    let mut jobs = 1;
    let mut reference = format!("TM-{jobs:04}");
    let (server, mut phone) = begun(&reference);
    let (mut acknowledged, mut lost, mut unacknowledged) = (0, 0, 0);
    for kill in 1..=kills {
        phone.slow_down(if kill % 2 == 0 { 6 } else { 1 });
        for _ in 0..1 + random.draw() % 6 {
            if is_at_a_step(&phone) {
                phone.do_step();
            } else {
                jobs += 1;
                reference = format!("TM-{jobs:04}");
                phone.tap_words("Lidoff");
                begin(&phone, &reference);
            }
        }
        // Met up to the last demand, so that the tap that nobody answers any more is Done.
        for _ in 0..random.draw() % 16 {
            if !is_at_a_step(&phone) || phone.can_be_done() {
                break;
            }
            phone.meet_a_demand();
        }
        let before = records(&phone);
        if is_at_a_step(&phone) && phone.can_be_done() {
            phone.tap_done();
        }
        sleep(Duration::from_millis(random.draw() % 120));
        phone.crash();
        carry_on(&server, &phone, &reference);
        let after = records(&phone);
        let is_lost = |(key, text): &(&String, &Value)| after.get(*key) != Some(*text);
        lost += before.iter().filter(is_lost).count();
        acknowledged = acknowledged.max(before.len());
        unacknowledged += after.len().saturating_sub(before.len());
    }
    println!(
        "{kills} kills, seed {seed}: {jobs} jobs, {acknowledged} records acknowledged, {lost} lost; \
         {unacknowledged} records of taps that were not acknowledged were kept whole"
    );
    assert_eq!(lost, 0);
    assert_eq!(phone.console_errors(), [""; 0]);
}
