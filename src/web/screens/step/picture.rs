//! The drawing of the step's face, if there is something to show.

use leptos::prelude::*;

use crate::widgets::face::FacePicture;
use lidoff_app_core::face::drawing;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::PlannedStep;

/// The picture; `None` if no point is marked and no part is highlighted.
pub(super) fn picture(
    catalog: &Catalog,
    step: &PlannedStep,
    setup: &Configuration,
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
    Some(view! { <FacePicture face drawing/> })
}
