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
    // How far it is, or why it goes no farther.
    let line = RwSignal::new(String::new());
    let (found, all) = (RwSignal::new(false), RwSignal::new(false));
    let what_if = Setup::new(&catalog, &setup).map(|setup| {
        let tasks: Vec<Task> = tasks
            .iter()
            .filter_map(|task| task.find(&catalog))
            .collect();
        StoredValue::new(WhatIf::new(&catalog, setup, tasks, LIMITS))
    });
    let what_if = match what_if {
        Ok(what_if) => what_if,
        Err(error) => return view! { <p role="alert">{error.to_string()}</p> }.into_any(),
    };
    let is_open = open.get_untracked();
    if is_open {
        one_more(catalog.clone(), what_if, line, found);
    }
    // An element that is made open says so once.
    let mut heard = !is_open;
    let mut begun = is_open;
    let toggle = move |_| {
        if std::mem::replace(&mut heard, true) {
            open.update(|open| *open = !*open);
            if !std::mem::replace(&mut begun, true) {
                one_more(catalog.clone(), what_if, line, found);
            }
        }
    };
    view! {
        <details class="sheet" open=is_open on:toggle=toggle>
            <summary>"Replace more while it is open?"</summary>
            {move || if found.get() {
                let (rows, many) = what_if.with_value(|what_if| {
                    let found = what_if.found();
                    let shown = if all.get() { found.len() } else { FIRST };
                    let rows: Vec<_> = found.iter().take(shown).map(|also| row(also, add)).collect();
                    (rows, found.len())
                });
                let more = many > rows.len();
                view! {
                    <p class="soft small">"Added to this visit, against a visit of its own (checks included, the journey not):"</p>
                    <ul class="list">{rows}</ul>
                    {more.then(|| view! {
                        <button type="button" class="quiet wide" on:click=move |_| all.set(true)>
                            {format!("Show all {many}")}
                        </button>
                    })}
                }.into_any()
            } else {
                view! { <p class="soft" role="status">{line.get()}</p> }.into_any()
            }}
        </details>
    }
    .into_any()
}

fn row(also: &Also, add: Callback<SaidTask>) -> AnyView {
    let task = also.task.task.clone();
    let name = also.task.name.clone();
    view! {
        <li class="also">
            <span>
                <strong>{also.task.name.clone()}</strong>
                <span class="num small">{format!("+{} instead of {}", about(also.more_s), about(also.alone_s))}</span>
            </span>
            <button type="button" class="quiet" aria-label=format!("Add: replace {name}")
                on:click=move |_| add.run(task.clone())>"Add"</button>
        </li>
    }
    .into_any()
}

/// Makes one plan more in the next frame, and goes on until all are made or the
/// section is gone.
fn one_more(
    catalog: Arc<Catalog>,
    what_if: StoredValue<WhatIf>,
    line: RwSignal<String>,
    found: RwSignal<bool>,
) {
    request_animation_frame(move || {
        // Where the section is gone there is nobody to tell, and nothing to do.
        let went = what_if.try_update_value(|what_if| {
            let more = what_if.go_on(&catalog, plan);
            (more, what_if.progress())
        });
        match went {
            Some((Ok(true), (done, many))) => {
                let told = format!("{done} of {} looked at", count(many, "part", "parts"));
                if line.try_set(told).is_none() {
                    one_more(catalog, what_if, line, found);
                }
            }
            Some((Ok(false), _)) => {
                let _gone = found.try_set(true);
            }
            Some((Err(refusal), _)) => {
                let _gone = line.try_set(refusal.words(&catalog));
            }
            None => {}
        }
    });
}
