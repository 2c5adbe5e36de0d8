//! The app starts: at first, without a network, and after a crash.

use crate::job::ARCHIVED;
use crate::phone::Phone;
use crate::server::Server;

#[test]
fn the_app_starts_from_any_folder_with_nothing_to_complain_of() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see("#app");
    phone.see_no("#boot");
    phone.wait_until_kept();
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_first_visit_without_the_pages_own_script_does_not_say_for_ever_that_it_starts() {
    let server = Server::start();
    let bring_back = server.take_away("boot-", ".js");
    let phone = Phone::new();
    phone.open(server.address());
    let stopped = phone.read("#stopped");
    assert!(stopped.contains("Lidoff could not start."), "{stopped}");
    bring_back();
    phone.tap("#stopped-reload");
    phone.see("#app");
    phone.see_no("#boot");
}

#[test]
fn a_link_that_is_tapped_while_the_app_starts_is_followed() {
    let server = Server::start();
    let phone = Phone::new();
    phone.cdp(
        "Page.addScriptToEvaluateOnNewDocument",
        &serde_json::json!({ "source":
            "new MutationObserver((_, watch) => {
               const link = document.querySelector(\"header a[href='#/records']\");
               if (link) { watch.disconnect(); link.click(); }
             }).observe(document, { childList: true, subtree: true })" }),
    );
    phone.open(server.address());
    phone.wait_until("the address is that of the link", || {
        phone.script("return location.hash") == "#/records"
    });
    phone.see_words("Saved on this device");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn after_one_visit_a_cold_start_needs_no_server() {
    let mut server = Server::start();
    let mut phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    server.stop();
    phone.crash();
    phone.open(server.address());
    phone.see("#app");
    phone.reload();
    phone.see("#app");
    // An address inside the app, with a question mark from a link or a launcher.
    phone.open(&format!("{}?from=home#/jobs", server.address()));
    phone.see("#app");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_slow_phone_that_loses_its_network_starts_all_the_same() {
    let server = Server::start();
    let phone = Phone::new();
    phone.slow_down(6);
    phone.open(server.address());
    phone.wait_until_kept();
    phone.network(false);
    phone.reload();
    phone.see("#app");
    assert_eq!(phone.script("return navigator.onLine"), false);
}

#[test]
#[ignore = "a measurement, not a check"]
fn start_times() {
    let (_server, phone) = crate::job::begun("TM-1201");
    // When the list of the jobs is on the screen, ms since the page was asked for.
    phone.cdp(
        "Page.addScriptToEvaluateOnNewDocument",
        &serde_json::json!({ "source":
            "new MutationObserver((_, watch) => {
               if (document.querySelector('#carry-on')) {
                 watch.disconnect();
                 window.shownAt = performance.now();
               }
             }).observe(document, { childList: true, subtree: true })" }),
    );
    let mut many = 0;
    for jobs in [0, 100, 1_000] {
        crate::job::seed_finished(&phone, many, jobs);
        many = jobs;
        // Whoever has collected as many has started as often: all but the latest are archived.
        let archived = jobs.saturating_sub(10);
        phone.reload();
        for _ in 0..600 {
            if phone.script(ARCHIVED) == archived {
                break;
            }
            std::thread::sleep(std::time::Duration::from_secs(1));
        }
        assert_eq!(phone.script(ARCHIVED), archived);
        let mut times = Vec::new();
        for _ in 0..5 {
            phone.script("location.hash = '#/'");
            phone.reload();
            phone.wait_until("the jobs are listed", || {
                phone.script("return window.shownAt ?? null").is_number()
            });
            times.push(phone.script("return Math.round(shownAt)").as_u64());
        }
        times.sort_unstable();
        let records = phone.script("return Object.keys(localStorage).length");
        let memory = phone.script(
            "return (await performance.measureUserAgentSpecificMemory?.())?.bytes ?? performance.memory.usedJSHeapSize",
        );
        println!(
            "{jobs} closed jobs: median {:?} ms of {times:?}; {records} in local storage; memory {} kB",
            times[2],
            memory.as_u64().unwrap_or_default() / 1000
        );
    }
    phone.see_words("Closed");
}

#[test]
fn without_a_server_the_catalogs_are_still_there() {
    let mut server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    server.stop();
    let index = phone.script("return (await fetch('catalogs/index.json')).json()");
    assert_eq!(index["format"], "lidoff-catalog-index/1");
    for entry in index["catalogs"].as_array().expect("a list of catalogs") {
        let fetched = phone.script(&format!(
            "return (await fetch('catalogs/' + {})).ok",
            entry["file"]
        ));
        assert_eq!(fetched, true, "{entry} is not kept");
    }
}

#[test]
fn a_module_that_cannot_be_loaded_is_reported_and_loaded_later() {
    let server = Server::start();
    let bring_back = server.take_away("screens-", ".wasm");
    let phone = Phone::new();
    phone.open(server.address());
    phone.tap_words("Start a new job");
    phone.see_words("Not downloaded yet");
    // A part that is late is not the end.
    phone.see_no("#stopped");
    bring_back();
    phone.tap_words("Try again");
    phone.see_words("Perch 22");
}

#[test]
fn no_text_becomes_a_part_of_the_page_that_runs() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see("#app");
    phone.wait_until_kept();
    let answers = phone.script(
        "const tries = {
           image: () => document.createElement('p').innerHTML = '<img src=x onerror=alert(1)>',
           script: () => document.createElement('p').innerHTML = '<script>alert(1)</script>',
           frame: () => document.createElement('p').innerHTML = '<iframe srcdoc=x></iframe>',
           address: () => document.createElement('script').src = 'other.js',
           source: () => document.createElement('script').text = 'alert(1)',
           policy: () => trustedTypes.createPolicy('other', { createHTML: (html) => html }),
           template: () => document.createElement('p').innerHTML = '<b>bold</b>',
         };
         return Object.entries(tries).map(([name, one]) => {
           try { one(); return name + ': done' } catch (error) { return name + ': ' + error.name }
         })",
    );
    let refused = ["image", "script", "frame", "address", "source", "policy"];
    let mut wanted: Vec<String> = refused.map(|one| format!("{one}: TypeError")).into();
    wanted.push("template: done".to_owned());
    assert_eq!(answers, serde_json::json!(wanted));
}
