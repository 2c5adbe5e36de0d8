//! "Replace more while it is open?": the extra time for each other part. Computed on
//! request, one plan per frame.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::generation::Generation;
use crate::service::scheduler::TimeSlicer;
use crate::state::app;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::rebuilt;
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_i18n::{localize, tr};
use lidoff_job::{MarginalCost, MarginalCosts, TaskRef};
use lidoff_planner::{Limits, Request, Task, plan_async};

/// The extra time for each part, and the names of the parts that cannot be replaced in this
/// visit.
type Costs = (Vec<MarginalCost>, Vec<String>);

/// Number of entries shown at first.
const FIRST: usize = 6;

/// The section. `open` outlives it, so that it stays open while tasks are ticked. `add`
/// adds a task to the visit.
#[component]
pub fn MarginalCostSection(
    catalog: Arc<Catalog>,
    setup: Configuration,
    tasks: Vec<TaskRef>,
    open: RwSignal<bool>,
    add: Callback<TaskRef>,
) -> impl IntoView {
    // The progress, or why it stopped.
    let line = RwSignal::new(String::new());
    let (found, all) = (RwSignal::new(None), RwSignal::new(false));
    let what_if = Setup::new(&catalog, &setup).map(|setup| {
        let tasks: Vec<Task> = tasks
            .iter()
            .filter_map(|task| task.find(&catalog))
            .collect();
        MarginalCosts::new(&catalog, setup, tasks, Limits::INTERACTIVE)
    });
    let what_if = match what_if {
        Ok(what_if) => what_if,
        Err(error) => return view! { <p role="alert">{error.to_string()}</p> }.into_any(),
    };
    let progress_handler = app().progress_handler(Generation::new().begin());
    let mut work =
        Some(move || spawn_local(work_out(catalog, what_if, progress_handler, line, found)));
    Effect::new(move |_| {
        if open.get()
            && let Some(work) = work.take()
        {
            work();
        }
    });
    let inside = move || {
        view! {
            {rebuilt(move || if let Some((found, refused)) = found.get() {
                let many = found.len();
                let shown = if all.get() { many } else { FIRST };
                let rows: Vec<_> = found.iter().take(shown).map(|cost| row(cost, add)).collect();
                let more = many > rows.len();
                view! {
                    <p class="soft small">{tr!("Extra time now, compared with a separate visit (with checks, without travel):")}</p>
                    <ul class="list">{rows}</ul>
                    {more.then(|| view! {
                        <button type="button" class="quiet wide" on:click=move |_| all.set(true)>
                            {tr!("Show all {many}", many)}
                        </button>
                    })}
                    {(!refused.is_empty()).then(|| {
                        let parts = refused.join(", ");
                        view! { <p class="soft small">{tr!("Not possible in the same visit: {parts}", parts)}</p> }
                    })}
                }.into_any()
            } else {
                view! { <p class="soft" role="status">{line.get()}</p> }.into_any()
            })}
        }
        .into_any()
    };
    view! { <Disclosure class="sheet" open summary=|| tr!("Replace more while it is open?") inside/> }
        .into_any()
}

fn row(cost: &MarginalCost, add: Callback<TaskRef>) -> AnyView {
    let task = cost.task.task.clone();
    let name = capitalize(&localize(&cost.task.name));
    let shown = name.clone();
    view! {
        <li class="also">
            <span>
                <strong>{shown}</strong>
                <span class="num small">{tr!("+{} instead of {}", format_duration(cost.more_s), format_duration(cost.alone_s))}</span>
            </span>
            <button type="button" class="quiet" aria-label=tr!("Add: replace {name}", name)
                on:click=move |_| add.run(task.clone())>{tr!("Add")}</button>
        </li>
    }
    .into_any()
}

/// Computes one plan after another until all are done or the section is closed.
async fn work_out(
    catalog: Arc<Catalog>,
    mut what_if: MarginalCosts,
    mut progress_handler: TimeSlicer,
    line: RwSignal<String>,
    found: RwSignal<Option<Costs>>,
) {
    loop {
        let planner =
            async |request: &Request<'_>| plan_async(request, &mut progress_handler).await;
        let more = what_if.go_on(&catalog, planner).await;
        // If the section is gone, there is nothing to do.
        let gone = match more {
            Ok(true) => {
                let (done, many) = what_if.progress();
                line.try_set(tr!(
                    "{done} of {n} part checked" | "{done} of {n} parts checked" % many,
                    done
                ))
                .is_some()
            }
            Ok(false) => {
                let refused = what_if.refused().iter();
                let refused = refused.map(|task| localize(&task.name).into_owned());
                let _gone = found.try_set(Some((what_if.found().to_vec(), refused.collect())));
                return;
            }
            Err(refusal) => {
                let _gone = line.try_set(refusal.words(&catalog));
                return;
            }
        };
        if gone {
            return;
        }
        progress_handler.turn().await;
    }
}
