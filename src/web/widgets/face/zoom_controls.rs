//! Zooming a picture: two fingers zoom and move it, and so do buttons and keys; a tap
//! centres a point. One finger still scrolls the page.

use crate::slice::Slice;
use leptos::prelude::*;
use leptos::wasm_bindgen::JsCast;
use lidoff_i18n::tr;
use web_sys::{Element, PointerEvent};

use lidoff_app_core::gesture::{Canvas, Direction, MOST_ZOOM, Viewport};

/// A place on the picture, as parts of its width and height.
type Fraction = (f64, f64);

/// The picture in its frame, with its buttons.
#[component]
pub fn ZoomControls(
    canvas: Canvas,
    viewport: RwSignal<Viewport>,
    /// What is seen, in short.
    name: String,
    /// The picture in words.
    words: String,
    children: Children,
) -> impl IntoView {
    let view_box = move || {
        let (x, y, w, h) = canvas.window(&viewport.get());
        format!("{x:.2} {y:.2} {w:.2} {h:.2}")
    };
    let zoomed = Slice::new(move || viewport.get().zoom > 1.0);
    let change = move |to: &dyn Fn(&Viewport) -> Viewport| {
        viewport.update(|viewport| *viewport = to(viewport))
    };
    // Fingers (or the mouse) that are down, and whether they dragged.
    let fingers = StoredValue::new(Vec::<(i32, Fraction)>::new());
    let dragged = StoredValue::new(false);
    let down = move |event: PointerEvent| {
        fingers.update_value(|all| {
            if all.is_empty() {
                dragged.set_value(false);
            }
            all.push((event.pointer_id(), fraction_of(&event)));
        });
    };
    let panned = move |event: PointerEvent| {
        let to = fraction_of(&event);
        let before = fingers.get_value();
        fingers.update_value(|all| {
            for (id, at) in all.iter_mut() {
                if *id == event.pointer_id() {
                    *at = to;
                }
            }
        });
        let after = fingers.get_value();
        match (before.as_slice(), after.as_slice()) {
            ([(_, a), (_, b)], [(_, c), (_, d)]) => {
                dragged.set_value(true);
                change(&|viewport| canvas.pinched(viewport, [*a, *b], [*c, *d]));
            }
            // A finger alone scrolls the page; the mouse has its wheel for that.
            ([(_, from)], [(_, to)]) if event.pointer_type() == "mouse" && from != to => {
                dragged.set_value(true);
                change(&|viewport| canvas.dragged(viewport, *from, *to));
            }
            _ => {}
        }
    };
    let up = move |event: PointerEvent| {
        fingers.update_value(|all| all.retain(|(id, _)| *id != event.pointer_id()));
    };
    // With two fingers down the page stays where it is.
    let hold = move |event: web_sys::TouchEvent| {
        if fingers.with_value(|all| all.len() > 1) {
            event.prevent_default();
        }
    };
    let tapped = move |event: web_sys::MouseEvent| {
        if dragged.get_value() || !zoomed.get_untracked() {
            return;
        }
        let (x, y) = fraction_of(&event);
        let (left, top, w, h) = canvas.window(&viewport.get_untracked());
        change(&|viewport| canvas.centred(viewport, (left + x * w, top + y * h)));
    };
    let keyed = move |event: web_sys::KeyboardEvent| {
        let to: &dyn Fn(&Viewport) -> Viewport = match event.key().as_str() {
            "+" | "=" => &|viewport| canvas.zoomed_in(viewport),
            "-" => &|viewport| canvas.zoomed_out(viewport),
            "0" => &|_| canvas.whole(),
            // Otherwise the arrow keys scroll the page.
            _ if !zoomed.get_untracked() => return,
            "ArrowLeft" => &|viewport| canvas.panned(viewport, Direction::Left),
            "ArrowRight" => &|viewport| canvas.panned(viewport, Direction::Right),
            "ArrowUp" => &|viewport| canvas.panned(viewport, Direction::Up),
            "ArrowDown" => &|viewport| canvas.panned(viewport, Direction::Down),
            _ => return,
        };
        event.prevent_default();
        change(to);
    };
    let frame = tr!(
        "Drawing: {name}. Plus and minus zoom, arrows move, 0 shows all.",
        name = name.clone()
    );
    view! {
        <div class="frame" role="group" tabindex="0" aria-label=frame on:keydown=keyed>
            <svg viewBox=view_box role="img" aria-label=words on:click=tapped on:touchmove=hold
                on:pointerdown=down on:pointermove=panned on:pointerup=up on:pointercancel=up on:pointerleave=up>
                {children()}
            </svg>
        </div>
        <div class="row closer">
            <span class="soft small face-name">{name}</span>
            <button type="button" aria-label=tr!("Zoom in") prop:disabled=move || { viewport.get().zoom >= MOST_ZOOM }
                on:click=move |_| change(&|viewport| canvas.zoomed_in(viewport))>"+"</button>
            <button type="button" aria-label=tr!("Zoom out") prop:disabled=move || !zoomed.get()
                on:click=move |_| change(&|viewport| canvas.zoomed_out(viewport))>"−"</button>
            <button type="button" class="quiet" prop:disabled=move || !zoomed.get()
                on:click=move |_| change(&|_| canvas.whole())>{tr!("Show all")}</button>
        </div>
    }
}

/// Where on the picture a pointer is.
fn fraction_of(event: &web_sys::MouseEvent) -> Fraction {
    let Some(picture) = event.current_target() else {
        return (0.5, 0.5);
    };
    let seen = picture
        .unchecked_into::<Element>()
        .get_bounding_client_rect();
    (
        (f64::from(event.client_x()) - seen.left()) / seen.width().max(1.0),
        (f64::from(event.client_y()) - seen.top()) / seen.height().max(1.0),
    )
}
