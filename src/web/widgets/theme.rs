//! The theme: the system's, or the one chosen here.

use leptos::prelude::*;
use lidoff_i18n::tr;
use web_sys::{CustomEvent, CustomEventInit};

use crate::service::preferences::{self, Preference};
use crate::state::app;

/// The section of Records with the choice of theme.
#[component]
pub fn ThemeChoice() -> impl IntoView {
    let app = app();
    let chosen = RwSignal::new(preferences::get(Preference::Theme).unwrap_or_default());
    let choose = move |theme: &'static str| {
        chosen.set(theme.to_owned());
        show(theme);
        if let Err(why) = preferences::set(Preference::Theme, theme) {
            let explanation = tr!(
                "The theme could not be saved for next time: {why}",
                why = why
            );
            app.notify(false, explanation);
        }
    };
    // The names used in `public/look.js` and `public/themes.css`.
    let all = [
        ("", tr!("Device setting")),
        ("light", tr!("Light")),
        ("dark", tr!("Dark")),
        ("sunlight", tr!("Sunlight: black on white, thick lines")),
    ];
    let rows: Vec<_> = all
        .into_iter()
        .map(|(theme, name)| {
            view! {
                <label class="tick">
                    <input type="radio" name="look" value=theme
                        prop:checked=move || chosen.with(|chosen| chosen == theme)
                        on:change=move |_| choose(theme)/>
                    <span>{name}</span>
                </label>
            }
        })
        .collect();
    view! {
        <section class="sheet" id="look">
            <fieldset><legend>{tr!("Theme")}</legend>{rows}</fieldset>
        </section>
    }
}

/// Sets the theme of the page; "" is the system's. The page's own script does it, because
/// it also does so before the app has started.
fn show(theme: &str) {
    let init = CustomEventInit::new();
    init.set_detail(&theme.into());
    if let Ok(event) = CustomEvent::new_with_event_init_dict("lidoff-look", &init) {
        // The event cannot be cancelled.
        let _not_called_off = window().dispatch_event(&event);
    }
}
