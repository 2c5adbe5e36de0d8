//! A face drawing as a picture: the part in hand lit, the places to work
//! numbered in their order.

use leptos::prelude::*;

use crate::app::face::{Drawing, middle};
use crate::app::words::count;
use crate::catalog::format::{Face, Shape};

/// The picture, with its text equivalent.
#[component]
pub fn FacePicture(face: Face, drawing: Drawing) -> impl IntoView {
    let (width, height) = (face.width_mm, face.height_mm);
    // Sizes follow the drawing, so that a laptop and a kiosk read alike.
    let unit = width.max(height) / 100.0;
    let margin = 5.0 * unit;
    let view_box = format!(
        "{} {} {} {}",
        -margin,
        -margin,
        width + 2.0 * margin,
        height + 2.0 * margin
    );
    let words = format!(
        "{}, {} marked in order.",
        face.name,
        count(drawing.spots.len(), "place", "places")
    );
    let outline = if face.outline.is_empty() {
        format!("M0 0H{width}V{height}H0Z")
    } else {
        let corners: Vec<String> = face
            .outline
            .iter()
            .map(|point| format!("{} {}", point.x, point.y))
            .collect();
        format!("M{}Z", corners.join("L"))
    };
    let features: Vec<_> = drawing
        .features
        .iter()
        .map(|(feature, lit)| {
            let at = middle(&feature.shape);
            let label = feature.label.clone().filter(|_| *lit || drawing.spots.is_empty());
            view! {
                <g>
                    <g class="feature" class:lit=*lit stroke-width=0.6 * unit>{shape(&feature.shape)}</g>
                    {label.map(|label| view! {
                        <text x=at.x y=at.y font-size=5.4 * unit>{label}</text>
                    })}
                </g>
            }
        })
        .collect();
    let spots: Vec<_> = drawing
        .spots
        .iter()
        .enumerate()
        .map(|(at, spot)| {
            view! {
                <g>
                    <circle class="spot" cx=spot.x cy=spot.y r=4.4 * unit stroke-width=0.6 * unit/>
                    <text class="spot-number" x=spot.x y=spot.y font-size=5.6 * unit>{at + 1}</text>
                </g>
            }
        })
        .collect();
    view! {
        <figure class="face">
            <svg viewBox=view_box role="img" aria-label=words>
                <path class="outline" d=outline stroke-width=0.8 * unit/>
                {features}
                {spots}
            </svg>
            <figcaption class="soft small">{face.name.clone()}</figcaption>
        </figure>
    }
}

fn shape(shape: &Shape) -> AnyView {
    match shape {
        Shape::Rect { x, y, w, h, r } => {
            view! { <rect x=*x y=*y width=*w height=*h rx=*r/> }.into_any()
        }
        Shape::Circle { x, y, r } => view! { <circle cx=*x cy=*y r=*r/> }.into_any(),
        Shape::Line(points) => {
            let points: Vec<String> = points
                .iter()
                .map(|point| format!("{},{}", point.x, point.y))
                .collect();
            view! { <polyline points=points.join(" ")/> }.into_any()
        }
    }
}
