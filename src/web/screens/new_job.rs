//! A new job: how the unit is fitted, which tasks to do, and their cost, updated as
//! tasks are ticked.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use crate::generation::Generation;
use crate::navigate::go_to;
use crate::service::preferences::{self, Preference};
use crate::slice::Slice;
use crate::state::app;
use crate::widgets::booking::Booking;
use crate::widgets::dynamic::{CollectAny, rebuilt, rows};
use crate::widgets::left_open::LeftOpenVisits;
use crate::widgets::marginal_cost::MarginalCostSection;
use crate::widgets::profile::ProfilePicture;
use lidoff_app_core::display::{capitalize, format_duration, next_time_of_day};
use lidoff_app_core::outlook::LeftOpen;
use lidoff_app_core::planning::{self, Preview};
use lidoff_app_core::route::{Page, Route};
use lidoff_app_core::task_choice::{TaskGroup, offered_tasks};
use lidoff_catalog::format::{AnswerId, Asked, OptionId, QuestionId};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_i18n::{contains_typed, localize, tr};
use lidoff_job::{JobId, NamedTask, Opened, TaskRef};

/// What has been filled in so far.
#[derive(Clone, Copy)]
pub struct Form {
    /// The options that are fitted.
    pub fitted: RwSignal<Vec<OptionId>>,
    /// The answers given.
    pub answers: RwSignal<BTreeMap<QuestionId, AnswerId>>,
    tasks: RwSignal<Vec<TaskRef>>,
    reference: RwSignal<String>,
    site: RwSignal<String>,
    technician: RwSignal<String>,
    leave_by: RwSignal<String>,
    follows: RwSignal<Option<JobId>>,
}

impl Form {
    /// The usual options, and no answers.
    pub fn new(catalog: &Catalog) -> Self {
        Self {
            fitted: RwSignal::new(Configuration::usual(catalog).fitted),
            answers: RwSignal::new(BTreeMap::new()),
            tasks: RwSignal::new(Vec::new()),
            reference: RwSignal::new(String::new()),
            site: RwSignal::new(String::new()),
            technician: RwSignal::new(preferences::get(Preference::Technician).unwrap_or_default()),
            leave_by: RwSignal::new(String::new()),
            follows: RwSignal::new(None),
        }
    }

    /// Takes over the open tasks, options and answers of an earlier visit.
    fn take_up(self, left: &LeftOpen) {
        self.follows.set(Some(left.id.clone()));
        self.fitted.set(left.setup.fitted.clone());
        self.answers.set(left.setup.answers.clone());
        self.reference.set(left.opened.reference.clone());
        self.site.set(left.opened.site.clone());
        let tasks = left.tasks.iter().map(|task| task.task.clone());
        self.tasks.set(tasks.collect());
    }

    /// Options and answers.
    pub fn setup(self) -> Configuration {
        Configuration {
            fitted: self.fitted.get(),
            answers: self.answers.get(),
        }
    }
}

/// The screen.
#[component]
pub fn NewJob(unit: String) -> impl IntoView {
    let app = app();
    rebuilt(move || {
        match app.library.get() {
        None => view! { <div class="screen"><h1 tabindex="-1">{tr!("New job")}</h1><p>{tr!("Loading the catalogs.")}</p></div> }.into_any(),
        Some(library) => match library.find(&unit) {
            Some(catalog) => view! { <Filled catalog/> }.into_any(),
            None => view! {
                <div class="screen">
                    <h1 tabindex="-1">{tr!("Unit not found")}</h1>
                    <p>{tr!("The catalog for this unit is not on this device.")}</p>
                    <a class="button" href=Route::Units.href()>{tr!("Choose a unit")}</a>
                </div>
            }
            .into_any(),
        },
    }
    })
}

