//! "While it is open": what replacing one part more would add, worked out a plan
//! a frame once it is asked for.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::planning::LIMITS;
use crate::app::words::{about, count};
use crate::catalog::model::Catalog;
use crate::catalog::setup::{SaidSetup, Setup};
use crate::job::{Also, SaidTask, WhatIf};
use crate::plan::{Task, plan};

/// So many are shown at first.
const FIRST: usize = 6;

/// What has been found out so far.
#[derive(Clone, PartialEq)]
enum Told {
    /// So many parts of so many.
    Looking(usize, usize),
    /// All of them.
    Found(Vec<Also>),
    /// There is nothing to compare.
    Failed(String),
}

/// The section; `open` outlives it, so that it stays open while tasks are ticked.
/// `add` takes a task that is wanted too.
#[component]
pub fn WhileOpen(
    catalog: Arc<Catalog>,
    setup: SaidSetup,
    tasks: Vec<SaidTask>,
    open: RwSignal<bool>,
    add: Callback<SaidTask>,
) -> impl IntoView {
    let was_open = open.get_untracked();
    let told = RwSignal::new(Told::Looking(0, 0));
    let all = RwSignal::new(false);
    let begin = move || match Setup::new(&catalog, &setup) {
        Ok(setup) => {
            let tasks: Vec<Task> = tasks
                .iter()
                .filter_map(|task| task.find(&catalog))
                .collect();
            let what_if = WhatIf::new(&catalog, setup, tasks, LIMITS);
            one_more(catalog.clone(), StoredValue::new(what_if), told);
        }
        Err(error) => told.set(Told::Failed(error.to_string())),
    };
    Effect::new(move |begun: Option<bool>| {
        let begun = begun.unwrap_or(false);
        if open.get() && !begun {
            begin();
        }
        begun || open.get()
    });
    // Said once, before the first toggle is heard.
    let mut heard = !was_open;
    view! {
        <details class="sheet" open=was_open on:toggle=move |_| {
            if std::mem::replace(&mut heard, true) {
                open.update(|open| *open = !*open);
            }
        }>
            <summary>"Replace more while it is open?"</summary>
            {move || match told.get() {
                Told::Looking(done, many) => view! {
                    <p class="soft" role="status">{format!("{done} of {} looked at", count(many, "part", "parts"))}</p>
                }.into_any(),
                Told::Failed(why) => view! { <p role="alert">{why}</p> }.into_any(),
                Told::Found(found) => {
                    let many = found.len();
                    let shown = if all.get() { many } else { FIRST };
                    let rows: Vec<_> = found.into_iter().take(shown).map(|also| row(also, add)).collect();
                    view! {
                        <p class="soft small">"Added to this visit, against a visit of its own (checks included, the journey not):"</p>
                        <ul class="list">{rows}</ul>
                        {(many > shown).then(|| view! {
                            <button type="button" class="quiet wide" on:click=move |_| all.set(true)>
                                {format!("Show all {many}")}
                            </button>
                        })}
                    }.into_any()
                }
            }}
        </details>
    }
}

fn row(also: Also, add: Callback<SaidTask>) -> impl IntoView {
    let task = also.task.task.clone();
    let name = also.task.name.clone();
    view! {
        <li class="also">
            <span>
                <strong>{also.task.name.clone()}</strong>
                <span class="num">{format!("+{} instead of {}", about(also.more_s), about(also.alone_s))}</span>
            </span>
            <button type="button" class="quiet" aria-label=format!("Add: replace {name}")
                on:click=move |_| add.run(task.clone())>"Add"</button>
        </li>
    }
}

/// Makes one plan more in the next frame, and goes on until all are made or the
/// section is gone.
fn one_more(catalog: Arc<Catalog>, what_if: StoredValue<WhatIf>, told: RwSignal<Told>) {
    request_animation_frame(move || {
        let went = what_if.try_update_value(|what_if| what_if.go_on(&catalog, plan));
        match went {
            Some(Ok(true)) => {
                let progress = what_if.try_with_value(WhatIf::progress);
                if let Some((done, many)) = progress
                    && told.try_set(Told::Looking(done, many)).is_none()
                {
                    one_more(catalog, what_if, told);
                }
            }
            Some(Ok(false)) => {
                let found = what_if.try_with_value(|what_if| what_if.found().to_vec());
                // Gone is gone: there is nobody to tell.
                let _gone = found.and_then(|found| told.try_set(Told::Found(found)));
            }
            Some(Err(refusal)) => {
                let _gone = told.try_set(Told::Failed(refusal.words(&catalog)));
            }
            None => {}
        }
    });
}
