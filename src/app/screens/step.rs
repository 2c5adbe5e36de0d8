//! One step fills the screen: what can hurt, what to do, with which tool, on
//! which face, how it goes; its clock against its estimate; Done under the thumb.

use std::sync::Arc;

use leptos::prelude::*;

use crate::app::face::drawing;
use crate::app::route::{Page, Route};
use crate::app::screens::of_job::of_job;
use crate::app::screens::plan::AddTask;
use crate::app::shell::go;
use crate::app::state::{App, app};
use crate::app::widgets::estimate::RestsOn;
use crate::app::widgets::face::FacePicture;
use crate::app::widgets::hazard::HazardSheet;
use crate::app::widgets::outlook::Outlook;
use crate::app::widgets::reading::ReadingForm;
use crate::app::widgets::sheet::Sheet;
use crate::app::widgets::trouble::Trouble;
use crate::app::words::{about, clock, count, sentence, time_of_day};
use crate::catalog::format::{AnswerId, QuestionId};
use crate::catalog::model::Catalog;
use crate::job::fold::OpenGap;
use crate::job::planned::{Cable, Fasteners};
use crate::job::{EventId, Job, PauseReason, PlannedStep, Status, What};

/// The screen.
#[component]
pub fn StepScreen(job: String) -> impl IntoView {
    of_job(job, "Step", |id, job| view! { <Stand id job/> }.into_any())
}

#[component]
fn Stand(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let seen = id.clone();
    move || {
        let id = id.clone();
        if let Some(gap) = app.gaps.with(|gaps| gaps.get(&seen).copied()) {
            return view! { <AskGap id gap/> }.into_any();
        }
        match (&job.status, job.next()) {
            (Status::Closed { .. }, _) | (_, None) => {
                view! { <Finished id job=job.clone()/> }.into_any()
            }
            (Status::Paused(reason), Some(_)) => {
                view! { <Paused id reason=*reason job=job.clone()/> }.into_any()
            }
            (_, Some(step)) => view! { <OneStep id job=job.clone() step=step.clone()/> }.into_any(),
        }
    }
}

/// Every step is done.
#[component]
fn Finished(id: String, job: Arc<Job>) -> impl IntoView {
    view! {
        <div class="screen">
            <h1 tabindex="-1">"Every step is done"</h1>
            <p>{format!("{} in {}.", count(job.done.len(), "step", "steps"), about(job.worked_ms as f64 / 1000.0))}</p>
            <a class="button key wide tall" href=Route::Job(id.clone(), Page::WrapUp).href()>"Wrap up"</a>
            <UndoLast id job/>
        </div>
    }
}

#[component]
fn UndoLast(id: String, job: Arc<Job>) -> impl IntoView {
    let app = app();
    job.done
        .last()
        .map(|done| (done.event, done.step.action.clone()))
        .map(|(event, action)| {
            view! {
                <button type="button" class="quiet wide" prop:disabled=move || app.busy.get()
                    on:click=move |_| undo(app, &id, event)>
                    {format!("Not done after all: {action}")}
                </button>
            }
        })
}

fn undo(app: App, id: &str, event: EventId) {
    app.act(id, vec![What::Undone { event }], || {});
}

