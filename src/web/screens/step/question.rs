//! A question that is answered while the part is in view.

use std::sync::Arc;

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::CollectAny;
use lidoff_catalog::format::{AnswerId, QuestionId};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};
use lidoff_job::EventKind;

/// The question, with a button for each answer.
#[component]
pub(super) fn Question(job: OpenJob, catalog: Arc<Catalog>, question: QuestionId) -> impl IntoView {
    let found = catalog
        .find_question(question.as_str())
        .map(|at| catalog.question(at).clone());
    found.map(|found| {
        let answers = found
            .answers
            .iter()
            .map(|answer| {
                let (question, given): (_, AnswerId) = (question.clone(), answer.id.clone());
                view! {
                    <button type="button" class="wide"
                        on:click=move |_| job.record(EventKind::Answered {
                            question: question.clone(),
                            answer: given.clone(),
                        })>{localize(&answer.text).into_owned()}</button>
                }
            })
            .collect_any();
        view! {
            <fieldset class="sheet">
                <legend class="hush">{tr!("Question")}</legend>
                <p><strong>{localize(&found.text).into_owned()}</strong></p>
                {answers}
            </fieldset>
        }
    })
}
