//! The language of the app: the one chosen in Records, otherwise the device language.
//! It is read before the first screen is shown. Choosing another language restarts the
//! app, which loses nothing: every entry is stored before the screen moves on.

use crate::service::fetch;
use crate::service::preferences::{self, Preference};
use leptos::prelude::*;
use lidoff_i18n::{Language, Measures, Translations, language, set_language, set_measures, tr};

/// The language to use.
pub fn wanted() -> Language {
    let chosen = preferences::get(Preference::Language);
    chosen
        .and_then(|tag| Language::from_tag(&tag))
        .unwrap_or_else(of_device)
}

fn of_device() -> Language {
    let tags: Vec<String> = window()
        .navigator()
        .languages()
        .iter()
        .filter_map(|tag| tag.as_string())
        .collect();
    Language::preferred(tags.iter().map(String::as_str))
}

/// Applies the chosen units and loads the translations. If they cannot be loaded, returns
/// why, and the app is in English.
pub async fn prepare(wanted: Language) -> Option<String> {
    let measures = preferences::get(Preference::Measures);
    set_measures(Measures::from_name(&measures.unwrap_or_default()));
    let trouble = match wanted {
        Language::English => None,
        _ => load(wanted).await.err().map(|why| {
            format!(
                "The words of this language ({}) could not be had: {why}. Here is English.",
                wanted.name()
            )
        }),
    };
    mark_page();
    trouble
}

async fn load(wanted: Language) -> Result<(), String> {
    let text = fetch::text(&format!("words/{}.txt", wanted.tag())).await?;
    set_language(Translations::read(wanted, &text).map_err(|error| error.to_string())?);
    Ok(())
}

/// Marks the page with its language, and translates the banner that is shown after the app
/// has stopped.
fn mark_page() {
    let language = language();
    if let Some(page) = document().document_element() {
        // Attribute names and values are valid, so this cannot fail.
        let _set = page.set_attribute("lang", language.tag());
        let _set = page.set_attribute("dir", language.direction());
    }
    let words = [
        (
            "stopped-what",
            tr!("Lidoff has stopped. Everything up to your last tap is saved."),
        ),
        ("stopped-reload", tr!("Reload")),
        ("stopped-save", tr!("Save the records to a file")),
    ];
    for (id, words) in words {
        if let Some(place) = document().get_element_by_id(id) {
            place.set_text_content(Some(&words));
        }
    }
}
