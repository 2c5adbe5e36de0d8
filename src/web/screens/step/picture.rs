//! The drawing of the step's face, if there is something to show.

use leptos::prelude::*;

use super::changes::tool_to_put_away;
use crate::widgets::face::FacePicture;
use lidoff_app_core::face::{Drawing, drawing};
use lidoff_app_core::speech::standing_words;
use lidoff_app_core::standing::standing_to_show;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Setup;
use lidoff_i18n::{localize, tr};
use lidoff_job::{Job, PlannedStep};

/// What else stands on a phone's screen with the picture, px: head, progress, place, the foot,
/// and the gaps between all of it.
const BESIDE_PX: f64 = 302.0;

/// What stands above the picture, in words, with the height of a line, px, and how many
/// letters it holds in the widest usual type.
const POWER: (f64, usize) = (19.0, 38);
const HEADING: (f64, usize) = (31.2, 21);
const TOOL: (f64, usize) = (22.5, 27);
const TOOL_AND_WELL: (f64, usize) = (22.5, 19);
const PUT_AWAY: (f64, usize) = (20.0, 26);
const KEY: (f64, usize) = (25.2, 34);

const STANDING: (f64, usize) = (20.0, 34);

/// The turn before the step, with the gap, px.
const TURN_PX: f64 = 58.0;

/// The height of words, px.
fn height(words: &str, (line_px, letters): (f64, usize)) -> f64 {
    let (mut lines, mut left) = (0_u32, 0);
    for word in words.split_whitespace() {
        let long = word.chars().count();
        if long > left {
            lines += 1;
            left = letters;
        }
        left = left.saturating_sub(long + 1);
    }
    f64::from(lines) * line_px
}

/// The height of what stands above and below the picture of a step, px.
fn beside(catalog: &Catalog, job: &Job, step: &PlannedStep, drawing: &Drawing) -> f64 {
    let power: Vec<_> = job.power_line().collect();
    let words = |words: Option<String>, of| height(&words.unwrap_or_default(), of);
    let mut sets = step.undo.iter().chain(&step.redo);
    let has_wells = sets.any(|set| set.well.is_some());
    let of_tool = if has_wells { TOOL_AND_WELL } else { TOOL };
    let tool = step
        .tool
        .as_ref()
        .map(|tool| tr!("Tool: {tool}", tool = localize(tool)));
    let tool = words(tool, of_tool) + words(step.describe_settings(), of_tool);
    let put_away = tool_to_put_away(job, step, Some(catalog));
    let put_away = put_away.map(|tool| tr!("Put away: ") + &localize(&tool));
    let put_away = words(put_away, PUT_AWAY);
    let key = drawing.legend.iter().map(|line| height(&line.words(), KEY));
    let standing: Vec<String> = standing_to_show(job)
        .into_iter()
        .map(standing_words)
        .collect();
    let standing = if standing.is_empty() {
        0.0
    } else {
        8.0 + height(&standing.join(" · "), STANDING).max(52.0)
    };
    let turn = if step.turn { TURN_PX } else { 0.0 };
    BESIDE_PX
        + height(&power.join(" · "), POWER)
        + height(&localize(&step.action), HEADING)
        + (tool + put_away + 10.0).max(48.0)
        + key.sum::<f64>()
        + standing
        + turn
}

/// The picture; `None` if no point is marked and no part is highlighted. It is as high as the
/// screen has room for, so that it is seen without scrolling.
pub(super) fn picture(
    catalog: &Catalog,
    job: &Job,
    step: &PlannedStep,
) -> Option<impl IntoView + use<>> {
    let at = catalog.find_step(step.step.as_str())?;
    let about = step.op.as_ref().and_then(|op| op.part());
    // If the setup no longer fits its catalog, show everything.
    let setup = Setup::new(catalog, &job.setup).ok();
    let drawing = drawing(catalog, catalog.step(at), about, setup.as_ref())?;
    if drawing.spots.is_empty() && drawing.features.iter().all(|drawn| !drawn.lit) {
        return None;
    }
    let face = catalog.face(drawing.face).clone();
    let px = |size: Result<wasm_bindgen::JsValue, _>| size.ok().and_then(|it| it.as_f64());
    let window = window();
    let wide = px(window.inner_width()).unwrap_or(360.0).min(736.0);
    let high = px(window.inner_height()).unwrap_or(740.0);
    let tallest = ((high - beside(catalog, job, step, &drawing)) / wide).clamp(0.28, 1.1);
    Some(view! { <FacePicture face drawing tallest/> })
}
