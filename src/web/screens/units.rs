//! Choosing the unit for a new job.

use leptos::prelude::*;

use crate::state::{CatalogLibrary, app};
use crate::widgets::dynamic::CollectAny;
use lidoff_app_core::route::Route;
use lidoff_i18n::{localize, tr};

/// Every unit whose catalog is on this device.
#[component]
pub fn Units() -> impl IntoView {
    let app = app();
    let library = move || match app.library.get() {
        None => view! { <p>{tr!("Loading the catalogs.")}</p> }.into_any(),
        Some(library) => listed(&library).into_any(),
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Choose a unit")}</h1>
            {library}
        </div>
    }
}

fn listed(library: &CatalogLibrary) -> impl IntoView + use<> {
    let units = library
        .units
        .iter()
        .map(|catalog| {
            let unit = catalog.unit();
            view! {
                <li>
                    <a class="line" href=Route::New(unit.id.clone()).href()>
                        <span>
                            <strong>{unit.name.clone()}</strong>
                            <span class="soft">{format!(" · {}", localize(&unit.kind))}</span>
                            <br/>
                            <span class="soft small">
                                {tr!("{}, revision {}", tr!("{n} part" | "{n} parts" % catalog.parts().len()), unit.revision)}
                            </span>
                        </span>
                        <span aria-hidden="true">"›"</span>
                    </a>
                </li>
            }
        })
        .collect_any();
    let troubles = library
        .troubles
        .iter()
        .map(|trouble| {
            view! {
                <details class="sheet">
                    <summary>{tr!("{} cannot be used", trouble.name)}</summary>
                    <p>{tr!("The catalog author must fix it. The other units are not affected.")}</p>
                    <ul class="marked small">
                        {trouble.lines.iter().map(|line| view! { <li>{line.clone()}</li> }).collect_any()}
                    </ul>
                </details>
            }
        })
        .collect_any();
    view! {
        <ul class="sheet list">{units}</ul>
        {troubles}
    }
}