#[component]
fn Filled(catalog: Arc<Catalog>) -> impl IntoView {
    let form = Form::new(&catalog);
    let seen = catalog.clone();
    let (app, latest) = (app(), Generation::new());
    let (preview, working) = (RwSignal::new(None), RwSignal::new(false));
    Effect::new(move |_| {
        let (tasks, setup, seen) = (form.tasks.get(), form.setup(), seen.clone());
        let wanted = latest.begin();
        if tasks.is_empty() {
            preview.set(None);
            working.set(false);
            return;
        }
        working.set(true);
        let mut progress_handler = app.progress_handler(wanted);
        spawn_local(async move {
            let found = planning::preview(&seen, &setup, &tasks, &mut progress_handler).await;
            if wanted() {
                preview.set(Some(found));
                working.set(false);
            }
        });
    });
    let head = catalog.unit().clone();
    let (open, also) = (RwSignal::new(false), catalog.clone());
    let add = Callback::new(move |task| form.tasks.update(|tasks| tasks.push(task)));
    let while_open = move || {
        let planned = preview.with(|preview| matches!(preview, Some(Ok(_))));
        planned.then(|| {
            let (setup, tasks) = (form.setup(), form.tasks.get());
            view! { <MarginalCostSection catalog=also.clone() setup tasks open add/> }
        })
    };
    let (booked, name) = (catalog.clone(), head.name.clone());
    view! {
        <div class="screen with-foot">
            <h1 tabindex="-1">{tr!("New job: {}", head.name)}</h1>
            <p class="soft">{localize(&head.about).into_owned()}</p>
            <LeftOpenVisits unit=head.id.clone() take=move |left: &LeftOpen| form.take_up(left)/>
            <section class="sheet" aria-labelledby="what">
                <h2 id="what">{tr!("Tasks")}</h2>
                <Tasks catalog=catalog.clone() form/>
            </section>
            <Fitted catalog=catalog.clone() form/>
            <Questions catalog=catalog.clone() form/>
            <section class="sheet" aria-labelledby="whose">
                <h2 id="whose">{tr!("Visit")}</h2>
                <TextField label=tr!("Job reference") value=form.reference hint="TM-0001"/>
                <TextField label=tr!("Site and customer") value=form.site hint=""/>
                <TextField label=tr!("Technician") value=form.technician hint=""/>
                <label class="field">
                    <span>{tr!("Leave by (optional)")}</span>
                    <input type="time" prop:value=move || form.leave_by.get()
                        on:input=move |event| form.leave_by.set(event_target_value(&event))/>
                </label>
            </section>
            <section aria-live="polite" class="sheet" aria-labelledby="cost">
                <h2 id="cost">{tr!("What this job takes")}</h2>
                {rebuilt(move || match preview.get() {
                    None => view! { <p class="soft">{tr!("Tick a task to see the time and what to bring.")}</p> }.into_any(),
                    Some(Err(why)) => view! { <p role="alert">{why}</p> }.into_any(),
                    Some(Ok(preview)) => {
                        let tasks = ticked(&booked, form);
                        view! {
                            <Cost preview=preview.clone()/>
                            <Booking preview tasks unit=name.clone() reference=form.reference site=form.site/>
                        }.into_any()
                    }
                })}
            </section>
            {while_open}
            <p class="soft small">{localize(&head.safety).into_owned()}</p>
        </div>
        <Start catalog form preview working/>
    }
}

#[component]
fn TextField(label: String, value: RwSignal<String>, hint: &'static str) -> impl IntoView {
    view! {
        <label class="field">
            <span>{label}</span>
            <input type="text" placeholder=hint autocomplete="off" prop:value=move || value.get()
                on:input=move |event| value.set(event_target_value(&event))/>
        </label>
    }
}

/// The ticked tasks as text.
fn ticked(catalog: &Catalog, form: Form) -> Vec<String> {
    let tasks = form.tasks.get_untracked().into_iter();
    let found = tasks.filter_map(|task| task.find(catalog));
    found
        .map(|task| NamedTask::new(catalog, task).describe())
        .collect()
}

