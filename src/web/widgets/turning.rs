//! A small drawing of how to bring another face up: flip the unit over one edge or the
//! other, or walk round it.

use leptos::prelude::*;

use lidoff_catalog::format::{Flip, Motion};

/// The drawing of this movement. `flip` is the edge to flip over, if the two faces are
/// opposite each other.
#[component]
pub fn TurningGlyph(motion: Option<Motion>, flip: Option<Flip>) -> impl IntoView {
    let (thing, arrow) = lines(motion, flip);
    view! {
        <svg class="glyph turning" viewBox="0 0 64 48" aria-hidden="true">
            <path d=thing/>
            <path class="arrow" d=arrow/>
        </svg>
    }
}

/// The lines of the unit, the technician and the arrow.
const fn lines(motion: Option<Motion>, flip: Option<Flip>) -> (&'static str, &'static str) {
    match (motion, flip) {
        // Over the side, like a page: an upright axis, an arrow across it.
        (Some(Motion::Turn) | None, Some(Flip::LeftRight)) => (
            "M14 16h36v26H14zM32 11v4M32 19v4M32 27v4M32 35v4M32 43v4",
            "M16 11C22 1 42 1 48 11M48 3v8h-8",
        ),
        // Over the far edge, like a sheet of a wall calendar.
        (Some(Motion::Turn) | None, Some(Flip::TopBottom)) => (
            "M6 8h36v32H6zM2 24h4M10 24h4M18 24h4M26 24h4M34 24h4M42 24h4",
            "M48 10c12 4 12 24 0 28M56 38h-8v-8",
        ),
        // From one face to another that is not its opposite.
        (Some(Motion::Turn) | None, None) => (
            "M4 18h20v24H4zM38 8h22v34H38z",
            "M14 12c6-9 18-9 22-4M36 0v8h-8",
        ),
        // Round it on foot, seen from above.
        (Some(Motion::Walk), _) => (
            "M22 14h20v20H22zM32 40a4 4 0 1 1 0 8 4 4 0 0 1 0-8z",
            "M40 44c20-4 20-36-2-40M46 2l-8 2 3 8",
        ),
        // An eye above, and down.
        (Some(Motion::LookDown), _) => (
            "M18 8q14-12 28 0-14 12-28 0zM32 5a3 3 0 1 1 0 6 3 3 0 0 1 0-6zM12 38h40v8H12z",
            "M32 18v15M26 27l6 6 6-6",
        ),
        // An eye below, and up.
        (Some(Motion::LookUp), _) => (
            "M18 40q14-12 28 0-14 12-28 0zM32 37a3 3 0 1 1 0 6 3 3 0 0 1 0-6zM12 2h40v8H12z",
            "M32 30V15M26 21l6-6 6 6",
        ),
    }
}
