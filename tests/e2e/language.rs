//! The app in another language, and from right to left.

use serde_json::{Value, json};

use crate::deviations::kiosk_begun;
use crate::fits::cut_off_in_drawings;
use crate::job::begun;
use crate::phone::{Phone, Theme};
use crate::server::Server;
use crate::shots::each;

/// Sets what the browser says that its user reads.
fn reads(phone: &Phone, languages: &str) {
    let agent = phone.script("return navigator.userAgent");
    phone.cdp(
        "Network.setUserAgentOverride",
        &json!({ "userAgent": agent, "acceptLanguage": languages }),
    );
}

/// Chooses an entry of a select, as a hand would.
fn choose(phone: &Phone, css: &str, value: &str) {
    phone.see(css);
    phone.script(&format!(
        "const it = document.querySelector({});
         it.value = {};
         it.dispatchEvent(new Event('change', {{ bubbles: true }}))",
        Value::from(css),
        Value::from(value)
    ));
}

fn language(phone: &Phone) -> Value {
    phone.script("return document.documentElement.lang + ' ' + document.documentElement.dir")
}

/// Meets what the step in hand asks, by what it looks like and not by its words,
/// and does it.
fn do_step(phone: &Phone) {
    let before = phone.place();
    for _ in 0..12 {
        if phone.script("return !!document.querySelector('#wait-left, #hazard-wait-left')") == true
        {
            phone.wait_out();
            continue;
        }
        let met = phone.script(
            "const done = document.querySelector('#done');
             if (!done.matches('.shut')) return true;
             const field = document.querySelector('section form input');
             if (field && !field.value) {
               const said = field.form.innerText;
               const limits = said.slice(said.lastIndexOf('(')).replace(',', '.').match(/[0-9.]+/);
               field.value = limits?.[0] ?? '1';
               field.dispatchEvent(new Event('input', { bubbles: true }));
               await new Promise(done => setTimeout(done, 100));
             }
             const asks = ['.hazard button:not(.back)', 'fieldset.sheet button', 'label.boxed input',
               'section form button', 'main section.sheet button'];
             const found = asks.flatMap(css => [...document.querySelectorAll(css)])
               .find(it => it.checkVisibility() && !it.disabled && !it.closest('summary'));
             found?.click();
             await new Promise(done => setTimeout(done, 200));
             return false",
        );
        if met == true {
            break;
        }
    }
    phone.tap_done();
    phone.wait_until("the next step is on the screen", || phone.place() != before);
}

#[test]
fn a_german_device_does_a_whole_job_in_german_offline() {
    let mut server = Server::start();
    let phone = Phone::new();
    reads(&phone, "de-AT,de,en");
    phone.open(server.address());
    phone.see_words("Einen neuen Auftrag beginnen");
    assert_eq!(language(&phone), "de ltr");
    phone.wait_until_kept();
    server.stop();
    phone.reload();

    phone.tap_words("Neu");
    phone.see_words("Ein Gerät wählen");
    phone.see_words("Dienst-Laptop");
    phone.tap_words("Sorrel 14");
    phone.see_words("Aufgaben");
    phone.type_into("input[placeholder='TM-0001']", "TM-0801");
    phone.type_into("input[type=search]", "speichermodul");
    phone.tap_words("Arbeitsspeichermodul");
    phone.tap_words("Was der Auftrag braucht");
    phone.see_words("5 von 10 in");
    phone.see_words("WARNUNG: ");
    phone.see_words("Elektrostatische Entladung zerstört");
    phone.tap_words("Beginnen: etwa");
    phone.see_words("Geplante Restzeit");
    phone.see_words("Ersetzen: Arbeitsspeichermodul");
    phone.see_words("Das Gerät ganz herunterfahren, nicht in den Ruhezustand");
    let title = phone.script("return document.title");
    assert!(
        title.as_str().is_some_and(|it| it.starts_with("Plan – ")),
        "{title}"
    );
    phone.tap_words("Beginnen");
    phone.see("h1.do");
    for _ in 0..2 {
        do_step(&phone);
    }
    phone.tap_words("Leitstelle");
    phone.see_words("Nach Auftrag");
    phone.see_words("n = 1");
    phone.tap_words("Ablage");
    phone.see_words("Sprache und Einheiten");

    // Chosen by hand, it is English on the same device; nothing was lost.
    choose(&phone, "#language", "en-GB");
    phone.see_words("Saved on this device");
    assert_eq!(language(&phone), "en-GB ltr");
    phone.tap_words("Lidoff");
    phone.see_words("TM-0801");
    phone.see_words("Step 3 of");
}

#[test]
fn inches_come_first_if_chosen() {
    let (_server, phone) = kiosk_begun("TM-0802");
    phone.tap_words("Records");
    choose(&phone, "#measures", "inch");
    phone.wait_until("the choice is kept", || {
        phone.script("return localStorage.getItem('lidoff/preference/measures')") == "inch"
    });
    phone.see("#measures");
    assert_eq!(
        phone.script("return document.querySelector('#measures').value"),
        "inch"
    );

    // Lengths of fasteners, too: on the step, and in the tray.
    phone.tap_words("Lidoff");
    phone.tap_words("Carry on");
    phone.see("h1.do");
    let inches =
        || phone.script("return /\\(0\\.\\d\\d\\sin\\)/.test(document.body.innerText)") == true;
    for _ in 0..40 {
        if inches() {
            break;
        }
        phone.do_step();
    }
    let fits = || {
        let wide = phone.script("return document.scrollingElement.scrollWidth - innerWidth");
        assert_eq!(wide, 0);
    };
    assert!(inches(), "no fastener has its length in inches");
    fits();
    phone.stretch(true);
    phone.shot("inches-step");
    phone.stretch(false);
    phone.do_step();
    phone.tap_words("Tray");
    phone.see_words("Wells");
    phone.shot("inches-tray");
    assert!(inches(), "{}", phone.read("main"));
    fits();
    phone.stretch(true);
    phone.shot("inches-tray");
}

