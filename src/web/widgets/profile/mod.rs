//! The depth profile as a picture: time to the right, depth downward; done and
//! remaining steps, planned and actual; when to leave and when to turn back. If the job
//! is on this device, a tap shows the step at that point.

mod card;
mod description;
mod marks;

use std::fmt::Write;

use leptos::prelude::*;
use leptos::wasm_bindgen::JsCast;
use lidoff_i18n::tr;
use web_sys::Element;

pub use self::card::ShowReason;
use self::card::StepCard;
use self::description::describe_profile;
use self::marks::Marks;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use lidoff_app_core::depth::{Chart, Profile};
use lidoff_app_core::display::format_duration;
use lidoff_app_core::planning::profile;

const LEFT: f64 = 8.0;
const WIDTH: f64 = 320.0;
/// Width of the whole drawing.
const SHEET: f64 = WIDTH + 2.0 * LEFT;
/// Height of a row of labels.
const ROW: f64 = 20.0;

/// The picture of an open job, redrawn when its profile changes.
#[component]
pub fn JobProfile(
    job: OpenJob,
    /// The turn-back time, s from the left edge. Where it is given, the time to leave is
    /// drawn as well.
    #[prop(optional)]
    turn_at_s: Option<Slice<Option<f64>>>,
    /// Shows on the card why its step is in the plan.
    #[prop(optional)]
    why: Option<ShowReason>,
    /// Whether to draw a low picture, for a screen with more content.
    #[prop(optional)]
    low: bool,
) -> impl IntoView {
    let app = app();
    let drawn = job.slice(|job| (profile(job), job.leave_by_ms));
    rebuilt(move || {
        let (profile, leave_by_ms) = drawn.get();
        let now_ms = app.now.get_untracked().wall_ms;
        let leave_at_s = leave_by_ms
            .filter(|_| turn_at_s.is_some())
            .map(|at_ms| profile.done_s() + (at_ms - now_ms) as f64 / 1000.0);
        let card = Some((job, why));
        ProfilePicture(ProfilePictureProps {
            profile,
            leave_at_s,
            turn_at_s,
            card,
            low,
        })
    })
}

