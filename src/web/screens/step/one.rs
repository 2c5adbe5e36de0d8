//! The step itself: what can hurt, what to do, with which tool, on which face,
//! how it goes; its clock; Done under the thumb.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use super::asked::Asked;
use super::cables::Cables;
use super::changes::{Changes, kind};
use super::clock::StepClock;
use super::confirm::{Confirm, lines};
use super::fastened::Fastened;
use super::found::AsFound;
use super::picture::picture;
use super::undo::undo;
use crate::input;
use crate::navigate::go_to;
use crate::state::{App, app};
use crate::widgets::add_task::AddTask;
use crate::widgets::countdown::Countdown;
use crate::widgets::estimate::RestsOn;
use crate::widgets::handy::{ReadAloud, Settings};
use crate::widgets::hazard::HazardSheet;
use crate::widgets::outlook::Outlook;
use crate::widgets::pause_reasons::PauseReasons;
use crate::widgets::photos::{Photos, TakePhoto};
use crate::widgets::profile::ProfilePicture;
use crate::widgets::reading::ReadingForm;
use crate::widgets::sheet::Sheet;
use crate::widgets::tool::ToolGlyph;
use crate::widgets::trouble::Trouble;
use lidoff_app_core::as_found::found;
use lidoff_app_core::planning::profile;
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::words::{about, sentence};
use lidoff_i18n::localize;
use lidoff_job::fold::Demands;
use lidoff_job::{EventKind, Job, PlannedStep};

