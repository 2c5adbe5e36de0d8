//! Which cable goes to which port: both ends drawn, plugged in or unplugged.

use leptos::prelude::*;
use lidoff_i18n::tr;

use super::fasteners::list_sheet;
use crate::widgets::dynamic::CollectAny;
use lidoff_i18n::localize;
use lidoff_job::planned::Cable;

/// The cables unplugged or plugged in here; nothing if there are none.
#[component]
pub fn Cables(title: String, cables: Vec<Cable>, joined: bool) -> impl IntoView {
    (!cables.is_empty()).then(|| {
        let rows = cables
            .into_iter()
            .map(|cable| {
                let swap = cable.unseen_swap.filter(|_| joined);
                view! {
                    <li>
                        <div class="cable">
                            <span class="end"><span class="hush">{tr!("Cable: ")}</span><strong>{localize(&cable.cable).into_owned()}</strong></span>
                            <Lead joined/>
                            <span class="end port"><span class="hush">{tr!("Port: ")}</span><strong>{localize(&cable.port).into_owned()}</strong></span>
                        </div>
                        {swap.map(|swap| view! {
                            <p class="swap"><strong>{tr!("Easily swapped by mistake: ")}</strong>{localize(&swap).into_owned()}</p>
                        })}
                    </li>
                }
            })
            .collect_any();
        list_sheet(title, rows.into_any())
    })
}

/// A lead with its plug, in its socket or out of it.
#[component]
fn Lead(joined: bool) -> impl IntoView {
    let (lead, plug) = if joined {
        ("M0 12h16", "M16 6h14v12H16zM30 9h6M30 15h6")
    } else {
        ("M0 12h6", "M6 6h12v12H6zM18 9h5M18 15h5")
    };
    view! {
        <svg viewBox="0 0 48 24" aria-hidden="true">
            <path d=lead/>
            <path class="plug" d=plug/>
            <path d="M46 3h-10v18h10"/>
        </svg>
    }
}
