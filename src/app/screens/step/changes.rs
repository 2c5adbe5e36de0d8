//! What must be turned or fetched before.

use leptos::prelude::*;

use crate::job::PlannedStep;

/// What must be turned or fetched before.
#[component]
pub(super) fn Changes(step: PlannedStep) -> impl IntoView {
    let turn = step.turn.then(|| step.face.clone()).flatten();
    let tool = step.tool_change.then(|| step.tool.clone()).flatten();
    view! {
        {turn.map(|face| view! { <p class="change"><strong>"Turn: "</strong>{face}</p> })}
        {tool.map(|tool| view! { <p class="change"><strong>"Take: "</strong>{tool}</p> })}
    }
}