#[component]
fn Tasks(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let find = RwSignal::new(String::new());
    let listed = catalog.clone();
    let all = Slice::new(move || offered_tasks(&listed, &form.setup()));
    // Drop tasks that the unit no longer offers.
    Effect::new(move |_| {
        let there: Vec<TaskRef> = all.get().into_iter().map(|(task, _)| task.task).collect();
        if form
            .tasks
            .with_untracked(|tasks| tasks.iter().any(|task| !there.contains(task)))
        {
            form.tasks
                .update(|tasks| tasks.retain(|task| there.contains(task)));
        }
    });
    let group = move |which: TaskGroup| {
        let name = which.name();
        let shown = move || {
            let typed = find.get();
            let all = all.get().into_iter();
            all.filter(|(task, group)| {
                *group == which && contains_typed(&localize(&task.name), &typed)
            })
            .map(|(task, _)| task)
            .collect::<Vec<_>>()
        };
        let ticked = move || {
            let tasks = form.tasks.get();
            all.get()
                .iter()
                .filter(|(task, group)| *group == which && tasks.contains(&task.task))
                .count()
        };
        view! {
            <details open=which == TaskGroup::Replace>
                <summary>
                    {localize(name)}
                    <span class="soft small">{move || tr!("{} of {} ticked", ticked(), all.get().iter().filter(|(_, group)| *group == which).count())}</span>
                </summary>
                <fieldset>
                    <legend class="hush">{localize(name)}</legend>
                    {rows(shown, NamedTask::describe, move |task| view! { <TaskRow task form/> })}
                </fieldset>
            </details>
        }
    };
    view! {
        <label class="field">
            <span>{tr!("Find a part")}</span>
            <input type="search" autocomplete="off"
                on:input=move |event| find.set(event_target_value(&event))/>
        </label>
        {TaskGroup::ALL.map(group)}
    }
}

#[component]
fn TaskRow(task: NamedTask, form: Form) -> impl IntoView {
    let this = task.task.clone();
    let seen = this.clone();
    let toggle = move |event| {
        let on = event_target_checked(&event);
        form.tasks.update(|tasks| {
            tasks.retain(|one| *one != this);
            if on {
                tasks.push(this.clone());
            }
        });
    };
    view! {
        <label class="tick">
            <input type="checkbox" on:change=toggle
                prop:checked=move || form.tasks.with(|tasks| tasks.contains(&seen))/>
            <span>{capitalize(&localize(&task.name))}</span>
        </label>
    }
}

/// Options of one group (or of none), with their names.
type Group = (Option<String>, Vec<(OptionId, String)>);

/// The options, to be ticked.
#[component]
pub fn Fitted(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let mut groups: Vec<Group> = Vec::new();
    for (_, option) in catalog.options() {
        let entry = (option.id.clone(), option.name.clone());
        match groups.iter_mut().find(|(group, _)| *group == option.group) {
            Some((_, members)) => members.push(entry),
            None => groups.push((option.group.clone(), vec![entry])),
        }
    }
    let none = groups.is_empty();
    let fields = groups
        .into_iter()
        .map(|(group, members)| {
            let ids: Vec<OptionId> = members.iter().map(|(id, _)| id.clone()).collect();
            let legend = group.clone().map_or_else(|| tr!("Fitted with"), |group| capitalize(&localize(&group)));
            let exclusive = group.is_some();
            let rows = members
                .into_iter()
                .map(|(id, name)| {
                    let (seen, others) = (id.clone(), ids.clone());
                    let choose = move |event| {
                        let on = event_target_checked(&event);
                        form.fitted.update(|fitted| {
                            if exclusive {
                                fitted.retain(|one| !others.contains(one));
                            } else {
                                fitted.retain(|one| *one != id);
                            }
                            if on {
                                fitted.push(id.clone());
                            }
                        });
                    };
                    view! {
                        <label class="tick">
                            <input type=if exclusive { "radio" } else { "checkbox" }
                                name=group.clone().unwrap_or_else(|| seen.0.clone())
                                on:change=choose
                                prop:checked=move || form.fitted.with(|fitted| fitted.contains(&seen))/>
                            <span>{capitalize(&localize(&name))}</span>
                        </label>
                    }
                })
                .collect_any();
            view! { <fieldset><legend>{legend}</legend>{rows}</fieldset> }
        })
        .collect_any();
    (!none).then(
        || view! { <section class="sheet" aria-label=tr!("Options fitted on this unit")>{fields}</section> },
    )
}

/// The questions asked before the job, and those already answered.
#[component]
pub fn Questions(catalog: Arc<Catalog>, form: Form) -> impl IntoView {
    let before = catalog.questions().filter(|(_, question)| {
        let is_given = |all: &BTreeMap<_, _>| all.contains_key(&question.id);
        question.asked == Asked::Before || form.answers.with_untracked(is_given)
    });
    let fields = before
        .map(|(_, question)| {
            let rows = question
                .answers
                .iter()
                .map(|answer| {
                    let (asked, given) = (question.id.clone(), answer.id.clone());
                    let (seen, this) = (asked.clone(), given.clone());
                    let assumed = question.assumed == answer.id;
                    view! {
                        <label class="tick">
                            <input type="radio" name=question.id.0.clone()
                                on:change=move |_| form.answers.update(|all| {
                                    all.insert(asked.clone(), given.clone());
                                })
                                prop:checked=move || form.answers.with(|all| all.get(&seen) == Some(&this))/>
                            <span>
                                {localize(&answer.text).into_owned()}
                                {assumed.then(|| tr!(" (assumed until answered)"))}
                            </span>
                        </label>
                    }
                })
                .collect_any();
            view! { <fieldset><legend>{localize(&question.text).into_owned()}</legend>{rows}</fieldset> }
        })
        .collect_any();
    let none = fields.is_empty();
    (!none).then(|| view! { <section class="sheet" aria-label=tr!("Questions before the job")>{fields}</section> })
}