/// The step in hand.
#[component]
pub(super) fn OneStep(id: String, job: Arc<Job>, step: PlannedStep) -> impl IntoView {
    let app = app();
    let pausing = RwSignal::new(false);
    let trouble = RwSignal::new(false);
    let adding = RwSignal::new(false);
    let turn_at_s = RwSignal::new(None);
    let demands = job.demands();
    let met = demands.is_met();
    let number = step.number;
    let all = job.done.len() + job.remaining.len();
    let is_last = job.remaining.len() == 1;
    let place = format!(
        "{} · {}",
        sentence(&localize(step.phase.name())),
        tr!("{} of {}", job.done.len() + 1, all)
    );
    let catalog = job
        .opened
        .as_ref()
        .and_then(|opened| app.catalog(&opened.unit.id));
    // What can hurt and is not understood yet stands above all else.
    let (open, heeded): (Vec<_>, Vec<_>) = step
        .hazards
        .iter()
        .filter_map(|hazard| job.hazard(hazard).cloned())
        .map(|hazard| {
            let open = demands.heed.contains(&hazard.id);
            (
                open,
                view! { <HazardSheet id=id.clone() job=job.clone() hazard step=step.clone() open/> },
            )
        })
        .partition(|(open, _)| *open);
    let sheets = |all: Vec<(bool, _)>| all.into_iter().map(|(_, sheet)| sheet).collect::<Vec<_>>();
    let blocked = !demands.heed.is_empty();
    let question = demands.answer.clone();
    let (done_id, pause_id, ask_id, read_id, confirm_id) =
        (id.clone(), id.clone(), id.clone(), id.clone(), id.clone());
    let part = step.about.clone().map(|part| sentence(&localize(&part)));
    let undo_event = job.done.last().map(|done| done.event);
    let undo_id = id.clone();
    let confirm = lines(&step);
    let reading = step.reading.clone();
    let told = catalog
        .as_ref()
        .map(|catalog| found(catalog, &step, &job.setup))
        .unwrap_or_default();
    let tool = step.tool.as_ref();
    let glyph = tool.and_then(|tool| kind(catalog.as_deref(), tool));
    let profile = profile(&job);
    let now = app.now.get_untracked();
    let leave_at_s = job
        .leave_by_ms
        .map(|at| profile.done_s() + (at - now.wall_ms) as f64 / 1000.0);
    let (waits, at) = (job.clone(), number);
    let left = Signal::derive(move || {
        let wait = waits.wait_before(&app.now.get())?;
        (wait.left_ms > 0).then_some(wait.left_ms)
    });
    let waiting = job
        .wait_before(&app.now.get_untracked())
        .map(|wait| view! { <Countdown id=id.clone() step=at wait left/> });
    let waits_on = move || left.get().is_some();
    input::read_each(&id, &job, &step);
    view! {
        <div class="screen with-foot">
            {sheets(open)}
            <div class="row apart place">
                <span class="soft">{place}</span>
                <a href=Route::Job(id.clone(), Page::Plan).href() class="reach">{tr!("Plan")}</a>
            </div>
            <Outlook id=id.clone() job=job.clone() whole=false turn_at_s/>
            {waiting}
            {sheets(heeded)}
            <Changes job=job.clone() step=step.clone() catalog=catalog.clone()/>
            <AsFound found=told/>
            <section class="sheet lead" aria-label=tr!("What to do")>
                {part.map(|part| view! { <p class="soft">{part}</p> })}
                <h1 class="do" tabindex="-1">{localize(&step.action).into_owned()}</h1>
                {step.how.clone().map(|how| view! { <p>{localize(&how).into_owned()}</p> })}
                <p class="tool">
                    <ToolGlyph kind=glyph/>
                    <span>{match tool {
                        Some(tool) => tr!("Tool: {tool}", tool = localize(tool)),
                        None => tr!("By hand, no tool"),
                    }}</span>
                </p>
                <StepClock job=job.clone() step=step.clone()/>
                <RestsOn step=step.clone()/>
            </section>
            <Fastened sets=step.undo.clone() out=true/>
            <Fastened sets=step.redo.clone() out=false/>
            {catalog.clone().and_then(|catalog| picture(&catalog, &step, &job.setup))}
            <Cables title=tr!("Unplug") cables=step.unplug.clone() joined=false/>
            <Cables title=tr!("Plug in") cables=step.plug.clone() joined=true/>
            {step.hand_back.clone().map(|piece| view! {
                <p class="change">{tr!("Move from the old part to the new one: {piece}", piece = localize(&piece.name))}</p>
            })}
            {step.starts_wait.clone().map(|wait| view! {
                <p class="soft">
                    {tr!("A wait starts after this step: {what} ({time}).", what = localize(&wait.text), time = about(f64::from(wait.seconds)))}
                </p>
            })}
            {(!blocked).then_some(question).flatten().zip(catalog).map(|(question, catalog)| view! {
                <Asked id=ask_id.clone() catalog question/>
            })}
            {(!blocked).then_some(reading).flatten().map(|reading| {
                let taken = job.readings.iter().rev().find(|taken| taken.step == number).cloned();
                let kept = job.failure_kept(number).cloned();
                view! { <ReadingForm id=read_id.clone() step=number reading taken kept/> }
            })}
            {(!blocked && !confirm.is_empty()).then(|| view! {
                <Confirm id=confirm_id.clone() lines=confirm.clone() step=number open=demands.confirm/>
            })}
            <section class="sheet" aria-label=tr!("The whole job")>
                <ProfilePicture profile leave_at_s turn_at_s job=job.clone() low=true/>
            </section>
            <div class="row">
                <ReadAloud job=job.clone() step=step.clone()/>
                <TakePhoto id=id.clone() job=job.clone() step=number/>
                <a class="button quiet" href=Route::Job(id.clone(), Page::Tray).href()>{tr!("Tray")}</a>
                <button type="button" class="quiet" on:click=move |_| adding.set(true)>{tr!("Add a task")}</button>
                <button type="button" class="quiet" aria-label=tr!("Undo the last step") prop:disabled=move || undo_event.is_none() || app.busy.get()
                    on:click=move |_| {
                        if let Some(event) = undo_event {
                            undo(app, &undo_id, event);
                        }
                    }>{tr!("Undo")}</button>
            </div>
            <Photos id=id.clone() job=job.clone() step=number/>
            <Settings/>
        </div>
        <div class="foot">
            <div>
                <button type="button" class="wrong" on:click=move |_| trouble.set(true)>{tr!("Something's wrong")}</button>
                <button type="button" on:click=move |_| pausing.set(true)>{tr!("Pause")}</button>
                <button type="button" class="key" id="done" aria-keyshortcuts="Control+Enter Meta+Enter"
                    prop:disabled=move || !met || waits_on() || app.busy.get()
                    on:click=move |_| done(app, &done_id, number, is_last)>
                    {move || match (met, waits_on()) {
                        (false, _) => first(&demands),
                        (true, true) => tr!("Wait first"),
                        (true, false) => tr!("Done"),
                    }}
                </button>
            </div>
        </div>
        <Sheet open=pausing title=tr!("Why are you stopping?")>
            <PauseReasons id=pause_id.clone() open=pausing/>
        </Sheet>
        <Trouble id=id.clone() job=job.clone() step=step.clone() open=trouble/>
        <AddTask id=id.clone() job=job.clone() open=adding/>
    }
}

/// What must come before Done.
fn first(demands: &Demands) -> String {
    if !demands.heed.is_empty() {
        tr!("Tick the hazard first")
    } else if demands.answer.is_some() {
        tr!("Answer first")
    } else if demands.read {
        tr!("Enter the reading first")
    } else {
        tr!("Confirm first")
    }
}

fn done(app: App, id: &str, number: u32, is_last: bool) {
    if !input::takes_done() {
        return;
    }
    let next = id.to_owned();
    app.act(id, vec![EventKind::Done { step: number }], move || {
        if is_last {
            go_to(&Route::Job(next, Page::WrapUp));
        } else {
            window().scroll_to_with_x_and_y(0.0, 0.0);
        }
    });
}
