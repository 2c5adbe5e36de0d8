//! The vertical lines of a profile with their labels: when to leave, and when to turn
//! back.

use crate::service::clock;
use crate::slice::Slice;
use leptos::prelude::*;
use lidoff_i18n::tr;

use crate::state::app;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use lidoff_app_core::depth::{Chart, flags};

/// Approximate width of a letter, in drawing units.
const LETTER: f64 = 10.0;

/// The lines within the chart. Each has its own style, and says what it is and when.
#[component]
pub fn Marks(
    chart: Chart,
    leave_at_s: Option<f64>,
    turn_at_s: Option<Slice<Option<f64>>>,
    /// Actual time of the completed steps: the current time.
    done_s: f64,
    bottom: f64,
    /// Height of a row of labels.
    row: f64,
) -> impl IntoView {
    let app = app();
    rebuilt(move || {
        let now = app.now.get_untracked();
        // To the nearest second, so that a minute does not round down.
        let clock = |at_s: f64| {
            let from_now_ms = ((at_s - done_s) * 1000.0) as i64;
            let at_ms = (now.wall_ms + from_now_ms + 500).div_euclid(1000) * 1000;
            clock::time_of_day(at_ms)
        };
        let turn_at_s = turn_at_s.and_then(|at| at.get());
        let on_it = |at_s: Option<f64>| at_s.and_then(|at_s| Some((chart.place(at_s)?, at_s)));
        let leave = on_it(leave_at_s)
            .map(|(x, at_s)| ("leave", x, tr!("leave by {time}", time = clock(at_s))));
        let turn = on_it(turn_at_s)
            .map(|(x, at_s)| ("turn", x, tr!("turn back {time}", time = clock(at_s))));
        let lines: Vec<_> = leave.into_iter().chain(turn).collect();
        let wanted: Vec<_> = lines
            .iter()
            .map(|(_, x, words)| (*x, LETTER * words.chars().count() as f64))
            .collect();
        let places = flags(&wanted, chart.x(chart.to_s()) + 8.0);
        lines
            .into_iter()
            .zip(places)
            .map(|((class, x, words), flag)| {
                let y = (flag.row as f64 + 0.75) * row;
                let anchor = if flag.left { "end" } else { "start" };
                view! {
                    <line class=class x1=x y1=flag.row as f64 * row + 3.0 x2=x y2=bottom/>
                    <text x=flag.text_x y=y text-anchor=anchor>{words}</text>
                }
            })
            .collect_any()
    })
}