#[component]
fn Cost(preview: Preview) -> impl IntoView {
    let plan = preview.plan.clone();
    let band = plan.band;
    let list = |title: String, lines: Vec<String>| {
        (!lines.is_empty()).then(|| {
            view! {
                <div>
                    <h3>{title}</h3>
                    <ul class="marked">
                        {lines.into_iter().map(|line| view! { <li>{line}</li> }).collect_any()}
                    </ul>
                </div>
            }
        })
    };
    view! {
        <p class="big-number">{format!("{} – {}", format_duration(band.p50_s), format_duration(band.p95_s))}</p>
        <dl class="facts">
            <div><dt>{tr!("5 in 10 within")}</dt><dd>{format_duration(band.p50_s)}</dd></div>
            <div><dt>{tr!("8 in 10 within")}</dt><dd>{format_duration(band.p80_s)}</dd></div>
            <div><dt>{tr!("19 in 20 within")}</dt><dd>{format_duration(band.p95_s)}</dd></div>
            <div><dt>{tr!("Steps")}</dt><dd>{plan.steps.len()}</dd></div>
            <div><dt>{tr!("Deepest point")}</dt><dd>{tr!("{n} part open" | "{n} parts open" % preview.deepest)}</dd></div>
        </dl>
        <ProfilePicture profile=preview.profile.clone() leave_at_s=None/>
        <p class="soft small">{planning::proof_words(&plan)}</p>
        {list(tr!("Spares to bring"), preview.spares.clone())}
        {list(tr!("Tools to bring"), preview.tools.clone())}
        {list(tr!("Consumables"), preview.consumables.clone())}
        {list(tr!("Hazards"), preview.hazards.clone())}
    }
}

#[component]
fn Start(
    catalog: Arc<Catalog>,
    form: Form,
    preview: RwSignal<Option<Result<Preview, String>>>,
    working: RwSignal<bool>,
) -> impl IntoView {
    let app = app();
    let ready = move || matches!(preview.get(), Some(Ok(_))) && !working.get() && !app.busy.get();
    let start = move |_| {
        if !matches!(preview.get_untracked(), Some(Ok(_))) {
            return;
        }
        let now = app.now.get_untracked();
        let leave_by_ms =
            next_time_of_day(&form.leave_by.get_untracked(), now.wall_ms, now.offset_min);
        let technician = form.technician.get_untracked();
        if let Err(why) = preferences::set(Preference::Technician, &technician) {
            app.tell(
                false,
                tr!("Your name could not be saved for next time: {why}", why),
            );
        }
        let found = form.tasks.get_untracked().into_iter().filter_map(|task| {
            task.find(&catalog)
                .map(|task| NamedTask::new(&catalog, task))
        });
        let opened = Opened {
            unit: planning::unit(&catalog),
            reference: form.reference.get_untracked().trim().to_owned(),
            site: form.site.get_untracked().trim().to_owned(),
            technician: technician.trim().to_owned(),
            setup: Configuration {
                fitted: form.fitted.get_untracked(),
                answers: form.answers.get_untracked(),
            },
            tasks: found.collect(),
            leave_by_ms,
            follows: form.follows.get_untracked(),
        };
        app.open(opened, |id| go_to(&Route::Job(id, Page::Plan)));
    };
    view! {
        <div class="foot">
            <div class="one">
                <button type="button" class="key" prop:disabled=move || !ready() on:click=start>
                    {move || match preview.get() {
                        Some(Ok(preview)) => tr!("Start: about {}", format_duration(preview.plan.band.p50_s)),
                        Some(Err(_)) => tr!("No plan is possible"),
                        None => tr!("Tick a task first"),
                    }}
                </button>
            </div>
        </div>
    }
}
