//! What is found stops the work: a reading that fails, a danger, an answer without a plan.

use lidoff_testkit::powered_unit::powered_file;
use serde_json::Value;

use crate::deviations::do_up_to;
use crate::job::begun;
use crate::phone::Phone;
use crate::server::Server;

/// A phone on which a job on a unit with energy sources has just been begun.
pub fn powered(parts: &[&str]) -> (Server, Phone) {
    let server = Server::start();
    let file = serde_json::to_string(&powered_file()).expect("a catalog");
    server.put("catalogs/powered-unit.json", &file);
    server.put(
        "catalogs/index.json",
        "{\"format\": \"lidoff-catalog-index/1\", \"catalogs\": [
           {\"file\": \"powered-unit.json\", \"sha256\": \"\"}]}",
    );
    let phone = Phone::new();
    phone.open(&format!("{}#/new", server.address()));
    phone.tap_words("powered-unit");
    for part in parts {
        phone.tap_words(part);
    }
    phone.tap_words("Start: about");
    phone.see_words("Planned time left");
    phone.see_words("charge live · mains live");
    phone.tap_words("Begin");
    phone.see("h1.do");
    (server, phone)
}

/// Enters a reading.
pub fn enter(phone: &Phone, volts: &str) {
    phone.type_into("#reading input", volts);
    phone.tap("#reading form button");
}

fn stored(phone: &Phone, words: &str) -> bool {
    let words = Value::from(words);
    phone.script(&format!(
        "return Object.keys(localStorage).some(key => localStorage[key].includes({words}))"
    )) == true
}

#[test]
fn a_failed_dead_test_stops_the_work_and_a_live_part_leads_back_to_isolating() {
    let (_server, phone) = powered(&["Board"]);
    do_up_to(&phone, "mains-dead");
    enter(&phone, "230");
    phone.see("#alarm");
    let in_view = "const card = document.querySelector('#alarm').getBoundingClientRect();
        return card.top >= 0 && card.top < innerHeight / 2";
    phone.wait_until("it is in view", || phone.script(in_view) == true);
    phone.see_words("The unit may be live. Keep hands out.");
    assert_eq!(phone.read("#done"), "Reading failed");
    assert!(!phone.read("#reading").contains("Record as failed"));
    phone.tap_words("Measure again");
    enter(&phone, "0");
    phone.see_no("#alarm");
    do_up_to(&phone, "board-dead");
    phone.see_words("charge isolated · mains isolated");
    assert_eq!(phone.read(".standing summary"), "Strap");
    enter(&phone, "230");
    phone.wait_until("the mains are isolated again", || {
        phone.action().contains("mains-lock")
    });
    phone.see_words("charge live · mains live");
    phone.tap("[aria-label='Undo the last entry']");
    phone.wait_until("the reading is taken back", || {
        phone.action().contains("board-dead")
    });
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_danger_is_recorded_at_once_and_says_what_to_do_now() {
    let (_server, phone) = powered(&["Fan"]);
    phone.tap_words("Something");
    phone.tap_words("Danger");
    phone.tap_words("Smoke");
    phone.see_words("Keep other people away from the unit.");
    phone.see_words("isolate: mains");
    phone.see_words("Close up from here");
    phone.wait_until("it is stored", || stored(&phone, "danger-found"));
    phone.tap_words("Stop the job here");
    phone.see_words("danger: smoke");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn an_answer_without_a_plan_is_kept_and_the_other_tasks_go_on() {
    let (_server, phone) = powered(&["Board", "Fan"]);
    do_up_to(&phone, "board-clips");
    phone.tap_words("glued");
    phone.see_words("The plan no longer fits");
    assert!(stored(&phone, "glued"));
    phone.see_words("No longer possible: Replace: board");
    phone.tap_words("Leave for the next visit, and do the rest");
    phone.see("h1.do");
    phone.tap_words("Plan");
    phone.see_words("left for the next visit");
    assert_eq!(phone.console_errors(), [""; 0]);
}

/// A swollen pack is found in mid-job, and nobody has a new one.
#[test]
fn a_unit_with_a_condemned_battery_is_closed_without_it_and_is_out_of_use() {
    let (_server, phone) = begun("TM-0705");
    do_up_to(&phone, "BATT plug");
    phone.tap_words("Something");
    phone.tap_words("Danger");
    phone.tap_words("A battery is swollen");
    phone.see_words("Hands off the battery");
    phone.tap_words("Replan: the battery is condemned");
    phone.see_words("The plan no longer fits");
    phone.see_words("Replace it too: Battery pack, long");
    phone.see_words("out of use: Battery pack, long");
    phone.wait_until("the times are there", || {
        phone.script("return !document.body.innerText.includes('…')") == true
    });
    phone.tap_words("Close the unit without it, out of use");
    phone.see("h1.do");
    phone.do_the_rest();
    phone.see_words("out of use: closed without");
    phone.clear_old_parts();
    let disabled = "return [...document.querySelectorAll('button')]
        .find(it => it.innerText === 'Complete').disabled";
    assert_eq!(phone.script(disabled), true);
    phone.tap_words("The unit is left open or out of use");
    phone.see_words("Closed");
    assert_eq!(phone.console_errors(), [""; 0]);
}
