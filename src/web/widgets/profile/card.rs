//! The card of one step of the profile: what it is, its time, and why it is in the
//! plan. A finger is wider than most steps, so the card has buttons to the previous and
//! next step; they also make it reachable without a pointer.

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::navigate::focus_on;
use crate::slice::{OpenJob, Slice};
use crate::widgets::dynamic::rebuilt;
use lidoff_app_core::display::{capitalize, format_clock, format_duration};
use lidoff_i18n::localize;
use lidoff_job::{Job, PlannedStep};

/// Shows why a step (by number, with its action) is in the plan. Only some screens provide
/// it: the code pulls in the planner, which the first screen must not load.
pub type ShowReason = fn(OpenJob, u32, String) -> AnyView;

/// The card of the selected step, or, if none is selected, a button that opens it.
#[component]
pub fn StepCard(
    job: OpenJob,
    picked: RwSignal<Option<usize>>,
    low: bool,
    why: Option<ShowReason>,
) -> impl IntoView {
    let now = job.get_untracked();
    let many = now.done.len() + now.remaining.len();
    let here = now.done.len().min(many.saturating_sub(1));
    // One step at a time, also with the arrow keys.
    let go = move |on: bool| {
        picked.update(|picked| {
            if let Some(at) = picked {
                *at = if on {
                    (*at + 1).min(many - 1)
                } else {
                    at.saturating_sub(1)
                };
            }
        });
    };
    // The button and the card replace each other, and the focus moves along.
    let open = move |_| {
        picked.set(Some(here));
        request_animation_frame(|| focus_on(".profile .card"));
    };
    let close = move || {
        picked.set(None);
        request_animation_frame(|| focus_on(".profile .look"));
    };
    let keyed = move |event: web_sys::KeyboardEvent| match event.key().as_str() {
        "ArrowRight" => go(true),
        "ArrowLeft" => go(false),
        "Escape" => close(),
        _ => {}
    };
    // The buttons stay where they are when the step changes, and keep the focus.
    let shown = Slice::new(move || picked.get().is_some());
    rebuilt(move || {
        if many == 0 {
            return None;
        }
        if !shown.get() {
            return Some(
                view! {
                    <button type="button" class="quiet wide look" on:click=open>
                        {tr!("To see a step, tap the picture or here")}
                    </button>
                }
                .into_any(),
            );
        }
        Some(
            view! {
                <div class="card" role="group" tabindex="-1" aria-label=tr!("Step in the profile") on:keydown=keyed>
                    <div aria-live="polite">{rebuilt(move || picked.get().map(|at| one(job, at, low, why)))}</div>
                    <div class="row">
                        <button type="button" aria-label=tr!("Previous step") on:click=move |_| go(false)>"‹"</button>
                        <button type="button" aria-label=tr!("Next step") on:click=move |_| go(true)>"›"</button>
                        <button type="button" class="quiet" on:click=move |_| close()>{tr!("Close")}</button>
                    </div>
                </div>
            }
            .into_any(),
        )
    })
}

fn one(open: OpenJob, at: usize, low: bool, why: Option<ShowReason>) -> impl IntoView {
    let job = open.get_untracked();
    let many = job.done.len() + job.remaining.len();
    let done = job.done.get(at);
    let step: Option<PlannedStep> = done
        .map(|done| done.step.clone())
        .or_else(|| job.remaining.get(at.checked_sub(job.done.len())?).cloned());
    step.map(|step| {
        let expected = format_clock((step.expected_s() * 1000.0) as i64);
        let time = match done {
            Some(done) => tr!(
                "took {time}, estimate {expected}",
                time = format_clock(done.work_ms),
                expected = expected
            ),
            None => tr!("estimate {expected}", expected = expected),
        };
        let state = match done {
            Some(_) => tr!("done"),
            None if at == job.done.len() => tr!("now"),
            None => tr!("to come"),
        };
        let place = format!(
            "{} · {}",
            capitalize(&localize(step.phase.name())),
            tr!("{} of {}", at + 1, many)
        );
        let wait = (step.wait_s > 0.0).then(|| {
            tr!(
                "after a wait of {time}",
                time = format_duration(step.wait_s)
            )
        });
        let named = [&step.tool, &step.face].into_iter().flatten();
        let named = named.map(|name| localize(name).into_owned());
        let with: Vec<String> = named.chain(wait).collect();
        let reason_of = (done.is_none() && !low)
            .then(|| first_of_its_op(&job, at))
            .flatten();
        view! {
            <p class="row apart soft small"><span>{place}</span><span>{state}</span></p>
            <p><strong>{localize(&step.action).into_owned()}</strong></p>
            <p class="num">{time}</p>
            {(!with.is_empty()).then(|| view! { <p class="soft small">{with.join(" · ")}</p> })}
            {reason_of.zip(why).map(|(number, why)| why(open, number, step.action.clone()))}
        }
    })
}

/// Number of the first remaining step of this step's operation; the step's own number if it
/// is in none.
fn first_of_its_op(job: &Job, at: usize) -> Option<u32> {
    let at = at.checked_sub(job.done.len())?;
    let step = job.remaining.get(at)?;
    let Some(op) = &step.op else {
        return Some(step.number);
    };
    let same = job.remaining[..=at]
        .iter()
        .rev()
        .take_while(|step| step.op.as_ref() == Some(op));
    same.last().map(|step| step.number)
}
