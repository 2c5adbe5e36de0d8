//! The drawing of the step's face, if there is something to show.

use leptos::prelude::*;

use crate::widgets::face::FacePicture;
use lidoff_app_core::face::drawing;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_i18n::localize;
use lidoff_job::PlannedStep;

/// What else stands on a phone's screen with the picture, px: head, place, power, tool and
/// foot.
const BESIDE_PX: f64 = 388.0;
/// A line of the heading, px, and how many letters it holds.
const LINE_PX: f64 = 32.0;
const LINE_LETTERS: usize = 24;
/// A line of the key to the numbers, px.
const KEY_PX: f64 = 26.0;
/// The tool that is put away, px.
const CHANGE_PX: f64 = 24.0;
/// A row of badges, or the turn before the step, px.
const ROW_PX: f64 = 56.0;

/// The picture; `None` if no point is marked and no part is highlighted. It is as high as the
/// screen has room for beside so many more rows, so that it is seen without scrolling.
pub(super) fn picture(
    catalog: &Catalog,
    step: &PlannedStep,
    setup: &Configuration,
    rows: usize,
) -> Option<impl IntoView + use<>> {
    let at = catalog.find_step(step.step.as_str())?;
    let about = step.op.as_ref().and_then(|op| op.part());
    // If the setup no longer fits its catalog, show everything.
    let setup = Setup::new(catalog, setup).ok();
    let drawing = drawing(catalog, catalog.step(at), about, setup.as_ref())?;
    if drawing.spots.is_empty() && drawing.features.iter().all(|drawn| !drawn.lit) {
        return None;
    }
    let face = catalog.face(drawing.face).clone();
    let lines = localize(&step.action)
        .chars()
        .count()
        .div_ceil(LINE_LETTERS);
    let key = drawing.legend.len() as f64 * KEY_PX;
    let key = key + if step.tool_change { CHANGE_PX } else { 0.0 };
    let taken = BESIDE_PX + lines as f64 * LINE_PX + rows as f64 * ROW_PX + key;
    let px = |size: Result<wasm_bindgen::JsValue, _>| size.ok().and_then(|it| it.as_f64());
    let (window, least) = (window(), 0.5);
    let wide = px(window.inner_width()).unwrap_or(360.0).min(736.0);
    let high = px(window.inner_height()).unwrap_or(740.0);
    let tallest = ((high - taken) / wide).clamp(least, 1.1);
    Some(view! { <FacePicture face drawing tallest/> })
}
