//! Bad input: told clearly, and nothing else is lost.

use serde_json::Value;

use crate::job::begun;
use crate::phone::Phone;
use crate::server::Server;

#[test]
fn a_corrupt_record_is_set_aside_and_brought_back_from_the_journal() {
    let (_server, phone) = begun("TM-0301");
    for _ in 0..3 {
        phone.do_step();
    }
    let action = phone.action();
    let spoiled = phone.script(
        "const key = Object.keys(localStorage).filter(it => it.startsWith('lidoff/job/')).sort().at(-1);
         localStorage.setItem(key, '{\"id\": half a rec');
         return key",
    );
    assert!(spoiled.is_string(), "there is no record to spoil");
    phone.reload();
    phone.see_words("Some records could not be read");
    assert_eq!(phone.action(), action, "the event was not brought back");
    phone.tap_words("Records");
    phone.see_words("Unreadable records");
    phone.see_words("Nothing is missing from its job");
    let saved = phone.saved_by(|| phone.tap_words("Save to a file"));
    let saved: Value = serde_json::from_str(&saved).expect("a record in JSON");
    let note = saved["indexedDB"]["lidoff"]["aside"][0][1].as_str();
    let note: Value = serde_json::from_str(note.expect("a note")).expect("a note in JSON");
    assert_eq!(note["text"], "{\"id\": half a rec");
}

#[test]
fn a_broken_catalog_is_reported_and_the_others_work() {
    let server = Server::start();
    server.put(
        "catalogs/broken.json",
        "{\"format\": \"lidoff-catalog/1\", \"unti\": {}}",
    );
    server.put(
        "catalogs/index.json",
        "{\"format\": \"lidoff-catalog-index/1\", \"catalogs\": [
           {\"file\": \"broken.json\", \"sha256\": \"\"}, {\"file\": \"sorrel-14.json\", \"sha256\": \"\"}]}",
    );
    let phone = Phone::new();
    phone.open(&format!("{}#/new", server.address()));
    phone.see_words("broken.json cannot be used");
    phone.tap_words("broken.json");
    phone.see_words("Did you mean “unit”?");
    phone.tap_words("Sorrel 14");
    phone.see_words("Tasks");
}

#[test]
fn a_link_of_a_megabyte_is_no_page_and_leads_home() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see("#app");
    phone.script("location.hash = '/job/' + 'x/'.repeat(500000)");
    phone.see_words("Page not found");
    let shown = phone.read("main");
    assert!(shown.len() < 1_000, "{} letters are shown", shown.len());
    phone.tap_words("Go to today's jobs");
    phone.see_words("New");
}
