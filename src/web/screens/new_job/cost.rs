//! What the job takes: times, spares, tools and hazards.

use leptos::prelude::*;

use crate::widgets::dynamic::CollectAny;
use crate::widgets::profile::ProfilePicture;
use lidoff_app_core::display::format_duration;
use lidoff_app_core::planning::{self, Preview};
use lidoff_i18n::tr;

/// The cost of the ticked tasks.
#[component]
pub(super) fn Cost(preview: Preview) -> impl IntoView {
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
        {list(tr!("Protection, site and test kit"), preview.kit.clone())}
        {list(tr!("People"), preview.people.clone())}
        {list(tr!("Hazards"), preview.hazards.clone())}
    }
}
