//! The basis of a step's estimate: a line below its clock.

use leptos::prelude::*;

use lidoff_i18n::tr;

use lidoff_estimate::estimate::describe_elements;
use lidoff_estimate::learned_times::describe_difference;
use lidoff_job::PlannedStep;

/// "4 × screw out, 1 × plug out", "measured by the author", or what was seen
/// instead.
#[component]
pub fn EstimateBasis(step: PlannedStep) -> impl IntoView {
    let base = if step.measured {
        tr!("measured by the author")
    } else {
        describe_elements(&step.elements)
    };
    let seen = (step.seen > 0).then(|| describe_difference(step.catalog_s, step.work_s, step.seen));
    (!base.is_empty() || seen.is_some()).then(|| {
        view! {
            <p class="soft small" id="rests-on">
                {base}
                {seen.map(|seen| view! { <br/>{seen} })}
            </p>
        }
    })
}
