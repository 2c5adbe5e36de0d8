//! The turn before a step, and its tool, drawn and as text.

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
use lidoff_job::{Job, PlannedStep};

/// What a step before this one named last, which may have changed since.
fn before(job: &Job, of: fn(&PlannedStep) -> Option<&String>) -> Option<String> {
    let mut done = job.done.iter().rev();
    done.find_map(|done| of(&done.step)).cloned()
}

/// How the unit is turned, or where one goes, before this step; nothing if neither.
#[component]
pub fn Turn(job: OpenJob, step: PlannedStep, catalog: Option<Arc<Catalog>>) -> impl IntoView {
    let to = step.turn.then_some(step.face).flatten();
    to.map(|to| {
        let catalog = catalog.as_deref();
        let from = before(&job.get_untracked(), |step| step.face.as_ref());
        view! { <Turned from=from.and_then(|name| face(catalog, &name)) to=face(catalog, &to) name=to/> }
    })
}

/// How one gets there, in words; nothing if the step is done where the one before was.
#[component]
pub fn TurnInWords(step: PlannedStep, catalog: Option<Arc<Catalog>>) -> impl IntoView {
    let to = step.turn.then_some(step.face).flatten();
    let face = to.and_then(|to| face(catalog.as_deref(), &to));
    face.map(|face| view! { <p class="soft">{localize(&face.turn).into_owned()}</p> })
}

/// The tool that is put away for the tool of this step, if there is one. A lock stays where
/// it is.
pub fn tool_to_put_away(
    job: &Job,
    step: &PlannedStep,
    catalog: Option<&Catalog>,
) -> Option<String> {
    let to = step.tool.as_ref().filter(|_| step.tool_change)?;
    let from = before(job, |step| step.tool.as_ref())?;
    let stays = from == *to || kind(catalog, &from) == Some(ToolKind::Lock);
    (!stays).then_some(from)
}

/// The tool, its setting, and the wells: what is needed at a glance. A tool that is put away
/// for it is named below.
#[component]
pub fn ToolStrip(job: OpenJob, step: PlannedStep, catalog: Option<Arc<Catalog>>) -> impl IntoView {
    let catalog = catalog.as_deref();
    let glyph = step.tool.as_ref().and_then(|tool| kind(catalog, tool));
    let changes = step.tool_change && step.tool.is_some();
    let from = tool_to_put_away(&job.get_untracked(), &step, catalog);
    let tool = match (&step.tool, changes) {
        (Some(to), true) => {
            view! { <strong>{tr!("Take: ")}</strong>{localize(to).into_owned()} }.into_any()
        }
        (Some(tool), false) => tr!("Tool: {tool}", tool = localize(tool)).into_any(),
        (None, _) => tr!("By hand, no tool").into_any(),
    };
    let wells = step
        .undo
        .iter()
        .chain(&step.redo)
        .filter_map(|set| set.well);
    let wells: Vec<_> = wells
        .map(|well| view! { <span class="well">{well}</span> })
        .collect();
    view! {
        <div class="tool" class:changes=changes>
            <ToolGlyph kind=glyph/>
            <div>
                <p>{tool}</p>
                {step.describe_settings().map(|setting| view! { <p><strong class="num">{setting}</strong></p> })}
                {from.map(|from| view! { <p class="soft small">{tr!("Put away: ")}{localize(&from).into_owned()}</p> })}
            </div>
            {(!wells.is_empty()).then(|| view! { <p class="wells"><span class="soft small">{tr!("Well ")}</span>{wells}</p> })}
        </div>
    }
}

#[component]
fn Turned(from: Option<Face>, to: Option<Face>, name: String) -> impl IntoView {
    let motion = to.as_ref().and_then(|to| to.motion);
    let flip = from
        .zip(to.clone())
        .and_then(|(from, to)| across(&from, &to));
    let verb = match motion {
        Some(Motion::Walk) => tr!("Go to: "),
        Some(Motion::LookUp | Motion::LookDown) => tr!("Look at: "),
        Some(Motion::Turn) | None => tr!("Turn: "),
    };
    view! {
        <div class="change" id="turn">
            <TurningGlyph motion flip=flip.map(|flip| flip.flip())/>
            <p><strong>{verb}</strong>{localize(&name).into_owned()}</p>
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
fn kind(catalog: Option<&Catalog>, name: &str) -> Option<ToolKind> {
    let mut tools = catalog?.tools();
    tools.find(|(_, tool)| tool.name == name)?.1.kind
}
