//! The depth profile as a picture: time to the right, depth downward.

use std::fmt::Write;

use leptos::prelude::*;

use crate::app::depth::Profile;
use crate::app::words::{about, count};

const WIDTH: f64 = 320.0;
const HEIGHT: f64 = 96.0;
const LEFT: f64 = 8.0;
const TOP: f64 = 20.0;

/// The picture, with its text equivalent. `leave_at_s` is when the technician
/// must leave, `turn_at_s` the turn-back time from here, s from the left edge.
#[component]
pub fn ProfilePicture(
    profile: Profile,
    leave_at_s: Option<f64>,
    #[prop(optional_no_strip)] turn_at_s: Option<f64>,
) -> impl IntoView {
    let corners = profile.corners(WIDTH, HEIGHT);
    let done_s = profile.done_s();
    let now_x = LEFT + WIDTH * done_s / profile.total_s.max(1.0);
    let begun = profile.spans.iter().any(|span| span.done);
    let depth_now = profile
        .spans
        .iter()
        .find(|span| !span.done)
        .map_or(0, |span| span.depth);
    let now_y = TOP + HEIGHT * depth_now as f64 / profile.deepest.max(1) as f64;
    let place = |at: f64| {
        let here = (0.0..=profile.total_s).contains(&at);
        here.then(|| LEFT + WIDTH * at / profile.total_s.max(1.0))
    };
    let leave_x = leave_at_s.and_then(place);
    let turn_x = turn_at_s.and_then(place);
    let key = match (leave_x, turn_x) {
        (Some(_), Some(_)) => "Dashed: leave by. Flag: turn back.",
        (Some(_), None) => "Dashed: leave by.",
        (None, Some(_)) => "Flag: turn back.",
        (None, None) => "",
    };
    let area = path(&corners, true);
    let words = words(&profile, leave_at_s, turn_at_s);
    let clip = format!("{now_x:.1}");
    view! {
        <figure class="profile">
            <svg viewBox="0 0 336 124" role="img" aria-label=words.clone()>
                <clipPath id="done-so-far"><rect x="0" y="0" width=clip height="124"/></clipPath>
                <path class="water" d=area.clone()/>
                <path class="dived" d=area clip-path="url(#done-so-far)"/>
                <line class="surface" x1="0" y1=TOP x2="336" y2=TOP/>
                <path class="line" d=path(&corners, false)/>
                {leave_x.map(|x| view! {
                    <line class="leave" x1=x y1="2" x2=x y2="122"/>
                })}
                {turn_x.map(|x| view! {
                    <path class="turn" d=format!("M{x:.1} 122V3l-14 6 14 6")/>
                })}
                {begun.then(|| view! {
                    <line class="now" x1=now_x y1=TOP x2=now_x y2=now_y/>
                    <circle class="buoy" cx=now_x cy=now_y r="6"/>
                })}
            </svg>
            // The picture's own label says all of this.
            <figcaption class="row apart" aria-hidden="true">
                <span>"0"</span>
                <span>{format!("deepest: {}", count(profile.deepest, "part", "parts"))}</span>
                <span>{about(profile.total_s)}</span>
            </figcaption>
            {(!key.is_empty()).then(|| view! { <figcaption aria-hidden="true">{key}</figcaption> })}
        </figure>
    }
}

fn path(corners: &[(f64, f64)], closed: bool) -> String {
    let mut path = String::new();
    for (at, (x, y)) in corners.iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _never = write!(path, "{letter}{:.1} {:.1}", LEFT + x, TOP + y);
    }
    if closed {
        path.push('Z');
    }
    path
}

fn words(profile: &Profile, leave_at_s: Option<f64>, turn_at_s: Option<f64>) -> String {
    let done = profile.spans.iter().filter(|span| span.done).count();
    let mut words = format!(
        "Depth profile. {} in {}, {} at the deepest.",
        count(profile.spans.len(), "step", "steps"),
        about(profile.total_s),
        count(profile.deepest, "part open", "parts open"),
    );
    if done > 0 {
        let now = profile
            .spans
            .iter()
            .find(|span| !span.done)
            .map_or(0, |span| span.depth);
        let _never = write!(
            words,
            " {done} done, {} open now.",
            count(now, "part", "parts")
        );
    }
    match leave_at_s {
        Some(at) if at > profile.total_s => {
            let _never = write!(
                words,
                " {} to spare before you must leave.",
                about(at - profile.total_s)
            );
        }
        Some(at) => {
            let _never = write!(
                words,
                " {} short of the time when you must leave.",
                about(profile.total_s - at)
            );
        }
        None => {}
    }
    if let Some(at) = turn_at_s {
        let left_s = at - profile.done_s();
        let _never = if left_s > 0.0 {
            write!(words, " The turn-back time is in {}.", about(left_s))
        } else {
            write!(words, " The turn-back time has passed.")
        };
    }
    words
}
