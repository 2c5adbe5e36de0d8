//! Which fasteners come out or go in, how many, and the well each kind lies in.

use leptos::prelude::*;

use crate::job::planned::Fasteners;

#[component]
pub(super) fn Fastened(
    title: &'static str,
    verb: &'static str,
    sets: Vec<Fasteners>,
) -> impl IntoView {
    (!sets.is_empty()).then(|| {
        let rows: Vec<_> = sets
            .into_iter()
            .map(|set| {
                let place = match (set.well, set.captive, set.single_use) {
                    (_, true, _) => view! { <span class="soft">"stays with its part"</span> }.into_any(),
                    (_, _, true) if verb == "into" => view! { <span class="soft">"used once: discard"</span> }.into_any(),
                    (_, _, true) => view! { <span class="soft">"new ones"</span> }.into_any(),
                    (Some(well), ..) => view! {
                        <span>{format!("{verb} well ")}<span class="well">{well}</span></span>
                    }.into_any(),
                    (None, ..) => ().into_any(),
                };
                let torque = set.torque_words();
                view! {
                    <li>
                        <div class="row apart">
                            <strong>{format!("{} × {}", set.count, set.name)}</strong>
                            {place}
                        </div>
                        {(verb == "from").then_some(torque).flatten().map(|torque| view! { <p class="soft">{torque}</p> })}
                    </li>
                }
            })
            .collect();
        view! {
            <section class="sheet" aria-label=title>
                <h2>{title}</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}