#[test]
fn no_screen_is_too_wide_when_read_from_right_to_left() {
    let (_server, phone) = begun("TM-0803");
    let fits = |name: &str| {
        phone.script("document.documentElement.dir = 'rtl'");
        phone.script(
            "for (const it of document.querySelectorAll('#app details:not(.why)')) it.open = true",
        );
        phone.script("await new Promise(done => setTimeout(done, 100))");
        let wide = phone.script(
            "const page = document.scrollingElement;
             const out = [...document.querySelectorAll('#app *, header *')]
               .filter(it => it.checkVisibility() && !it.closest('svg, .hush, .skip'))
               .filter(it => { const at = it.getBoundingClientRect();
                 return at.width > 1 && (at.left < -1 || at.right > innerWidth + 1) })
               .map(it => it.outerHTML.slice(0, 120));
             return [page.scrollWidth - innerWidth, ...out].join('\\n')",
        );
        assert_eq!(wide, "0", "{name} is wider than the screen");
    };
    for _ in 0..6 {
        fits("a step");
        phone.do_step();
    }
    phone.tap_words("Tray");
    phone.see_words("Wells");
    fits("the tray");
    phone.tap_words("Back to the step");
    phone.see("h1.do");
    phone.tap_words("Plan");
    phone.see_words("Planned time left");
    fits("the plan");
    phone.tap_words("Lidoff");
    phone.see_words("Carry on");
    fits("today");
    phone.tap_words("Desk");
    phone.see_words("By job");
    fits("the desk");
    phone.tap_words("Records");
    phone.see_words("Saved on this device");
    fits("the records");
    phone.tap_words("New");
    phone.see_words("Choose a unit");
    fits("the units");
    phone.tap_words("Perch 22");
    phone.see_words("Tasks");
    fits("a new job");
}

/// Pictures of every step of the job in hand that is not done, whole, the themes in
/// turn; `before` each step something else may be looked at.
fn shots_of_steps(phone: &Phone, name: &str, before: impl Fn(usize)) {
    for (number, theme) in (1..200).zip(Theme::ALL.into_iter().cycle()) {
        if phone.script("return location.hash.endsWith('/step')") == false {
            break;
        }
        before(number);
        assert_eq!(cut_off_in_drawings(phone), [""; 0], "step {number}");
        phone.theme(theme);
        phone.stretch(true);
        phone.shot(&format!("german-{name}-{number:03}-{}", theme.name()));
        phone.stretch(false);
        do_step(phone);
    }
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_of_the_laptop_s_steps_in_german() {
    let server = Server::start();
    let phone = Phone::new();
    reads(&phone, "de");
    phone.open(server.address());
    phone.tap_words("Neu");
    phone.tap_words("Sorrel 14");
    phone.see_words("Aufgaben");
    phone.tap_words("Hauptplatine");
    phone.tap_words("Scharnier, links");
    phone.see(".foot .key:enabled");
    phone.tap_words("Beginnen: etwa");
    phone.see_words("Geplante Restzeit");
    phone.tap_words("Beginnen");
    phone.see("h1.do");
    shots_of_steps(&phone, "laptop-step", |_| {});
}

#[test]
#[ignore = "pictures to look at, not a check: make shots"]
fn shots_in_german() {
    let server = Server::start();
    let phone = Phone::new();
    reads(&phone, "de");
    phone.open(server.address());
    phone.see_words("Einen neuen Auftrag beginnen");
    let shot = |name: &str| {
        phone.script("await new Promise(done => setTimeout(done, 300))");
        each(&phone, &format!("german-{name}"));
    };
    let page = |hash: &str, name: &str| {
        phone.script(&format!("location.hash = '{hash}'"));
        shot(name);
    };
    phone.tap_words("Neu");
    shot("units");
    phone.tap_words("Perch 22");
    phone.see_words("Aufgaben");
    shot("new-job");
    phone.tap_words("Bondrucker");
    phone.tap_words("Was der Auftrag braucht");
    phone.see_words("5 von 10 in");
    phone.script("document.querySelector('.big-number').scrollIntoView()");
    shot("new-job-cost");
    phone.tap_words("Beginnen: etwa");
    phone.see_words("Geplante Restzeit");
    shot("plan");
    phone.script("document.querySelector('#steps').scrollIntoView()");
    shot("plan-steps");
    phone.tap_words("Beginnen");
    phone.see("h1.do");
    shots_of_steps(&phone, "step", |number| {
        if number % 16 == 0 {
            phone.page("/tray");
            shot(&format!("tray-{number:03}"));
            phone.page("/step");
            phone.see("h1.do");
        }
    });
    phone.theme(Theme::Light);
    shot("wrap-up");
    page("#/desk", "desk");
    page("#/records", "records");
    page("#/", "today");
    page("#/nichts", "lost");
    phone.script("document.documentElement.dir = 'rtl'");
    page("#/", "today-rtl");
}
