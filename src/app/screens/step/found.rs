//! How it was found at strip-down, told where it is put together again.

use crate::tongue::tr;
use leptos::prelude::*;

use crate::app::found::Found;
use crate::app::tongue::said;

/// What was found; nothing where nothing was asked.
#[component]
pub fn AsFound(found: Vec<Found>) -> impl IntoView {
    (!found.is_empty()).then(|| {
        let rows: Vec<_> = found
            .into_iter()
            .map(|one| {
                let lead = if one.given { tr!("Found: ") } else { tr!("Assumed, for nobody looked: ") };
                view! {
                    <p class="change">
                        <span><strong>{lead}{said(&one.answer).into_owned()}</strong><br/><span class="soft small">{said(&one.question).into_owned()}</span></span>
                    </p>
                }
            })
            .collect();
        view! { <div class="stack" id="as-found">{rows}</div> }
    })
}
