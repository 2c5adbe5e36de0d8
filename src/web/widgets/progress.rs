//! The progress of a plan that takes a while, and a button to use the best plan so far.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::state::app;
use crate::widgets::dynamic::text;
use lidoff_app_core::display::format_duration;

/// The strip at the foot of the page, shown only while a plan takes long.
#[component]
pub fn Progress() -> impl IntoView {
    let app = app();
    let shown = move || app.planning.with(Option::is_some);
    let line = text(move || {
        let Some(progress) = app.planning.get() else {
            return String::new();
        };
        let seconds = |tenths| f64::from(tenths) / 10.0;
        let least = format_duration(seconds(progress.at_least));
        match progress.best {
            Some(best) => tr!(
                "Best order so far: {best}. No order takes less than {least}.",
                best = format_duration(seconds(best)),
                least = least
            ),
            None => tr!("No order takes less than {least}.", least = least),
        }
    });
    view! {
        <Show when=shown>
            <div class="banner working" role="status">
                <p><strong>{tr!("Working out the best order")}</strong><br/><span class="num" aria-live="off">{line}</span></p>
                <button type="button" on:click=move |_| app.enough.update_value(|count| *count += 1)>
                    {tr!("Use the best so far")}
                </button>
            </div>
        </Show>
    }
}