/// The picture, with its text equivalent.
#[component]
pub fn ProfilePicture(
    profile: Profile,
    /// When the technician must leave, s from the left edge.
    leave_at_s: Option<f64>,
    /// The turn-back time, s from the left edge; it may come after the picture is
    /// there.
    #[prop(optional)]
    turn_at_s: Option<Slice<Option<f64>>>,
    /// The job that it is of, and how to say why a step is in its plan; without a job
    /// the picture cannot be tapped.
    #[prop(optional)]
    card: Option<(OpenJob, Option<ShowReason>)>,
    /// Whether to draw a low picture, for a screen with more content.
    #[prop(optional)]
    low: bool,
) -> impl IntoView {
    // A row above the surface for each label of a line that there may be.
    let on_chart = Chart::new(&profile, (LEFT, 0.0), (WIDTH, 1.0), leave_at_s);
    let has_leave = leave_at_s.and_then(|at_s| on_chart.place(at_s)).is_some();
    let may_turn = leave_at_s.is_some() && turn_at_s.is_some();
    let rows = match (has_leave, may_turn) {
        (false, false) => 0.5,
        (true, true) => 2.0,
        _ => 1.0,
    };
    let top = rows * ROW;
    let deep = if low { 34.0 } else { 120.0 };
    let bottom = top + deep + 8.0;
    let chart = Chart::new(&profile, (LEFT, top), (WIDTH, deep), leave_at_s);
    let done_s = profile.done_s();
    let now_x = chart.x(done_s);
    let now_y = chart.y(profile.depth_now());
    let begun = done_s > 0.0;
    let area = path(&profile.outline(&chart), true);
    let planned = profile.planned_outline(&chart);
    let differs = (profile.planned_done_s() - done_s).abs() > 0.02 * profile.total_s;
    let planned = (begun && differs && !low).then(|| path(&planned, false));
    let has_planned = planned.is_some();
    let waits = profile
        .waits(&chart)
        .into_iter()
        .map(|(from, till, y)| {
            view! { <rect class="wait" x=from y=top width=(till - from).max(2.0) height=(y - top).max(6.0)/> }
        })
        .collect_any();
    let has_waits = !waits.is_empty();
    let floors = match low {
        true => Vec::new(),
        false => profile.floor_names(&chart),
    };
    let (deepest, total_s) = (profile.deepest, profile.total_s);
    let described = profile.clone();
    let label = move || describe_profile(&described, leave_at_s, turn_at_s.and_then(|at| at.get()));
    let picked = RwSignal::new(None::<usize>);
    let spans = profile.spans.clone();
    let picked_x = move || {
        let span = spans.get(picked.get()?)?;
        Some((chart.x(span.from_s), chart.x(span.to_s)))
    };
    let tapped = StoredValue::new(profile.clone());
    let can_pick = card.is_some();
    let pick = move |event: web_sys::MouseEvent| {
        if !can_pick {
            return;
        }
        let Some(picture) = event.current_target() else {
            return;
        };
        let seen = picture
            .unchecked_into::<Element>()
            .get_bounding_client_rect();
        let x = SHEET * (f64::from(event.client_x()) - seen.left()) / seen.width().max(1.0);
        picked.set(tapped.with_value(|profile| profile.nearest(chart.seconds(x))));
    };
    // Ids must be unique on a page, and several pictures may be on it.
    let clip = format!("done-{:.0}-{top:.0}-{deep:.0}", now_x * 10.0);
    let clipped = format!("url(#{clip})");
    view! {
        <figure class="profile" class:low=low>
            <svg viewBox=format!("0 0 {SHEET} {bottom}") role="img" aria-label=label class:tapped=can_pick on:click=pick>
                <clipPath id=clip><rect x="0" y="0" width=now_x height=bottom/></clipPath>
                <path class="water" d=area.clone()/>
                <path class="dived" d=area clip-path=clipped/>
                {waits}
                {rebuilt(move || picked_x().map(|(from, till)| view! {
                    <rect class="picked" x=from - 2.0 y=top width=till - from + 4.0 height=deep + 4.0/>
                }))}
                <line class="surface" x1="0" y1=top x2=SHEET y2=top/>
                <path class="line" d=path(&profile.outline(&chart), false)/>
                {planned.map(|planned| view! { <path class="planned" d=planned/> })}
                {floors.into_iter().map(|(y, name)| {
                    // Above its line; that of the surface has the labels of times there.
                    let name_y = if y > top { y - 4.0 } else { y + 15.0 };
                    view! {
                        {(y > top).then(|| view! { <line class="floor" x1=LEFT y1=y x2=SHEET - LEFT y2=y/> })}
                        <text class="floor-name" x=LEFT y=name_y>{name}</text>
                    }
                }).collect_any()}
                <Marks chart leave_at_s turn_at_s done_s bottom row=ROW/>
                {begun.then(|| view! {
                    <line class="now" x1=now_x y1=top x2=now_x y2=now_y/>
                    <circle class="buoy" cx=now_x cy=now_y r="6"/>
                })}
            </svg>
            // The picture's own label says all of this.
            {(!low).then(|| view! {
                <figcaption class="row apart" aria-hidden="true">
                    <span>{tr!("deepest: one part" | "deepest: {n} parts" % deepest)}</span>
                    <span>{tr!("total {time}", time = format_duration(total_s))}</span>
                </figcaption>
            })}
            {(has_planned || (has_waits && !low)).then(|| view! {
                <figcaption class="key" aria-hidden="true">
                    {has_planned.then(|| view! {
                        <span><svg viewBox="0 0 28 10"><path class="planned" d="M0 5H28"/></svg>{tr!("planned")}</span>
                        <span><svg viewBox="0 0 28 10"><path class="line" d="M0 5H28"/></svg>{tr!("actual")}</span>
                    })}
                    {has_waits.then(|| view! {
                        <span><svg viewBox="0 0 28 10"><rect class="wait" width="28" height="10"/></svg>{tr!("waiting")}</span>
                    })}
                </figcaption>
            })}
            {card.map(|(job, why)| view! { <StepCard job picked low why/> })}
        </figure>
    }
}

fn path(corners: &[(f64, f64)], closed: bool) -> String {
    let mut path = String::new();
    for (at, (x, y)) in corners.iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        // Writing to a string cannot fail.
        let _never = write!(path, "{letter}{x:.1} {y:.1}");
    }
    if closed {
        path.push('Z');
    }
    path
}
