//! The current step: hazards, what to do, the tool and the face, with instructions; the
//! clock; Done.

use leptos::prelude::*;

use super::alarm::{Alarm, LiveAlarm};
use super::as_found::AsFound;
use super::cables::Cables;
use super::changes::{ToolStrip, Turn, TurnInWords};
use super::clock::StepClock;
use super::confirm::{Confirm, lines};
use super::done::DoneButton;
use super::fasteners::FastenerSheet;
use super::picture::picture;
use super::question::Question;
use super::records::RecordForm;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::taps::{Taps, input_clock_ms};
use crate::widgets::add_task::AddTask;
use crate::widgets::countdown::Countdown;
use crate::widgets::dynamic::{CollectAny, When, rebuilt, rows, text};
use crate::widgets::estimate::EstimateBasis;
use crate::widgets::hands_free::{ReadAloud, Settings};
use crate::widgets::hazard::{AcknowledgedHazard, HazardSheet, StandingHazard};
use crate::widgets::limits::Limits;
use crate::widgets::outlook::{
    ClockIrregularities, OutlookLines, close_up_time, is_urgent, outlook_text, turn_back_mark,
};
use crate::widgets::pause_reasons::PauseReasons;
use crate::widgets::photos::{Photos, TakePhoto};
use crate::widgets::power::PowerLine;
use crate::widgets::problem::ProblemSheet;
use crate::widgets::profile::JobProfile;
use crate::widgets::reading::ReadingForm;
use crate::widgets::sheet::Sheet;
use lidoff_app_core::as_found::as_found_answers;
use lidoff_app_core::display::{capitalize, format_duration};
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::speech::{demand_words, standing_words};
use lidoff_app_core::standing::standing_to_show;
use lidoff_catalog::format::{Demand, Hazard, Reading};
use lidoff_i18n::{localize, tr};
use lidoff_job::fold::Demands;
use lidoff_job::{EventKind, Job, PlannedStep};

