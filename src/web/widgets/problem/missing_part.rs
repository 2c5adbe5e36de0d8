//! The new part is missing, or the wrong one was brought.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use crate::widgets::offer::{CloseWithout, Offer};
use lidoff_i18n::{localize, tr};
use lidoff_job::{EventKind, Lack, NamedTask, PauseReason, PlannedStep, TaskRef, UnavailablePart};

/// The form: which part, if there are several; then wait for it, leave it for the next
/// visit, or close up.
#[component]
pub(super) fn MissingPart(
    job: OpenJob,
    step: PlannedStep,
    lack: Lack,
    open: RwSignal<bool>,
) -> impl IntoView {
    let now = job.get_untracked();
    let mut tasks: Vec<NamedTask> = now
        .open_tasks()
        .filter(|task| matches!(task.task, TaskRef::Replace(_)))
        .cloned()
        .collect();
    // The current part comes first.
    let part = step.op.as_ref().and_then(|op| op.part());
    if let Some(at) = tasks.iter().position(|task| task.task.op().part() == part) {
        let first = tasks.remove(at);
        tasks.insert(0, first);
    }
    if tasks.is_empty() {
        return view! { <p>{tr!("No part is left to replace.")}</p> }.into_any();
    }
    let chosen = RwSignal::new(0_usize);
    let options = tasks
        .iter()
        .enumerate()
        .map(|(nth, task)| view! { <option value=nth.to_string()>{localize(&task.name).into_owned()}</option> })
        .collect_any();
    let several = tasks.len() > 1;
    let left_s = now.left_s();
    let others = now.open_tasks().count() > 1;
    let offers = rebuilt(move || {
        let task = tasks[chosen.get().min(tasks.len() - 1)].clone();
        let part = UnavailablePart {
            task: task.clone(),
            lack,
        };
        let unavailable = EventKind::PartUnavailable(part.clone());
        let reason = PauseReason::PartMissing;
        let pause = vec![
            unavailable.clone(),
            EventKind::Paused {
                reason,
                part: Some(part),
                note: String::new(),
            },
        ];
        let left_out = task.task.op().part().cloned();
        let without = left_out.map(|only| {
            let kinds = vec![unavailable.clone()];
            view! { <CloseWithout job kinds only then=open/> }
        });
        let leave = vec![unavailable.clone(), EventKind::TaskLeft(task.task)];
        let close = vec![unavailable, EventKind::TurnedBack];
        let closing = match lack {
            Lack::Missing => tr!("Close up without it"),
            Lack::Wrong => tr!("Close up with the old part"),
        };
        view! {
            <button type="button" class="wide"
                on:click=move |_| job.act_and_close(pause.clone(), open)>
                {tr!("Pause until the part arrives")}
            </button>
            {others.then(|| view! {
                <Offer job label=tr!("Leave this for the next visit and do the rest")
                    kinds=leave left_s then=open/>
            })}
            <Offer job label=closing kinds=close left_s then=open/>
            {without}
        }
    });
    view! {
        {several.then(|| view! {
            <label class="field">
                <span>{tr!("Which part")}</span>
                <select on:change=move |event| chosen.set(event_target_value(&event).parse().unwrap_or(0))>{options}</select>
            </label>
        })}
        <div class="stack">{offers}</div>
    }
    .into_any()
}
