//! The step itself: what can hurt, what to do, with which tool, on which face,
//! how it goes; its clock; Done under the thumb.

use std::sync::Arc;

use leptos::prelude::*;

use super::asked::Asked;
use super::cables::Cables;
use super::changes::Changes;
use super::clock::StepClock;
use super::confirm::Confirm;
use super::fastened::Fastened;
use super::paused::PauseReasons;
use super::picture::picture;
use super::undo::undo;
use crate::app::route::{Page, Route};
use crate::app::screens::plan::AddTask;
use crate::app::shell::go;
use crate::app::state::{App, app};
use crate::app::widgets::estimate::RestsOn;
use crate::app::widgets::hazard::HazardSheet;
use crate::app::widgets::outlook::Outlook;
use crate::app::widgets::reading::ReadingForm;
use crate::app::widgets::sheet::Sheet;
use crate::app::widgets::trouble::Trouble;
use crate::app::words::{about, sentence};
use crate::job::{Job, PlannedStep, What};

#[component]
pub(super) fn OneStep(id: String, job: Arc<Job>, step: PlannedStep) -> impl IntoView {
    let app = app();
    let pausing = RwSignal::new(false);
    let trouble = RwSignal::new(false);
    let adding = RwSignal::new(false);
    let demands = job.demands();
    let met = demands.is_met();
    let number = step.number;
    let all = job.done.len() + job.remaining.len();
    let place = format!(
        "{} · {} of {all}",
        sentence(step.phase.name()),
        job.done.len() + 1
    );
    let what_first = if !demands.heed.is_empty() {
        "First the hazard"
    } else if demands.answer.is_some() {
        "First the question"
    } else if demands.read {
        "First the check"
    } else {
        "First confirm"
    };
    let catalog = job
        .opened
        .as_ref()
        .and_then(|opened| app.catalog(&opened.unit.id));
    let hazards: Vec<_> = step
        .hazards
        .iter()
        .filter_map(|hazard| job.plan.as_ref()?.hazard(hazard).cloned())
        .map(|hazard| {
            let open = demands.heed.contains(&hazard.id);
            view! { <HazardSheet id=id.clone() hazard step=number open/> }
        })
        .collect();
    let blocked = !demands.heed.is_empty();
    let question = demands.answer.clone();
    let (done_id, pause_id, ask_id, read_id, confirm_id) =
        (id.clone(), id.clone(), id.clone(), id.clone(), id.clone());
    let part = step.about.clone().map(|part| sentence(&part));
    let undo_event = job.done.last().map(|done| done.event);
    let undo_id = id.clone();
    let confirm = step.confirm.clone().map(|text| (text, demands.confirm));
    let reading = step.reading.clone();
    view! {
        <div class="screen with-foot">
            <div class="row apart place">
                <span class="soft">{place}</span>
                <a href=Route::Job(id.clone(), Page::Plan).href() class="reach">"Plan"</a>
            </div>
            <Outlook id=id.clone() job=job.clone() whole=false/>
            {hazards}
            <Changes step=step.clone()/>
            <section class="sheet lead" aria-label="What to do">
                {part.map(|part| view! { <p class="soft">{part}</p> })}
                <h1 class="do" tabindex="-1">{step.action.clone()}</h1>
                {step.how.clone().map(|how| view! { <p>{how}</p> })}
                <p class="soft">{match &step.tool {
                    Some(tool) => format!("Tool: {tool}"),
                    None => "Bare hands".to_owned(),
                }}</p>
                <StepClock job=job.clone() step=step.clone()/>
                <RestsOn step=step.clone()/>
            </section>
            <Fastened title="Comes out" verb="into" sets=step.undo.clone()/>
            <Fastened title="Goes back in" verb="from" sets=step.redo.clone()/>
            <Cables title="Part" cables=step.unplug.clone()/>
            <Cables title="Join" cables=step.plug.clone()/>
            {step.hand_back.clone().map(|piece| view! {
                <p class="change">{format!("Moves from the old part to the new one: {}", piece.name)}</p>
            })}
            {step.starts_wait.clone().map(|wait| view! {
                <p class="soft">{format!("A wait begins when this is done: {} ({}).", wait.text, about(f64::from(wait.seconds)))}</p>
            })}
            {(step.wait_s > 0.0).then(|| view! {
                <p class="change">{format!("Wait first: about {} with nothing else to do.", about(step.wait_s))}</p>
            })}
            {catalog.clone().and_then(|catalog| picture(&catalog, &step))}
            {(!blocked).then_some(question).flatten().zip(catalog).map(|(question, catalog)| view! {
                <Asked id=ask_id.clone() catalog question/>
            })}
            {(!blocked).then_some(reading).flatten().map(|reading| {
                let taken = job.readings.iter().rev().find(|taken| taken.step == number).cloned();
                view! { <ReadingForm id=read_id.clone() step=number reading taken/> }
            })}
            {(!blocked).then_some(confirm).flatten().map(|(text, open)| view! {
                <Confirm id=confirm_id.clone() text step=number open/>
            })}
            <div class="row">
                <button type="button" class="quiet" on:click=move |_| trouble.set(true)>"Something's wrong"</button>
                <button type="button" class="quiet" on:click=move |_| adding.set(true)>"Add a task"</button>
                <a class="button quiet" href=Route::Job(id.clone(), Page::Tray).href()>"Tray"</a>
            </div>
        </div>
        <div class="foot">
            <div>
                <button type="button" aria-label="Undo the last step" prop:disabled=move || undo_event.is_none() || app.busy.get()
                    on:click=move |_| {
                        if let Some(event) = undo_event {
                            undo(app, &undo_id, event);
                        }
                    }>"Undo"</button>
                <button type="button" on:click=move |_| pausing.set(true)>"Pause"</button>
                <button type="button" class="key" id="done" prop:disabled=move || !met || app.busy.get()
                    on:click=move |_| done(app, &done_id, number)>
                    {if met { "Done" } else { what_first }}
                </button>
            </div>
        </div>
        <Sheet open=pausing title="Why do you stop?">
            <PauseReasons id=pause_id.clone() open=pausing/>
        </Sheet>
        <Trouble id=id.clone() job=job.clone() step=step.clone() open=trouble/>
        <AddTask id=id.clone() job=job.clone() open=adding/>
    }
}

fn done(app: App, id: &str, number: u32) {
    let last = app
        .log(id)
        .is_some_and(|log| crate::job::fold(&log).remaining.len() == 1);
    let next = id.to_owned();
    app.act(id, vec![What::Done { step: number }], move || {
        if last {
            go(&Route::Job(next, Page::WrapUp));
        } else {
            window().scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
}
