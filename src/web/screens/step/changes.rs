//! The turn and tool change before a step, drawn and as text.

use std::sync::Arc;

use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::slice::OpenJob;
use crate::widgets::tool::ToolGlyph;
use crate::widgets::turning::TurningGlyph;
use lidoff_app_core::face::across;
use lidoff_catalog::format::{Face, Motion, ToolKind};
use lidoff_catalog::model::Catalog;
use lidoff_i18n::localize;
use lidoff_job::PlannedStep;

/// The turn and the change of tool before this step, if there are any.
#[component]
pub fn Changes(job: OpenJob, step: PlannedStep, catalog: Option<Arc<Catalog>>) -> impl IntoView {
    let job = job.get_untracked();
    let before = |of: fn(&PlannedStep) -> Option<&String>| {
        let mut done = job.done.iter().rev();
        done.find_map(|done| of(&done.step)).cloned()
    };
    let catalog = catalog.as_deref();
    let turn = step.turn.then(|| step.face.clone()).flatten().map(|to| {
        let from = before(|step| step.face.as_ref());
        view! { <Turn from=from.and_then(|name| face(catalog, &name)) to=face(catalog, &to) name=to/> }
    });
    let tool = step
        .tool_change
        .then(|| step.tool.clone())
        .flatten()
        .map(|to| {
            // A lock stays where it is.
            let from = before(|step| step.tool.as_ref()).filter(|from| *from != to);
            let from = from.filter(|from| kind(catalog, from) != Some(ToolKind::Lock));
            view! {
                <div class="change stack" id="tool-change">
                    {from.map(|from| view! {
                        <span class="from">
                            <ToolGlyph kind=kind(catalog, &from)/>
                            <span>{tr!("Put away: ")}{localize(&from).into_owned()}</span>
                        </span>
                        })}
                    <span class="to">
                    <span aria-hidden="true">"→"</span>
                        <ToolGlyph kind=kind(catalog, &to)/>
                        <span><strong>{tr!("Take: ")}</strong>{localize(&to).into_owned()}</span>
                    </span>
                </div>
            }
        });
    view! { {turn}{tool} }
}

#[component]
fn Turn(from: Option<Face>, to: Option<Face>, name: String) -> impl IntoView {
    let motion = to.as_ref().and_then(|to| to.motion);
    let flip = from
        .zip(to.clone())
        .and_then(|(from, to)| across(&from, &to));
    let verb = match motion {
        Some(Motion::Walk) => tr!("Go to: "),
        Some(Motion::LookUp | Motion::LookDown) => tr!("Look at: "),
        Some(Motion::Turn) | None => tr!("Turn: "),
    };
    let how = to.map(|to| localize(&to.turn).into_owned());
    view! {
        <div class="change" id="turn">
            <TurningGlyph motion flip=flip.map(|flip| flip.flip())/>
            <div>
                <p><strong>{verb}</strong>{localize(&name).into_owned()}</p>
                {how.map(|how| view! { <p class="soft small">{how}</p> })}
            </div>
        </div>
    }
}

fn face(catalog: Option<&Catalog>, name: &str) -> Option<Face> {
    let mut faces = catalog?.faces();
    faces
        .find(|(_, face)| face.name == name)
        .map(|(_, face)| face.clone())
}

/// The kind of the tool with this name.
pub fn kind(catalog: Option<&Catalog>, name: &str) -> Option<ToolKind> {
    let mut tools = catalog?.tools();
    tools.find(|(_, tool)| tool.name == name)?.1.kind
}
