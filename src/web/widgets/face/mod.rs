//! A face drawing as a picture: the current part highlighted, the points to work on
//! numbered in order, and a legend below. It can be zoomed.

mod zoom_controls;

use leptos::prelude::*;

use crate::slice::Slice;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use lidoff_i18n::tr;

use self::zoom_controls::ZoomControls;
use lidoff_app_core::face::{Badge, Drawing, Sizes, badges, labels};
use lidoff_app_core::gesture::Canvas;
use lidoff_catalog::format::{Face, Point, Shape};
use lidoff_i18n::localize;

/// Width of the picture on a phone, px: text and number sizes follow it, so that all units
/// are equally readable.
const PICTURE_PX: f64 = 296.0;
/// How much closer than the whole face a drawing may begin.
const CLOSEST: f64 = 2.0;
/// A long, low one leaves room above and below.
const LOWEST: f64 = 0.3;

/// The picture, with its text equivalent.
#[component]
pub fn FacePicture(
    face: Face,
    drawing: Drawing,
    /// A tall face leaves room beside it, so that the picture is no higher than this part of
    /// its width.
    tallest: f64,
) -> impl IntoView {
    let canvas = canvas(&face, tallest);
    let px = canvas.w / PICTURE_PX;
    let viewport = RwSignal::new(canvas.framing(&drawing.target(), CLOSEST));
    let seen = Slice::new(move || viewport.get());
    let places = tr!("one position marked" | "{n} positions marked in order" % drawing.spots.len());
    let legend: Vec<_> = drawing.legend.iter().map(|line| line.words()).collect();
    let name = localize(&face.name).into_owned();
    let words = format!("{name}: {}. {}", places, legend.join("; "));
    let outline = outline(&face);
    let hatch = format!("lit-{}", face.id);
    let fill = format!("url(#{hatch})");
    let (lit, dim): (Vec<_>, Vec<_>) = drawing.features.iter().partition(|drawn| drawn.lit);
    let shapes = dim
        .into_iter()
        .chain(lit)
        .map(|drawn| {
            let fill = drawn.lit.then(|| fill.clone());
            view! {
                <g class="feature" class:lit=drawn.lit class:behind=drawn.behind style:fill=fill>
                    {shape(&drawn.feature.shape)}
                </g>
            }
        })
        .collect_any();
    let size = Point {
        x: face.width_mm,
        y: face.height_mm,
    };
    let marks = rebuilt(move || {
        let seen = seen.get();
        let px = px / seen.zoom;
        let (x, y, w, h) = canvas.window(&seen);
        let (from, to) = (Point { x, y }, Point { x: x + w, y: y + h });
        let sizes = Sizes {
            letter: 8.6 * px,
            line: 18.0 * px,
            radius: 13.0 * px,
        };
        let badges = badges(&drawing.spots, sizes.radius, size);
        let words = labels(&drawing.features, &badges, sizes, (from, to))
            .into_iter()
            .map(|label| {
                view! { <text class:lit=label.lit x=label.at.x y=label.at.y font-size=16.0 * px>{label.text}</text> }
            })
            .collect_any();
        let numbers = badges
            .iter()
            .enumerate()
            .map(|(nth, badge)| number(nth + 1, badge, px))
            .collect_any();
        view! { {words}{numbers} }
    });
    let legend_is_empty = legend.is_empty();
    let rows = legend
        .into_iter()
        .map(|line| view! { <li>{line}</li> })
        .collect_any();
    view! {
        <figure class="face">
            <ZoomControls canvas viewport name words>
                <defs>
                    <pattern id=hatch width=7.0 * px height=7.0 * px patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
                        <rect class="ground" width=7.0 * px height=7.0 * px/>
                        <rect class="stripe" width=1.6 * px height=7.0 * px/>
                    </pattern>
                </defs>
                <path class="outline" d=outline/>
                {shapes}
                {marks}
            </ZoomControls>
            {(!legend_is_empty).then(|| view! {
                <figcaption><ul class="legend" aria-label=tr!("Key to the numbers")>{rows}</ul></figcaption>
            })}
        </figure>
    }
}

/// The face with a margin, in a shape that suits a phone.
fn canvas(face: &Face, tallest: f64) -> Canvas {
    let margin = 0.05 * face.width_mm.max(face.height_mm);
    let (w, h) = (face.width_mm + 2.0 * margin, face.height_mm + 2.0 * margin);
    let (w, h) = (w.max(h / tallest), h.max(w * LOWEST));
    Canvas {
        x: (face.width_mm - w) / 2.0,
        y: (face.height_mm - h) / 2.0,
        w,
        h,
    }
}

/// A number, with a line to its point if it is beside it.
fn number(number: usize, badge: &Badge, px: f64) -> impl IntoView + use<> {
    let Badge { spot, at } = *badge;
    let panned = spot != at;
    view! {
        <g>
            {panned.then(|| view! {
                <line class="leader" x1=spot.x y1=spot.y x2=at.x y2=at.y/>
                <circle class="dot" cx=spot.x cy=spot.y r=3.0 * px/>
            })}
            <circle class="spot" cx=at.x cy=at.y r=13.0 * px/>
            <text class="spot-number" x=at.x y=at.y font-size=17.0 * px>{number}</text>
        </g>
    }
}

fn outline(face: &Face) -> String {
    if face.outline.is_empty() {
        return format!("M0 0H{}V{}H0Z", face.width_mm, face.height_mm);
    }
    let corners: Vec<String> = face
        .outline
        .iter()
        .map(|point| format!("{} {}", point.x, point.y))
        .collect();
    format!("M{}Z", corners.join("L"))
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
            view! { <polyline points=points.join(" ") fill="none"/> }.into_any()
        }
    }
}