/// The app was closed in mid-step: what was that span?
#[component]
fn AskGap(id: String, gap: OpenGap) -> impl IntoView {
    let app = app();
    let minutes = ((gap.to_ms - gap.from_ms) as f64 / 60_000.0)
        .round()
        .max(1.0);
    let part = RwSignal::new(String::new());
    let answer = StoredValue::new(move |work_ms: i64| {
        let OpenGap { from_ms, to_ms } = gap;
        let seen = id.clone();
        app.act(
            &id,
            vec![What::Gap {
                from_ms,
                to_ms,
                work_ms,
            }],
            move || {
                app.gaps.update(|gaps| {
                    gaps.remove(&seen);
                });
            },
        );
    });
    let offset = app.now.get_untracked().offset_min;
    let all_ms = gap.to_ms - gap.from_ms;
    let part_ms = move || {
        let said: f64 = part.get().trim().replace(',', ".").parse().ok()?;
        let ms = (said * 60_000.0).round() as i64;
        (said.is_finite() && (0..=all_ms).contains(&ms)).then_some(ms)
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">"Lidoff was closed while the work ran"</h1>
            <p>
                {format!("From {} to {} ({minutes:.0} min). What was that time?",
                    time_of_day(gap.from_ms, offset), time_of_day(gap.to_ms, offset))}
            </p>
            <button type="button" class="wide tall" on:click=move |_| answer.with_value(|answer| answer(all_ms))>"All of it was work"</button>
            <button type="button" class="wide tall" on:click=move |_| answer.with_value(|answer| answer(0))>"None of it: a pause"</button>
            <form class="sheet" on:submit=move |event| {
                event.prevent_default();
                if let Some(ms) = part_ms() {
                    answer.with_value(|answer| answer(ms));
                }
            }>
                <label class="field">
                    <span>"Part of it was work: how many minutes?"</span>
                    <input type="text" inputmode="decimal" on:input=move |event| part.set(event_target_value(&event))/>
                </label>
                <button type="submit" prop:disabled=move || part_ms().is_none()>"So many minutes"</button>
            </form>
        </div>
    }
}

#[component]
fn Paused(id: String, reason: PauseReason, job: Arc<Job>) -> impl IntoView {
    let app = app();
    let next = job.next().map(|step| step.action.clone());
    let since = job
        .head
        .map(|(_, at)| time_of_day(at.wall_ms, at.offset_min));
    let resumed = id.clone();
    view! {
        <div class="screen">
            <h1 tabindex="-1">"Paused"</h1>
            <p>{format!("{}, since {}.", sentence(reason.name()), since.unwrap_or_default())}</p>
            {next.map(|next| view! { <p><span class="soft">"Next: "</span>{next}</p> })}
            <p>{format!("{} left.", about(job.left_s()))}</p>
            <button type="button" class="key wide tall" prop:disabled=move || app.busy.get()
                on:click=move |_| app.act(&resumed, vec![What::Resumed], || {})>"Go on with the work"</button>
            <a class="button quiet wide" href=Route::Job(id, Page::Plan).href()>"The plan"</a>
        </div>
    }
}

