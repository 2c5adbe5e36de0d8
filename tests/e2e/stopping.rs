//! The app has stopped: the page says so, and hands out the records.

use serde_json::Value;

use crate::phone::Phone;
use crate::server::Server;

fn running() -> (Server, Phone) {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see("#app");
    phone.see_no("#stopped");
    (server, phone)
}

#[test]
fn when_the_app_stops_the_records_can_be_saved_to_a_file() {
    let (_server, phone) = running();
    phone.script(
        "localStorage.setItem('lidoff.job', 'TM-0001');
         localStorage.setItem('somebody-else', 'private');
         const open = indexedDB.open('lidoff-journal', 1);
         open.onupgradeneeded = () => open.result.createObjectStore('events');
         await new Promise(done => open.onsuccess = done);
         const write = open.result.transaction('events', 'readwrite');
         write.objectStore('events').put({ event: 'undone' }, 1);
         await new Promise(done => write.oncomplete = done);
         open.result.close();
         dispatchEvent(new CustomEvent('lidoff-panic', { detail: 'the hinge is off its pin' }))",
    );
    assert!(phone.read("#stopped").contains("Lidoff has stopped."));
    assert_eq!(phone.read("#stopped-why"), "the hinge is off its pin");
    let file = phone.saved_by(|| phone.tap("#stopped-save"));
    let saved: Value = serde_json::from_str(&file).expect("records in JSON");
    assert_eq!(saved["format"], "lidoff-rescue/1");
    assert_eq!(saved["localStorage"]["lidoff.job"], "TM-0001");
    assert_eq!(saved["localStorage"]["somebody-else"], Value::Null);
    assert_eq!(
        saved["indexedDB"]["lidoff-journal"]["events"][0][1]["event"],
        "undone"
    );
    assert_eq!(saved["unread"], Value::Array(Vec::new()));
    phone.tap("#stopped-reload");
    phone.see("#app");
    phone.see_no("#stopped");
}

#[test]
fn a_wasm_trap_stops_the_app_and_an_ordinary_error_does_not() {
    let (server, phone) = running();
    // From a file of the app's own: of other scripts' errors a page learns nothing.
    let throw = |error: &str| {
        server.put(
            "fault.js",
            &format!("setTimeout(() => {{ throw new {error} }})"),
        );
        phone.script(
            "await import('./fault.js?' + performance.now());
             await new Promise(done => setTimeout(done, 100))",
        );
    };
    throw("Error('a passing fault')");
    phone.see_no("#stopped");
    assert_eq!(phone.console_errors().len(), 1, "it was not thrown");
    throw("WebAssembly.RuntimeError('unreachable')");
    assert!(phone.read("#stopped-why").contains("unreachable"));
}

#[test]
fn an_app_that_cannot_start_says_so() {
    let server = Server::start();
    server.break_module();
    let phone = Phone::new();
    phone.open(server.address());
    assert!(phone.read("#stopped").contains("Lidoff could not start."));
}
