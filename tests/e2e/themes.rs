//! The theme: the system's until one is chosen, from the first paint on.

use crate::phone::{Phone, Theme};
use crate::server::Server;

/// The colour of the browser's own bars.
fn bars(phone: &Phone) -> String {
    let colour = phone.script("return document.querySelector('meta[name=theme-color]').content");
    colour.as_str().expect("a colour").to_owned()
}

fn paper(phone: &Phone) -> String {
    let colour = phone.script("return getComputedStyle(document.body).backgroundColor");
    colour.as_str().expect("a colour").to_owned()
}

#[test]
fn the_theme_follows_the_system_until_one_is_chosen() {
    let server = Server::start();
    let phone = Phone::new();
    phone.open(server.address());
    phone.see_words("Start a new job");
    for theme in Theme::ALL {
        phone.theme(theme);
    }
    let sunlit = paper(&phone);
    assert_eq!(sunlit, "rgb(255, 255, 255)");
    assert_eq!(bars(&phone), "#ffffff");

    phone.theme(Theme::Light);
    phone.tap_words("Records");
    phone.see("#look");
    phone.tap_words("Dark");
    phone.wait_until("it is dark", || phone.shown_theme() == "dark");
    let dark = paper(&phone);
    assert_ne!(dark, sunlit);

    // It stays, and is there before anything is painted: the page's first style
    // already has it, while the app is still to come.
    phone.cdp(
        "Page.addScriptToEvaluateOnNewDocument",
        &serde_json::json!({ "source":
            "window.themes = [];
             new MutationObserver(() => themes.push(document.documentElement?.dataset.theme))
               .observe(document, { childList: true, subtree: true, attributes: true })" }),
    );
    phone.reload();
    phone.see("#look");
    assert_eq!(phone.shown_theme(), "dark");
    assert_eq!(paper(&phone), dark);
    let first = "const all = themes.filter(it => it); return [...new Set(all)].join()";
    assert_eq!(phone.script(first), "dark", "another theme was shown first");
    let early = "const at = document.querySelector('script:not([src])');
                 return !!(at.compareDocumentPosition(document.querySelector('link[rel=stylesheet]')) & 4)";
    assert_eq!(phone.script(early), true, "a style comes before the theme");

    // And back to the system's.
    phone.tap("#look input[value='']");
    phone.wait_until("it is light", || phone.shown_theme() == "light");
    phone.theme(Theme::Sunlight);
    let kept = phone.script("return localStorage.getItem('lidoff/preference/theme')");
    assert!(kept.is_null(), "{kept}");
    assert_eq!(phone.console_errors(), [""; 0]);
}
