//! Language and units, chosen in Records.

use crate::service::preferences::{self, Preference};
use crate::state::app;
use leptos::prelude::*;
use lidoff_i18n::{Language, Measures, measures, tr};

/// The section with both choices.
#[component]
pub fn LanguageAndUnits() -> impl IntoView {
    let chosen = preferences::get(Preference::Language).unwrap_or_default();
    let none = chosen.is_empty();
    let languages = Language::ALL.map(|one| {
        let tag = one.tag();
        view! { <option value=tag lang=tag selected=tag == chosen>{one.name()}</option> }
    });
    let units = [
        (Measures::Metric, tr!("mm and N·m first")),
        (Measures::Inch, tr!("in and in·lbf first")),
    ]
    .map(|(one, words)| {
        view! { <option value=one.name() selected=one == measures()>{words}</option> }
    });
    view! {
        <section class="sheet" aria-labelledby="language-and-units">
            <h2 id="language-and-units">{tr!("Language and units")}</h2>
            <ReloadingSelect label=tr!("Language") id="language" preference=Preference::Language>
                <option value="" selected=none>{tr!("Device setting")}</option>
                {languages.into_iter().collect_view()}
            </ReloadingSelect>
            <ReloadingSelect label=tr!("Units") id="measures" preference=Preference::Measures>
                {units.into_iter().collect_view()}
            </ReloadingSelect>
        </section>
    }
}

/// A select that restarts the app, because every screen depends on it.
#[component]
fn ReloadingSelect(
    label: String,
    id: &'static str,
    preference: Preference,
    children: Children,
) -> impl IntoView {
    let app = app();
    let choose = move |event| {
        if let Err(why) = preferences::set(preference, &event_target_value(&event)) {
            return app.notify(true, why.to_string());
        }
        if window().location().reload().is_err() {
            app.notify(false, tr!("Reload the page to see the change."));
        }
    };
    view! {
        <label class="field">
            <span>{label}</span>
            <select id=id prop:disabled=move || app.busy.get() on:change=choose>{children()}</select>
        </label>
    }
}
