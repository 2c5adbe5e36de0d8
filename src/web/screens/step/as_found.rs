//! How a part was found at strip-down, shown at refit.

use leptos::prelude::*;

use crate::widgets::dynamic::CollectAny;
use lidoff_i18n::tr;

use lidoff_app_core::as_found::AsFoundAnswer;
use lidoff_i18n::localize;

/// The answers found; nothing if no question was asked.
#[component]
pub fn AsFound(found: Vec<AsFoundAnswer>) -> impl IntoView {
    (!found.is_empty()).then(|| {
        let rows = found
            .into_iter()
            .map(|one| {
                let lead = if one.given { tr!("Found: ") } else { tr!("Assumed (not checked): ") };
                view! {
                    <p class="change">
                        <span><strong>{lead}{localize(&one.answer).into_owned()}</strong><br/><span class="soft small">{localize(&one.question).into_owned()}</span></span>
                    </p>
                }
            })
            .collect_any();
        view! { <div class="stack" id="as-found">{rows}</div> }
    })
}
