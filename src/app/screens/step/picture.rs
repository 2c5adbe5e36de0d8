//! The face that the step is done on, where there is something to show.

use leptos::prelude::*;

use crate::app::face::drawing;
use crate::app::widgets::face::FacePicture;
use crate::catalog::model::Catalog;
use crate::job::PlannedStep;

pub(super) fn picture(catalog: &Catalog, step: &PlannedStep) -> Option<impl IntoView + use<>> {
    let at = catalog.find_step(step.step.as_str())?;
    let drawing = drawing(catalog, catalog.step(at))?;
    if drawing.spots.is_empty() && drawing.features.iter().all(|(_, lit)| !lit) {
        return None;
    }
    let face = catalog.face(drawing.face).clone();
    Some(view! { <FacePicture face drawing/> })
}