/// The current step.
#[component]
pub(super) fn StepInHand(
    job: OpenJob,
    step: PlannedStep,
    taps: Taps,
    undo_taps: Taps,
) -> impl IntoView {
    let app = app();
    let pausing = RwSignal::new(false);
    let trouble = RwSignal::new(false);
    let adding = RwSignal::new(false);
    let number = step.number;
    let shown_ms = input_clock_ms();
    let demands = job.slice(Job::demands);
    // Ask nothing else before the hazards are acknowledged.
    let blocked = Slice::new(move || demands.with(|demands| !demands.heed.is_empty()));
    let unit = job.slice(|job| job.opened.as_ref().map(|opened| opened.unit.id.clone()));
    let catalog = unit.get_untracked().and_then(|unit| app.catalog(&unit));
    let setup = job.get_untracked().setup.clone();
    let as_found = catalog
        .as_ref()
        .map(|catalog| as_found_answers(catalog, &step, &setup))
        .unwrap_or_default();
    let drawing = catalog
        .as_ref()
        .and_then(|catalog| picture(catalog, &job.get_untracked(), &step));
    let left = Slice::new(move || {
        let wait = job.get().wait_before(&app.now.get())?;
        (wait.left_ms > 0).then_some(wait.left_ms)
    });
    let waiting = Slice::new(move || left.get().is_some());
    let question = Slice::new(move || demands.get().answer.filter(|_| !blocked.get()));
    let known = StoredValue::new(catalog.clone());
    let ask = move || {
        let (question, catalog) = question.get().zip(known.get_value())?;
        Some(view! { <Question job catalog question/> })
    };
    let stored = StoredValue::new(step.clone());
    let stops = step.stops_on_failure();
    let stopped = job.slice(Job::is_stopped);
    let by_eye = matches!(step.reading, Some(Reading::Seen(_)));
    let reading = StoredValue::new(step.reading.clone());
    let on_failure = StoredValue::new(step.on_failure.clone());
    let check = move || {
        let reading = reading.get_value().filter(|_| !blocked.get())?;
        Some(
            view! { <ReadingForm job step=number reading stops on_failure=on_failure.get_value()/> },
        )
    };
    let step_records = StoredValue::new(step.records.clone());
    let lines = StoredValue::new(lines(&step));
    let confirm = move || {
        let lines = lines.get_value();
        let open = Slice::new(move || demands.with(|demands| demands.confirm));
        (!blocked.get() && !lines.is_empty())
            .then(|| view! { <Confirm job lines step=number open/> })
    };
    let write_down = move || {
        let records = step_records.get_value();
        let forms = records
            .into_iter()
            .map(|record| view! { <RecordForm job step=stored record/> });
        (!blocked.get()).then(|| forms.collect_any())
    };
    let phase = step.phase;
    let place = job.slice(|job| (job.done.len() + 1, job.done.len() + job.remaining.len()));
    let share = move || {
        let (this, all) = place.get();
        format!("{:.1}%", 100.0 * (this - 1) as f64 / all.max(1) as f64)
    };
    let place = move || {
        let (this, all) = place.get();
        let phase = capitalize(&localize(phase.name()));
        format!("{phase} · {}", tr!("{} of {}", this, all))
    };
    let undo_next = job.slice(|job| job.undo_next().to_vec());
    let closing = close_up_time(job);
    let turn_at_s = turn_back_mark(job, closing);
    let outlook = outlook_text(job, closing);
    let urgent = Slice::new(move || is_urgent(outlook));
    let calm = Slice::new(move || !urgent.get());
    // Whatever brought the step up: what comes first is read first.
    request_animation_frame(|| window().scroll_to_with_x_and_y(0.0, 0.0));
    view! {
        <div class="screen with-foot step">
            <div class="gauge" aria-hidden="true"><span style:width=share></span></div>
            <div class="row apart place">
                <span class="soft">{text(place)}</span>
                <a href=Route::Job(job.id(), Page::Plan).href() class="reach">{tr!("Plan")}</a>
            </div>
            <LiveAlarm job/>
            <ClockIrregularities job/>
            <When is=urgent><OutlookLines job outlook whole=false/></When>
            <Limits job/>
            <PowerLine job/>
            <div hidden=move || blocked.get()><StandingHazards job/></div>
            <LostBeforePower job/>
            <h1 class="do" tabindex="-1">{localize(&step.action).into_owned()}</h1>
            // A stop is never behind a hazard that is to be confirmed again.
            <When is=stopped><Alarm job step=stored pausing/></When>
            <OpenHazards job step=stored demands/>
            <div class="work" hidden=move || blocked.get()>
                <Waiting job step=number left/>
                <Turn job step=step.clone() catalog=catalog.clone()/>
                <ToolStrip job step=step.clone() catalog=catalog.clone()/>
                {drawing}
                <TurnInWords step=step.clone() catalog/>
                {step.how.clone().map(|how| view! { <p>{localize(&how).into_owned()}</p> })}
                {(!step.tool_instead.is_empty()).then(|| step.describe_tool()).flatten().map(|tool| view! { <p class="soft">{tr!("Tool: {tool}", tool)}</p> })}
                {(step.people > 1).then(|| view! { <p><strong>{demand_words(&Demand::People(step.people))}</strong></p> })}
                {(!step.kit.is_empty()).then(|| {
                    let kit: Vec<_> = step.kit.iter().map(|item| localize(item)).collect();
                    view! { <p>{tr!("You need: {kit}", kit = kit.join(", "))}</p> }
                })}
                <AsFound found=as_found/>
                {rebuilt(ask)}
                {rebuilt(check)}
                {rebuilt(write_down)}
                {rebuilt(confirm)}
                <FastenerSheet job step=number sets=step.undo.clone() out=true/>
                <FastenerSheet job step=number sets=step.redo.clone() out=false/>
                <Cables title=tr!("Unplug") cables=step.unplug.clone() joined=false/>
                <Cables title=tr!("Plug in") cables=step.plug.clone() joined=true/>
                {step.hand_back.clone().map(|piece| view! {
                    <p class="change">{tr!("Move from the old part to the new one: {piece}", piece = localize(&piece.name))}</p>
                })}
                {step.starts_wait.clone().map(|wait| view! {
                    <p class="soft">
                        {tr!("A wait starts after this step: {what} ({time}).", what = localize(&wait.text), time = format_duration(f64::from(wait.seconds)))}
                    </p>
                })}
                {step.starts_limit.clone().map(|limit| view! {
                    <p class="change">
                        {tr!("A time limit starts after this step: {what} ({time}).", what = localize(&limit.text), time = format_duration(f64::from(limit.seconds)))}
                    </p>
                })}
                <AcknowledgedHazards job step=stored demands/>
            </div>
            <StepClock job step=step.clone()/>
            <When is=calm><OutlookLines job outlook whole=false/></When>
            <Photos job step=number/>
            <details class="sheet">
                <summary>{tr!("More on this step and the job")}</summary>
                <div class="stack">
                    <EstimateBasis step=step.clone()/>
                    <ReadAloud job step=step.clone()/>
                    <JobProfile job turn_at_s low=true/>
                    <Settings/>
                </div>
            </details>
        </div>
        <div class="foot at-work">
            <div class="slim">
                <TakePhoto job step=number/>
                <a class="button quiet" href=Route::Job(job.id(), Page::Tray).href()>{tr!("Tray")}</a>
                <button type="button" class="quiet" on:click=move |_| adding.set(true)>{tr!("Add a task")}</button>
                <button type="button" class="quiet" aria-label=tr!("Undo the last entry")
                    prop:disabled=move || undo_next.with(Vec::is_empty) || app.busy.get()
                    on:click=move |event| {
                        if !undo_taps.take(shown_ms, &event) {
                            return;
                        }
                        let entries = undo_next.get_untracked().into_iter().rev();
                        let entries = entries.map(|event| EventKind::Undone { event });
                        job.act(entries.collect(), || {});
                    }>{tr!("Undo")}</button>
            </div>
            <div>
                <button type="button" class="wrong" on:click=move |_| trouble.set(true)>{tr!("Something's wrong")}</button>
                <button type="button" on:click=move |_| pausing.set(true)>{tr!("Pause")}</button>
                <DoneButton job number demands is_waiting=waiting stopped by_eye taps/>
            </div>
        </div>
        <Sheet open=pausing title=tr!("Why are you stopping?")>
            <PauseReasons job open=pausing/>
        </Sheet>
        <ProblemSheet job step=step.clone() open=trouble/>
        <AddTask job open=adding/>
    }
}

