//! "Replace more while it is open?": the extra time for each other part, the greatest saving
//! first.

use leptos::prelude::*;

use crate::screens::new_job::TaskCosts;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_i18n::{localize, tr};
use lidoff_job::{MarginalCost, TaskRef};

/// Number of entries shown at first.
const FIRST: usize = 6;

/// The section. `add` adds a task to the visit.
#[component]
pub fn MarginalCostSection(costs: RwSignal<TaskCosts>, add: Callback<TaskRef>) -> impl IntoView {
    let (open, all) = (RwSignal::new(false), RwSignal::new(false));
    let inside = move || {
        let costs = costs.get();
        let (done, many) = costs.progress;
        if done < many || many == 0 {
            let line = tr!(
                "{done} of {n} part checked" | "{done} of {n} parts checked" % many,
                done
            );
            return view! { <p class="soft" role="status">{line}</p> }.into_any();
        }
        let is_replacement = |task: &TaskRef| matches!(task, TaskRef::Replace(_));
        let found = costs.found.iter();
        let found: Vec<_> = found
            .filter(|cost| is_replacement(&cost.task.task))
            .collect();
        let many = found.len();
        let shown = if all.get() { many } else { FIRST };
        let rows = found.iter().take(shown).map(|cost| row(cost, add));
        let refused = costs.refused.iter();
        let refused = refused.filter(|task| is_replacement(&task.task));
        let refused: Vec<_> = refused
            .map(|task| localize(&task.name).into_owned())
            .collect();
        view! {
            <p class="soft small">{tr!("Extra time now, compared with a separate visit (with checks, without travel):")}</p>
            <ul class="list">{rows.collect_any()}</ul>
            {(many > shown).then(|| view! {
                <button type="button" class="quiet wide" on:click=move |_| all.set(true)>
                    {tr!("Show all {many}", many)}
                </button>
            })}
            {(!refused.is_empty()).then(|| {
                let parts = refused.join(", ");
                view! { <p class="soft small">{tr!("Not possible in the same visit: {parts}", parts)}</p> }
            })}
        }
        .into_any()
    };
    view! {
        <Disclosure class="sheet" open summary=|| tr!("Replace more while it is open?")
            inside=move || rebuilt(inside)/>
    }
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
