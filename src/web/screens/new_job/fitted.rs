//! The options fitted on the unit.

use std::sync::Arc;

use leptos::prelude::*;

use super::form::Form;
use crate::widgets::dynamic::CollectAny;
use lidoff_app_core::display::capitalize;
use lidoff_catalog::format::OptionId;
use lidoff_catalog::model::Catalog;
use lidoff_i18n::{localize, tr};

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