#[component]
fn OneStep(id: String, job: Arc<Job>, step: PlannedStep) -> impl IntoView {
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

#[component]
fn PauseReasons(id: String, open: RwSignal<bool>) -> impl IntoView {
    let app = app();
    PauseReason::ALL
        .into_iter()
        .map(|reason| {
            let id = id.clone();
            view! {
                <button type="button" class="wide" on:click=move |_| {
                    app.act(&id, vec![What::Paused { reason, note: String::new() }], move || open.set(false));
                }>{sentence(reason.name())}</button>
            }
        })
        .collect::<Vec<_>>()
}

/// What must be turned or fetched before.
#[component]
fn Changes(step: PlannedStep) -> impl IntoView {
    let turn = step.turn.then(|| step.face.clone()).flatten();
    let tool = step.tool_change.then(|| step.tool.clone()).flatten();
    view! {
        {turn.map(|face| view! { <p class="change"><strong>"Turn: "</strong>{face}</p> })}
        {tool.map(|tool| view! { <p class="change"><strong>"Take: "</strong>{tool}</p> })}
    }
}

#[component]
fn StepClock(job: Arc<Job>, step: PlannedStep) -> impl IntoView {
    let app = app();
    let expected_ms = (step.expected_s() * 1000.0) as i64;
    let elapsed = Memo::new(move |_| job.step_elapsed_ms(&app.now.get()));
    let share = move || (100.0 * elapsed.get() as f64 / expected_ms.max(1) as f64).min(100.0);
    view! {
        <div>
            <p class="clock">
                <span class="big-number" role="timer">{move || clock(elapsed.get())}</span>
                <span class="soft num">{format!("should take {}", clock(expected_ms))}</span>
            </p>
            <div class="gauge" class:over=move || { elapsed.get() > expected_ms } aria-hidden="true">
                <span style:width=move || { format!("{:.0}%", share()) }></span>
            </div>
        </div>
    }
}

#[component]
fn Fastened(title: &'static str, verb: &'static str, sets: Vec<Fasteners>) -> impl IntoView {
    (!sets.is_empty()).then(|| {
        let rows: Vec<_> = sets
            .into_iter()
            .map(|set| {
                let place = match (set.well, set.captive, set.single_use) {
                    (_, true, _) => view! { <span class="soft">"stays with its part"</span> }.into_any(),
                    (_, _, true) if verb == "into" => view! { <span class="soft">"used once: discard"</span> }.into_any(),
                    (_, _, true) => view! { <span class="soft">"new ones"</span> }.into_any(),
                    (Some(well), ..) => view! {
                        <span>{format!("{verb} well ")}<span class="well">{well}</span></span>
                    }.into_any(),
                    (None, ..) => ().into_any(),
                };
                let torque = set.torque_words();
                view! {
                    <li>
                        <div class="row apart">
                            <strong>{format!("{} × {}", set.count, set.name)}</strong>
                            {place}
                        </div>
                        {(verb == "from").then_some(torque).flatten().map(|torque| view! { <p class="soft">{torque}</p> })}
                    </li>
                }
            })
            .collect();
        view! {
            <section class="sheet" aria-label=title>
                <h2>{title}</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}

#[component]
fn Cables(title: &'static str, cables: Vec<Cable>) -> impl IntoView {
    (!cables.is_empty()).then(|| {
        let rows: Vec<_> = cables
            .into_iter()
            .map(|cable| {
                view! {
                    <li>
                        <strong>{cable.cable}</strong>" → "<strong>{cable.port}</strong>
                        {cable.unseen_swap.map(|swap| view! {
                            <p><strong>"A swap goes unseen: "</strong>{swap}</p>
                        })}
                    </li>
                }
            })
            .collect();
        view! {
            <section class="sheet" aria-label=format!("{title} these cables")>
                <h2>{title}</h2>
                <ul class="list">{rows}</ul>
            </section>
        }
    })
}

fn picture(catalog: &Catalog, step: &PlannedStep) -> Option<impl IntoView + use<>> {
    let at = catalog.find_step(step.step.as_str())?;
    let drawing = drawing(catalog, catalog.step(at))?;
    if drawing.spots.is_empty() && drawing.features.iter().all(|(_, lit)| !lit) {
        return None;
    }
    let face = catalog.face(drawing.face).clone();
    Some(view! { <FacePicture face drawing/> })
}

/// A question that is answered with the part in view.
#[component]
fn Asked(id: String, catalog: Arc<Catalog>, question: QuestionId) -> impl IntoView {
    let app = app();
    let found = catalog
        .find_question(question.as_str())
        .map(|at| catalog.question(at).clone());
    found.map(|found| {
        let answers: Vec<_> = found
            .answers
            .iter()
            .map(|answer| {
                let (id, question, given): (_, _, AnswerId) = (id.clone(), question.clone(), answer.id.clone());
                view! {
                    <button type="button" class="wide" prop:disabled=move || app.busy.get() on:click=move |_| {
                        app.act(&id, vec![What::Answered { question: question.clone(), answer: given.clone() }], || {});
                    }>{answer.text.clone()}</button>
                }
            })
            .collect();
        view! {
            <fieldset class="sheet">
                <legend class="hush">"Question"</legend>
                <p><strong>{found.text.clone()}</strong></p>
                {answers}
            </fieldset>
        }
    })
}

#[component]
fn Confirm(id: String, text: String, step: u32, open: bool) -> impl IntoView {
    let app = app();
    view! {
        <label class="tick boxed">
            <input type="checkbox" prop:checked=!open prop:disabled=!open
                on:change=move |_| app.act(&id, vec![What::Confirmed { step }], || {})/>
            <span>{text}</span>
        </label>
    }
}
