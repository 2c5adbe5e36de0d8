//! Learned times: what jobs have shown, which times are in use on this device, and how
//! to apply or remove them. No times are used until a person has seen and accepted
//! them.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::service::files;
use crate::start;
use crate::state::{App, app};
use crate::widgets::dynamic::{CollectAny, rebuilt};
use lidoff_app_core::display::capitalize;
use lidoff_estimate::handbook;
use lidoff_estimate::learned_times::{LearnedTimes, describe_difference};
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, JobId};
use lidoff_report::desk::learn;
use lidoff_report::exchange::when::format_local_time;

/// Number of lines shown; the rest is in the file.
const MOST: usize = 12;

/// The corrections as text, the largest first, up to [`MOST`]; and their number.
fn lines(times: &LearnedTimes) -> (Vec<String>, usize) {
    let steps = times.steps.iter().map(|one| {
        let difference = describe_difference(one.handbook_s, one.actual_s, one.n);
        (
            (one.actual_s / one.handbook_s).ln().abs(),
            format!("{}: {difference}", localize(&one.action)),
        )
    });
    let elements = times.elements.iter().map(|one| {
        let difference = describe_difference(one.handbook_s, one.actual_s, one.n);
        let name = capitalize(&localize(handbook::name(one.element)));
        (
            (one.actual_s / one.handbook_s).ln().abs(),
            format!("{name}: {difference}"),
        )
    });
    let mut all: Vec<(f64, String)> = steps.chain(elements).collect();
    let many = all.len();
    let mut first = Vec::new();
    while first.len() < MOST && !all.is_empty() {
        let greater = |a: usize, b: usize| if all[b].0 > all[a].0 { b } else { a };
        let greatest = (1..all.len()).fold(0, greater);
        first.push(all.remove(greatest).1);
    }
    (first, many)
}

#[component]
fn Lines(times: Arc<LearnedTimes>) -> impl IntoView {
    let (first, many) = lines(&times);
    let head = tr!(
        "From {n} job, {made}. Largest corrections first: {shown} of {many}."
            | "From {n} jobs, {made}. Largest corrections first: {shown} of {many}." % times.jobs,
        made = times.made,
        shown = first.len(),
        many
    );
    let rows = first
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect_any();
    view! {
        <p class="soft small">{head}</p>
        <ul class="marked small">{rows}</ul>
    }
}

/// On the desk: the times learned from these jobs.
#[component]
pub fn Learned(jobs: Vec<(JobId, Job)>) -> impl IntoView {
    let app = app();
    let now = app.now.get_untracked();
    let times = Arc::new(learn(&jobs, format_local_time(now.wall_ms, now.offset_min)));
    let none = times.steps.is_empty() && times.elements.is_empty();
    let (saved, used) = (times.clone(), times.clone());
    let save = move |_| {
        if let Err(error) = files::save("lidoff-times.json", "application/json", &saved.to_json()) {
            app.notify(true, error.to_string());
        }
    };
    view! {
        <section class="sheet" aria-labelledby="learned">
            <h2 id="learned">{tr!("Times learned from these jobs")}</h2>
            {if none {
                view! { <p class="soft">{tr!("Not enough data yet: a step needs three timings.")}</p> }.into_any()
            } else {
                view! {
                    <Lines times/>
                    <div class="row">
                        <button type="button" on:click=save>{tr!("Save the times to a file")}</button>
                        <button type="button" on:click=move |_| use_times(app, Some(used.clone()))>{tr!("Use on this device")}</button>
                    </div>
                }.into_any()
            }}
        </section>
    }
}

/// In Records: the times in use, with buttons to apply or remove times.
#[component]
pub fn TimesInUse() -> impl IntoView {
    let app = app();
    let offered = RwSignal::new(None::<Arc<LearnedTimes>>);
    let open = move |_| {
        let asked = files::open(".json,.txt");
        spawn_local(async move {
            match asked.await {
                Ok(Some(chosen)) => match LearnedTimes::from_json(&chosen.text) {
                    Ok(times) => offered.set(Some(Arc::new(times))),
                    Err(error) => app.notify(true, format!("{}: {error}", chosen.name)),
                },
                Ok(None) => {}
                Err(error) => app.notify(true, error.to_string()),
            }
        });
    };
    let offer = rebuilt(move || {
        offered.get().map(|times| {
            let used = times.clone();
            view! {
                <h3>{tr!("Use these times?")}</h3>
                <Lines times/>
                <div class="row">
                    <button type="button" class="key" on:click=move |_| {
                        use_times(app, Some(used.clone()));
                        offered.set(None);
                    }>{tr!("Use these times")}</button>
                    <button type="button" class="quiet" on:click=move |_| offered.set(None)>{tr!("Cancel")}</button>
                </div>
            }
        })
    });
    let in_use = rebuilt(move || {
        match app.times.get() {
        None => view! { <p>{tr!("Handbook times and the catalogs' own times.")}</p> }.into_any(),
        Some(times) => view! {
            <p>{tr!("Estimates are corrected by recorded times:")}</p>
            <Lines times/>
            <button type="button" on:click=move |_| use_times(app, None)>{tr!("Go back to the handbook times")}</button>
        }
        .into_any(),
    }
    });
    view! {
        <section class="sheet" aria-labelledby="times-in-use">
            <h2 id="times-in-use">{tr!("Times in use")}</h2>
            {in_use}
            {offer}
            <button type="button" on:click=open>{tr!("Open learned times from a file")}</button>
        </section>
    }
}

/// Applies learned times to the catalogs, or removes them. Existing plans do not change.
fn use_times(app: App, times: Option<Arc<LearnedTimes>>) {
    let text = times.as_ref().map(|times| times.to_json());
    let used = times.is_some();
    if let Err(why) = start::keep_times(text.as_deref()) {
        return app.notify(true, why);
    }
    app.times.set(times);
    spawn_local(async move {
        start::fill_library(app).await;
        app.notify(
            false,
            if used {
                tr!("New plans use these times. You can remove them in Records.")
            } else {
                tr!("New plans use the handbook times.")
            },
        );
    });
}
