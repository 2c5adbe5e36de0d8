//! A small drawing of a tool, so that a tool change is noticed at a glance.

use leptos::prelude::*;

use lidoff_catalog::format::ToolKind;

/// The drawing of this kind of tool; a hand if there is none. The name of the tool is shown
/// next to it.
#[component]
pub fn ToolGlyph(kind: Option<ToolKind>) -> impl IntoView {
    view! {
        <svg class="glyph" viewBox="0 0 40 40" aria-hidden="true">
            <path d=lines(kind)/>
        </svg>
    }
}

/// Its lines, in a square of 40.
const fn lines(kind: Option<ToolKind>) -> &'static str {
    match kind {
        // Handle, shaft, tip.
        Some(ToolKind::Driver) => "M5 12l7-7 9 9-7 7zM18 18l15 15M31 35l4-4",
        // The same with the collar that lets go, and its scale.
        Some(ToolKind::TorqueDriver) => {
            "M3 11l8-8 8 8-8 8zM14 19l5-5 5 5-5 5zM22 22l11 11M31 35l4-4M26 10a11 11 0 0 1 5 9"
        }
        // A jaw at the end of a handle.
        Some(ToolKind::Wrench) => {
            "M26 4l-5 5 2 8 8 2 5-5a10 10 0 0 1-13 12L11 37a4 4 0 0 1-7-7l11-12A10 10 0 0 1 26 4z"
        }
        // Bow, shank, two bits.
        Some(ToolKind::Key) => {
            "M12 5a8 8 0 1 1 0 16 8 8 0 0 1 0-16zM18 19l16 16M27 28l5-5M31 32l4-4"
        }
        // A flat blade, bent at its end.
        Some(ToolKind::Lever) => "M4 30l4 5 20-18 6-11-11 6zM23 12l6 6",
        // Two legs that meet.
        Some(ToolKind::Tweezers) => "M20 4c-6 10-6 20-2 32M20 4c6 10 6 20 2 32M15 6h10",
        // A handle, a band, hairs.
        Some(ToolKind::Brush) => {
            "M17 3h6v14h-6zM10 17h20v6H10zM12 23v13M17 23v13M23 23v13M28 23v13"
        }
        // A body and a shackle.
        Some(ToolKind::Lock) => "M8 18h24v17H8zM13 18v-5a7 7 0 0 1 14 0v5M20 24v5",
        // A dial with its hand, and two leads.
        Some(ToolKind::Meter) => {
            "M7 3h26v24H7zM12 20a9 9 0 0 1 16 0M20 19l4-8M14 27v4l-7 6M26 27v4l7 6"
        }
        // A box that is held to something.
        Some(ToolKind::Reader) => {
            "M5 6h18v28H5zM9 11h10v8H9zM27 14a9 9 0 0 1 0 12M31 10a15 15 0 0 1 0 20"
        }
        None => {
            "M10 22V10a3 3 0 0 1 5 0v8V6a3 3 0 0 1 5 0v12V8a3 3 0 0 1 5 0v11l2-4a3 3 0 0 1 5 2l-5 13q-3 7-10 7h-2q-8 0-9-9z"
        }
    }
}
