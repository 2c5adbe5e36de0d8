//! Which cable goes to which port.

use leptos::prelude::*;

use crate::job::planned::Cable;

#[component]
pub(super) fn Cables(title: &'static str, cables: Vec<Cable>) -> impl IntoView {
    (!cables.is_empty()).then(|| {
        let rows: Vec<_> = cables
            .into_iter()
            .map(|cable| {
                view! {
                    <li>
                        <strong>{cable.cable}</strong>" → "<strong>{cable.port}</strong>
                        {cable.unseen_swap.map(|swap| view! {
                            <p><strong>"A swap goes unseen: "</strong>{swap}</p>
                        })}
                    </li>
                }
            })
            .collect();
        view! {
            <section class="sheet" aria-label=format!("{title} these cables")>
                <h2>{title}</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}
