//! What earlier visits to this kind of unit left open, to be taken up.

use leptos::prelude::*;

use crate::app::outlook::{LeftOpen, left_open};
use crate::app::screens::today::name;
use crate::app::state::app;
use crate::app::words::date;

/// Each visit that left something, with a button that takes it up.
#[component]
pub fn LeftOpenVisits(unit: String, take: Callback<LeftOpen>) -> impl IntoView {
    let app = app();
    let visits = Memo::new(move |_| {
        app.jobs.with(|logs| {
            let logs = logs.iter().flatten().map(|log| &**log);
            left_open(logs, &unit)
        })
    });
    move || {
        let rows: Vec<_> = visits
            .get()
            .into_iter()
            .map(|visit| {
                let tasks: Vec<String> = visit.tasks.iter().map(|task| task.words()).collect();
                let head = visit.job.head;
                let when = head.map(|(_, at)| date(at.wall_ms, at.offset_min));
                let site = visit.job.opened.as_ref().map(|opened| opened.site.clone());
                view! {
                    <li class="stack">
                        <p>
                            <strong>{name(&visit.job)}</strong>
                            <br/>
                            <span class="soft">{site}" "{when}</span>
                        </p>
                        <p>{tasks.join("; ")}</p>
                        <button type="button" on:click=move |_| take.run(visit.clone())>"Take these up"</button>
                    </li>
                }
            })
            .collect();
        (!rows.is_empty()).then(|| {
            view! {
                <section class="sheet lead" aria-labelledby="left-open">
                    <h2 id="left-open">"Left open on earlier visits"</h2>
                    <ul class="list">{rows}</ul>
                </section>
            }
        })
    }
}
