//! Large files: refused at once with the limit, and the app goes on.

use serde_json::json;

use crate::phone::Phone;
use crate::server::Server;
use crate::slowed::slower;

/// The file that the next choice of a file gets, made in the page; and the longest time for
/// which the page did nothing else from then on.
fn choose(phone: &Phone, name: &str, text: &str) {
    phone.script(&format!(
        "HTMLInputElement.prototype.click = function () {{
           const chosen = new DataTransfer();
           chosen.items.add(new File([{text}], {}));
           this.files = chosen.files;
           window.longest = 0;
           let last = performance.now();
           clearInterval(window.watch);
           window.watch = setInterval(() => {{
             longest = Math.max(longest, performance.now() - last);
             last = performance.now();
           }}, 5);
           this.dispatchEvent(new Event('change'));
         }}",
        json!(name)
    ));
}

/// Each button that opens a file, a file by a script that makes its text, and what the app
/// says of it.
const FILES: [(&str, &str, &str, &str); 9] = [
    (
        "Open jobs from a file",
        "numbers 44 MB",
        "'[' + '1,'.repeat(22000000) + '1]'",
        "44.0 MB, and the limit is 10.0 MB",
    ),
    (
        "Open jobs from a file",
        "text 49 MB",
        "'x'.repeat(49000000)",
        "49.0 MB, and the limit is 10.0 MB",
    ),
    (
        "Open jobs from a file",
        "notes 14 MB",
        "'[' + ('\"' + 'x'.repeat(1000) + '\",').repeat(14000) + '1]'",
        "14.0 MB, and the limit is 10.0 MB",
    ),
    (
        "Open jobs from a file",
        "numbers 9 MB",
        "'[' + '1,'.repeat(4500000) + '1]'",
        "exceeds the limit of 500000 values",
    ),
    (
        "Open jobs from a file",
        "damaged events",
        "'{\"format\":\"lidoff-job/1\",\"job\":\"j\",\"events\":[' + '1,'.repeat(9999) + '1]}'",
        "and 9981 more",
    ),
    (
        "Open learned times",
        "numbers 9 MB",
        "'[' + '1,'.repeat(4500000) + '1]'",
        "9.0 MB, and the limit is 2.0 MB",
    ),
    (
        "Add a catalog from a file",
        "numbers 9 MB",
        "'[' + '1,'.repeat(4500000) + '1]'",
        "9.0 MB, and the limit is 4.0 MB",
    ),
    (
        "Add a catalog from a file",
        "numbers 0.6 MB",
        "'[' + '1,'.repeat(290000) + '1]'",
        "This is not valid catalog JSON",
    ),
    (
        "Add a catalog from a file",
        "brackets 4 MB",
        "'['.repeat(3999999)",
        "deeper than the limit of 64",
    ),
];

fn open_each(phone: &Phone) {
    phone.tap_words("Records");
    for (button, file, text, words) in FILES {
        // The list of catalogs moves the buttons below it.
        phone.see_words("Perch 22: ");
        choose(phone, &format!("{file}.json"), text);
        phone.tap_words(button);
        phone.see_words(words);
        let longest = phone.script("return longest");
        println!(
            "| {button} | {file} | {:.0} |",
            longest.as_f64().unwrap_or_default()
        );
        // The app goes on.
        phone.tap_words("New");
        phone.see_words("Perch 22");
        phone.reload();
        phone.tap_words("Records");
    }
}

#[test]
fn a_file_that_is_too_large_is_refused_with_the_limit_and_the_app_goes_on() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see("#app");
    open_each(&phone);
}

/// Prints for how long, in ms, the page stands still for each file:
/// `cargo xtask e2e -- --ignored --exact reading::slowed --nocapture`.
#[test]
#[ignore = "measures"]
fn slowed() {
    let server = Server::start();
    let phone = Phone::new();
    phone.slow_down(slower());
    phone.open(server.address());
    phone.see("#app");
    open_each(&phone);
}
