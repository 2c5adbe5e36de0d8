//! The plan of a job and its progress.

mod steps;
mod tasks;
mod van;

use leptos::prelude::*;

use self::steps::Steps;
use self::tasks::Tasks;
use self::van::Van;
use crate::screens::change::Change;
use crate::screens::of_job::of_job;
use crate::service::clock;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{When, rebuilt, rows, text};
use crate::widgets::outlook::{Outlook, close_up_time, outlook_text, turn_back_mark};
use crate::widgets::power::PowerLine;
use crate::widgets::profile::JobProfile;
use crate::widgets::why::show_reason;
use lidoff_app_core::display::{format_duration, job_title};
use lidoff_app_core::people::{PeopleSpan, people_spans};
use lidoff_app_core::planning::{paced_s, proof_words};
use lidoff_app_core::route::{Page, Route};
use lidoff_estimate::Sum;
use lidoff_i18n::tr;
use lidoff_job::outlook::{forecast, pace};
use lidoff_job::{Job, Status};

/// The screen.
#[component]
pub fn PlanScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Plan"), |job| view! { <Plan job/> }.into_any())
}

#[component]
fn Plan(job: OpenJob) -> impl IntoView {
    let title = job.slice(job_title);
    let is_open = job.slice(|job| !matches!(job.status, Status::Closed { .. }));
    let is_stale = job.slice(|job| job.plan.is_some() && job.is_plan_stale());
    let closing = close_up_time(job);
    let turn_at_s = turn_back_mark(job, closing);
    view! {
        <div class="screen with-foot plan">
            <h1 tabindex="-1">{text(move || title.get())}</h1>
            <div class="stack summary">
                <section class="sheet" aria-label=tr!("Job status")>
                    <JobProfile job turn_at_s why=show_reason/>
                    <PowerLine job/>
                    <When is=is_stale><p>{tr!("The plan no longer fits. See the step.")}</p></When>
                    <TimeLeft job closing/>
                </section>
                <When is=is_open><Outlook job closing whole=true/></When>
                <When is=is_open><People job/></When>
                <When is=is_open><Van job/></When>
            </div>
            <Steps job/>
            <div class="stack rest">
                <Tasks job is_open/>
                <When is=is_open><Change job/></When>
            </div>
        </div>
        <When is=is_open><Foot job/></When>
    }
}

/// Time worked and time left, as of the last event.
#[component]
fn TimeLeft(job: OpenJob, closing: Slice<Option<Sum>>) -> impl IntoView {
    let app = app();
    let facts = Slice::new(move || {
        let (job, now) = (job.get(), app.now.get_untracked());
        let left = forecast(&job, &now).band();
        let elapsed_s = job.elapsed_ms(&now) as f64 / 1000.0;
        [elapsed_s, job.left_s(), left.p80_s, left.p95_s].map(format_duration)
    });
    let fact = move |nth: usize| text(move || facts.with(|facts| facts[nth].clone()));
    let (proof, sure) = (job.slice(proof), outlook_text(job, closing));
    view! {
        <dl class="facts">
            <div><dt>{tr!("Worked so far")}</dt><dd>{fact(0)}</dd></div>
            <div><dt>{tr!("Planned time left")}</dt><dd>{fact(1)}</dd></div>
        </dl>
        <details>
            <summary>{tr!("Details")}</summary>
            <div class="stack">
                <dl class="facts">
                    <div><dt>{tr!("Left (8\u{a0}in\u{a0}10)")}</dt><dd>{fact(2)}</dd></div>
                    <div><dt>{tr!("Left (19\u{a0}in\u{a0}20)")}</dt><dd>{fact(3)}</dd></div>
                </dl>
                <p class="soft small">{text(move || sure.with(|outlook| outlook.sure.clone()))}</p>
                <p class="soft small">{text(move || proof.get())}</p>
            </div>
        </details>
    }
}

/// How good the plan is known to be; nothing once it no longer fits.
fn proof(job: &Job) -> String {
    let plan = job.plan.as_ref().filter(|_| !job.is_plan_stale());
    plan.map(proof_words).unwrap_or_default()
}

/// When more than one person is needed, by the clock.
#[component]
fn People(job: OpenJob) -> impl IntoView {
    let app = app();
    let lines = Slice::new(move || {
        let (job, now) = (job.get(), app.now.get_untracked());
        let pace = pace(&job).median();
        let steps = job.remaining.iter();
        let spans = people_spans(steps.map(|step| (step, paced_s(step, pace))));
        let line = |span: &PeopleSpan| {
            let begins_ms = now.wall_ms + (span.after_s * 1000.0) as i64;
            let at = clock::time_of_day(begins_ms);
            format!(
                "{}, {}",
                span.describe(),
                tr!("from about {time}", time = at)
            )
        };
        spans.iter().map(line).collect::<Vec<_>>()
    });
    view! {
        <When is=Signal::derive(move || lines.with(|lines| !lines.is_empty()))>
            <section class="sheet" aria-labelledby="people">
                <h2 id="people">{tr!("People")}</h2>
                <ul class="list">{rows(move || lines.get(), Clone::clone, |line| view! { <li>{line}</li> })}</ul>
            </section>
        </When>
    }
}

/// The next action on the job.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Next {
    Begin,
    CarryOn,
    WrapUp,
}

#[component]
fn Foot(job: OpenJob) -> impl IntoView {
    let next = job.slice(
        |job| match (job.remaining.is_empty(), job.done.is_empty()) {
            (true, _) => Next::WrapUp,
            (false, true) => Next::Begin,
            (false, false) => Next::CarryOn,
        },
    );
    let href = move |page| Route::Job(job.id(), page).href();
    let link = move || {
        let (page, words) = match next.get() {
            Next::Begin => (Page::Step, tr!("Begin")),
            Next::CarryOn => (Page::Step, tr!("Carry on")),
            Next::WrapUp => (Page::WrapUp, tr!("Wrap up")),
        };
        view! { <a class="button key" href=href(page)>{words}</a> }
    };
    view! {
        <div class="foot">
            <div class="two">
                <a class="button" href=href(Page::Tray)>{tr!("Tray")}</a>
                {rebuilt(link)}
            </div>
        </div>
    }
}
