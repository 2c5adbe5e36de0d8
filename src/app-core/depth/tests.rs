use serde_json::json;

use lidoff_job::PlannedStep;

use super::*;

/// A step that should take so many seconds, of them so many of waiting, and
/// completes these operations.
fn step(number: u32, seconds: f64, wait_s: f64, completes: serde_json::Value) -> PlannedStep {
    serde_json::from_value(json!({
        "number": number, "step": format!("s{number}"), "phase": "strip-down", "nth": 1, "of": 1,
        "action": "Do it", "work_s": seconds - wait_s, "cv": 0.3, "wait_s": wait_s,
        "completes": completes,
    }))
    .expect("a step")
}

/// The cover comes off in 60 s (of 40 planned); the swap takes 100; glue sets for
/// 50; the cover goes back in 50.
fn job() -> Profile {
    let off = step(
        1,
        40.0,
        0.0,
        json!([{ "take-off": { "part": "cover", "way": "in-place" } }]),
    );
    let swap = step(2, 100.0, 0.0, json!([]));
    let back = step(
        3,
        100.0,
        50.0,
        json!([{ "put-back": { "part": "cover", "way": "in-place" } }]),
    );
    Profile::new([
        (&off, 60.0, true),
        (&swap, 100.0, false),
        (&back, 100.0, false),
    ])
}

fn chart(profile: &Profile, leave_at_s: Option<f64>) -> Chart {
    Chart::new(profile, (10.0, 20.0), (260.0, 100.0), leave_at_s)
}

#[test]
fn it_goes_down_when_a_part_is_off_and_comes_up_at_the_end() {
    let profile = job();
    assert_eq!((profile.total_s, profile.deepest), (260.0, 1));
    let line = profile.outline(&chart(&profile, None));
    assert_eq!(
        line,
        [
            (10.0, 20.0),
            (10.0, 20.0),
            (70.0, 20.0),
            (70.0, 120.0),
            (170.0, 120.0),
            (170.0, 120.0),
            (270.0, 120.0),
            (270.0, 20.0),
        ]
    );
}

#[test]
fn what_is_done_is_drawn_as_planned_too_and_ends_at_the_depth_now() {
    let profile = job();
    let planned = profile.planned_outline(&chart(&profile, None));
    // 40 s and not 60.
    assert_eq!(planned.last(), Some(&(50.0, 120.0)));
    assert_eq!((profile.done_s(), profile.planned_done_s()), (60.0, 40.0));
    let fresh = Profile::new([(&step(1, 40.0, 0.0, json!([])), 40.0, false)]);
    assert!(fresh.planned_outline(&chart(&fresh, None)).is_empty());
}

#[test]
fn waiting_lies_before_the_work_of_its_step_and_only_while_it_is_to_come() {
    let profile = job();
    assert_eq!(
        profile.waits(&chart(&profile, None)),
        [(170.0, 220.0, 120.0)]
    );
    let waited = Profile::new([(&step(1, 80.0, 50.0, json!([])), 80.0, true)]);
    assert!(waited.waits(&chart(&waited, None)).is_empty());
}

#[test]
fn a_finger_beside_a_narrow_step_hits_the_nearest_one() {
    let narrow = Profile::new([
        (&step(1, 100.0, 0.0, json!([])), 100.0, true),
        (&step(2, 1.0, 0.0, json!([])), 1.0, false),
        (&step(3, 100.0, 0.0, json!([])), 100.0, false),
    ]);
    assert_eq!(narrow.nearest(100.5), Some(1));
    assert_eq!(narrow.nearest(-20.0), Some(0));
    assert_eq!(narrow.nearest(1e9), Some(2));
    assert_eq!(Profile::default().nearest(3.0), None);
}

#[test]
fn a_tap_reads_back_the_time_that_was_drawn_there() {
    let profile = job();
    let sheet = chart(&profile, Some(300.0));
    for seconds in [0.0, 12.5, 260.0, 300.0] {
        assert!((sheet.seconds(sheet.x(seconds)) - seconds).abs() < 1e-9);
    }
    assert_eq!(sheet.seconds(-50.0), 0.0);
}

#[test]
fn the_sheet_reaches_a_leave_by_that_is_near_and_leaves_out_one_that_is_far() {
    let profile = job();
    let near = chart(&profile, Some(300.0));
    assert_eq!(near.to_s(), 300.0);
    assert_eq!(near.place(300.0), Some(270.0));
    let far = chart(&profile, Some(5_000.0));
    assert_eq!(far.to_s(), 260.0);
    assert_eq!(far.place(5_000.0), None);
    assert_eq!(far.place(-1.0), None);
}

#[test]
fn words_by_two_lines_never_run_into_each_other() {
    // Apart: one row. Close: two. Near the edge: to the left of the line.
    let apart = flags(&[(20.0, 80.0), (200.0, 80.0)], 320.0);
    assert_eq!(
        apart.iter().map(|flag| flag.row).collect::<Vec<_>>(),
        [0, 0]
    );
    let close = flags(&[(20.0, 80.0), (60.0, 80.0)], 320.0);
    assert_eq!(
        close.iter().map(|flag| flag.row).collect::<Vec<_>>(),
        [0, 1]
    );
    let edge = flags(&[(300.0, 80.0)], 320.0);
    assert!(edge[0].left);
    assert_eq!(edge[0].text_x, 296.0);
}

#[test]
fn an_empty_job_is_a_flat_line() {
    let nothing = Profile::default();
    let line = nothing.outline(&chart(&nothing, None));
    assert!(line.iter().all(|(_, y)| *y == 20.0));
    assert_eq!(nothing.here(), None);
    assert_eq!(nothing.depth_now(), 0);
}

#[test]
fn a_floor_is_named_after_the_part_that_was_opened_there_first() {
    let opens = |number: u32, part: &str, op: serde_json::Value| {
        let mut step = step(number, 10.0, 0.0, json!([op]));
        step.about = Some(part.to_owned());
        step
    };
    let steps = [
        opens(1, "Door", json!({ "ease": "door" })),
        opens(
            2,
            "Fan",
            json!({ "take-off": { "part": "fan", "way": "in-place" } }),
        ),
        opens(
            3,
            "Fan",
            json!({ "put-back": { "part": "fan", "way": "in-place" } }),
        ),
        opens(
            4,
            "Filter",
            json!({ "take-off": { "part": "filter", "way": "in-place" } }),
        ),
    ];
    let profile = Profile::new(steps.iter().map(|step| (step, 10.0, false)));
    let names = |high: f64| {
        let chart = Chart::new(&profile, (0.0, 20.0), (300.0, high), None);
        profile.floor_names(&chart)
    };
    let name = |y: f64, name: &str| (y, name.to_owned());
    assert_eq!(
        names(100.0),
        [
            name(20.0, "closed"),
            name(120.0, "Fan off"),
            name(70.0, "Door open")
        ]
    );
    // The surface and the deepest floor are named first.
    assert_eq!(names(40.0), [name(20.0, "closed"), name(60.0, "Fan off")]);
}
