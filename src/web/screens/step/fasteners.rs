//! Which fasteners come out or go in, how many, and the well for each kind.

use leptos::prelude::*;

use crate::widgets::dynamic::CollectAny;
use lidoff_i18n::tr;

use lidoff_job::planned::Fasteners;

/// The fasteners that come `out`, or go back in; nothing where there are none.
#[component]
pub(super) fn FastenerSheet(sets: Vec<Fasteners>, out: bool) -> impl IntoView {
    let title = if out {
        tr!("Take out")
    } else {
        tr!("Put back")
    };
    (!sets.is_empty()).then(|| {
        let rows = sets
            .into_iter()
            .map(|set| {
                let (words, well) = match (set.well, set.captive, set.single_use) {
                    (_, true, _) => (tr!("captive: stays with the part"), None),
                    (_, _, true) if out => (tr!("single-use: discard"), None),
                    (_, _, true) => (tr!("use new ones"), None),
                    (Some(well), ..) if out => (tr!("into well"), Some(well)),
                    (Some(well), ..) => (tr!("from well"), Some(well)),
                    (None, ..) => (String::new(), None),
                };
                let torque = set.describe_torque().filter(|_| !out);
                view! {
                    <li>
                        <div class="row apart">
                            <strong>{format!("{} × {}", set.count, set.describe_kind())}</strong>
                            <span class="soft">{words}" "{well.map(|well| view! { <span class="well">{well}</span> })}</span>
                        </div>
                        {torque.map(|torque| view! {
                            <p class="num"><span class="soft">{tr!("Tighten to ")}</span><strong>{torque}</strong></p>
                        })}
                    </li>
                }
            })
            .collect_any();
        list_sheet(title, rows.into_any())
    })
}

/// A sheet with a list.
pub(super) fn list_sheet(title: String, rows: AnyView) -> AnyView {
    view! {
        <section class="sheet" aria-label=title.clone()>
            <h2>{title.clone()}</h2>
            <ul class="list">{rows}</ul>
        </section>
    }
    .into_any()
}
