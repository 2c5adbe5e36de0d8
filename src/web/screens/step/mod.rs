//! One step fills the screen: what can hurt, what to do, with which tool, on
//! which face, how it goes; its clock against its estimate; Done under the thumb.

mod asked;
mod cables;
mod changes;
mod clock;
mod confirm;
mod fastened;
mod finished;
mod found;
mod gap;
mod one;
mod paused;
mod picture;
mod undo;

use std::sync::Arc;

use leptos::prelude::*;

use self::finished::Finished;
use self::gap::AskGap;
use self::one::OneStep;
use self::paused::Paused;
use crate::screens::of_job::of_job;
use crate::state::app;
use lidoff_i18n::tr;
use lidoff_job::{Job, Status};

/// The screen.
#[component]
pub fn StepScreen(job: String) -> impl IntoView {
    of_job(job, tr!("Step"), |id, job| {
        view! { <Stand id job/> }.into_any()
    })
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
