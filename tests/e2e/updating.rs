//! A new version comes: it waits until it is asked for, and comes whole or not
//! at all.

use crate::phone::Phone;
use crate::server::Server;

fn update_offered(phone: &Phone) -> bool {
    phone.script("return window.lidoffOffline?.update") == true
}

#[test]
fn a_new_version_waits_until_it_is_taken() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();
    assert!(!update_offered(&phone), "there is nothing to offer yet");

    server.release("Lidoff, the next");
    phone.reload();
    phone.wait_until("the new version is offered", || update_offered(&phone));
    assert_eq!(phone.app_name(), "Lidoff");
    phone.reload();
    phone.wait_until("it is still offered", || update_offered(&phone));
    assert_eq!(
        phone.app_name(),
        "Lidoff",
        "it took over without being asked"
    );

    // While the version before it has its hands full, which is when a browser
    // may forget that another was to take over.
    phone.script(
        "const busy = setInterval(() => fetch('manifest.webmanifest'), 2);
         setTimeout(() => clearInterval(busy), 3000);
         dispatchEvent(new CustomEvent('lidoff-take-update'))",
    );
    phone.wait_until("the new version has taken over", || {
        phone.app_name() == "Lidoff, the next"
    });
    phone.see("#app");
    assert!(!update_offered(&phone), "it is taken, and offered again");
    assert_eq!(phone.console_errors(), [""; 0]);
}

#[test]
fn a_half_updated_server_changes_nothing() {
    let mut server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.wait_until_kept();

    server.release_half("Lidoff, half");
    let waiting = phone.script(
        "const ours = await navigator.serviceWorker.getRegistration();
         const found = new Promise(done => ours.onupdatefound = () => done(ours.installing));
         await ours.update();
         const worker = await found;
         while (worker.state === 'installing') {
           await new Promise(done => worker.onstatechange = done);
         }
         return worker.state",
    );
    assert_eq!(waiting, "redundant", "half a version was kept");
    server.stop();
    phone.reload();
    phone.see("#app");
    assert_eq!(phone.app_name(), "Lidoff");
}
