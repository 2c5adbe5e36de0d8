//! A danger: recorded at once, then what to do now.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::state::app;
use crate::widgets::dynamic::rebuilt;
use crate::widgets::offer::CloseUp;
use crate::widgets::power::PowerLine;
use lidoff_app_core::display::capitalize;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::what_now::{advise, condemning_answers};
use lidoff_i18n::{localize, tr};
use lidoff_job::{Danger, EventKind};

/// Which danger; choosing one records it.
#[component]
pub(super) fn DangerForm(job: OpenJob, step: u32, open: RwSignal<bool>) -> impl IntoView {
    let found = RwSignal::new(None::<Danger>);
    rebuilt(move || {
        if let Some(danger) = found.get() {
            return view! { <WhatNow job danger open/> }.into_any();
        }
        let rows = Danger::ALL.into_iter().map(|danger| {
            let report = move |_| {
                // The advice does not wait for the entry to be stored.
                job.record(EventKind::DangerFound {
                    what: danger,
                    step: Some(step),
                    note: String::new(),
                });
                found.set(Some(danger));
            };
            view! {
                <button type="button" class="wide choice wrong" on:click=report>{capitalize(&localize(danger.name()))}</button>
            }
        });
        view! { <div class="stack">{rows.collect::<Vec<_>>()}</div> }.into_any()
    })
}

/// What to do now, in the present power state.
#[component]
fn WhatNow(job: OpenJob, danger: Danger, open: RwSignal<bool>) -> impl IntoView {
    let now = job.get_untracked();
    let unit = now.opened.as_ref().map(|opened| opened.unit.id.as_str());
    let catalog = unit.and_then(|unit| app().catalog(unit));
    let answers = catalog.as_ref();
    let answers = answers.map(|catalog| condemning_answers(danger, &now, catalog));
    let replan = answers.filter(|answers| !answers.is_empty()).map(|answers| {
        let replan = move |_| job.act_and_close(answers.clone(), open);
        view! {
            <button type="button" class="wide" on:click=replan>{tr!("Replan: the battery is condemned")}</button>
        }
    });
    let advice = catalog.map(|catalog| advise(danger, &now, &catalog));
    let (first, isolate) = advice.map_or_else(Default::default, |it| (it.first, it.isolate));
    let lines = |lines: Vec<String>| {
        let lines = lines.into_iter().map(|line| view! { <li>{line}</li> });
        lines.collect::<Vec<_>>()
    };
    let isolate: Vec<_> = isolate
        .into_iter()
        .map(|(source, steps)| {
            view! {
                <p><strong>{tr!("If you can do it safely, isolate: {source}", source)}</strong></p>
                <ol class="numbered">{lines(steps)}</ol>
            }
        })
        .collect();
    view! {
        <section class="hazard" id="danger" role="alert">
            <p class="signal"><span aria-hidden="true">"⚠ "</span>{capitalize(&localize(danger.name()))}</p>
            <ul class="marked">{lines(first)}</ul>
        </section>
        <PowerLine job/>
        {isolate}
        <p class="soft">{tr!("The danger is recorded. When nobody is in danger:")}</p>
        {replan}
        <a class="button wide" href=Route::Job(job.id(), Page::WrapUp).href()>{tr!("Stop the job here")}</a>
        <CloseUp job then=open/>
    }
}
