//! The questions about the unit.

use std::collections::BTreeMap;
use std::sync::Arc;

use leptos::prelude::*;

use super::form::Form;
use crate::widgets::dynamic::CollectAny;
use lidoff_catalog::format::Asked;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};

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
