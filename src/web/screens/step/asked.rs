//! A question that is answered with the part in view.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::state::app;
use lidoff_catalog::format::{AnswerId, QuestionId};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::localize;
use lidoff_job::EventKind;

/// A question that is answered with the part in view.
#[component]
pub(super) fn Asked(id: String, catalog: Arc<Catalog>, question: QuestionId) -> impl IntoView {
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
                        app.act(&id, vec![EventKind::Answered { question: question.clone(), answer: given.clone() }], || {});
                    }>{localize(&answer.text).into_owned()}</button>
                }
            })
            .collect();
        view! {
            <fieldset class="sheet">
                <legend class="hush">{tr!("Question")}</legend>
                <p><strong>{localize(&found.text).into_owned()}</strong></p>
                {answers}
            </fieldset>
        }
    })
}