/// The hazards of the step, either the acknowledged ones or the others.
fn hazards(
    job: OpenJob,
    step: StoredValue<PlannedStep>,
    demands: Slice<Demands>,
    acknowledged: bool,
) -> Vec<Hazard> {
    let known = job.get_untracked();
    demands.with(|demands| {
        step.with_value(|step| {
            let of_step = step.hazards.iter();
            let wanted = of_step.filter(|id| demands.heed.contains(id) != acknowledged);
            // A control that still holds has its badge.
            let here = wanted.filter(|id| !acknowledged || !known.standing.contains(id));
            here.filter_map(|id| known.hazard(id).cloned()).collect()
        })
    })
}

/// Hazards that are not acknowledged yet: they come first.
#[component]
fn OpenHazards(
    job: OpenJob,
    step: StoredValue<PlannedStep>,
    demands: Slice<Demands>,
) -> impl IntoView {
    let open = move || hazards(job, step, demands, false);
    rows(
        open,
        |hazard| hazard.id.clone(),
        move |hazard| {
            view! { <HazardSheet job hazard step=step.get_value()/> }
        },
    )
}

/// Controls that still hold, in one line; each can be read again.
#[component]
fn StandingHazards(job: OpenJob) -> impl IntoView {
    let standing = job.slice(|job| {
        let standing = standing_to_show(job).into_iter();
        standing.cloned().collect::<Vec<Hazard>>()
    });
    rebuilt(move || {
        let standing = standing.get();
        let names: Vec<String> = standing.iter().map(standing_words).collect();
        (!names.is_empty()).then(|| {
            let each = standing.into_iter();
            let each = each.map(|hazard| view! { <StandingHazard hazard/> });
            view! {
                <details class="standing" aria-label=tr!("Protection in place")>
                    <summary>{names.join(" · ")}</summary>
                    {each.collect_any()}
                </details>
            }
        })
    })
}

/// A lost fastener is recalled before a source is made live: it may lie in the unit.
#[component]
fn LostBeforePower(job: OpenJob) -> impl IntoView {
    let lost = job.slice(Job::lost_before_power);
    rebuilt(move || {
        let lost = Some(lost.get()).filter(|lost| *lost > 0)?;
        Some(view! {
            <section class="hazard" role="alert">
                <p class="signal"><span aria-hidden="true">"⚠ "</span>{tr!("Before power-on")}</p>
                <p>{tr!("One fastener is lost and may lie in the unit. Make sure that it is not inside before you go on." | "{n} fasteners are lost and may lie in the unit. Make sure that they are not inside before you go on." % lost)}</p>
            </section>
        })
    })
}

/// Acknowledged hazards, to read again.
#[component]
fn AcknowledgedHazards(
    job: OpenJob,
    step: StoredValue<PlannedStep>,
    demands: Slice<Demands>,
) -> impl IntoView {
    let acknowledged = move || hazards(job, step, demands, true);
    rows(
        acknowledged,
        |hazard| hazard.id.clone(),
        |hazard| view! { <AcknowledgedHazard hazard/> },
    )
}

/// The wait before the step, if there is one.
#[component]
fn Waiting(job: OpenJob, step: u32, left: Slice<Option<i64>>) -> impl IntoView {
    let app = app();
    let wait = Slice::new(move || {
        let wait = job.get().wait_before(&app.now.get_untracked());
        wait.map(|wait| wait.wait)
    });
    rebuilt(move || {
        wait.get()?;
        let wait = job.get_untracked().wait_before(&app.now.get_untracked())?;
        Some(view! { <Countdown job step wait left/> })
    })
}
