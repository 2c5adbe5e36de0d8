//! The forecast of a job, through its log: what counts as work, and what the
//! clocks may not do to it.

use lidoff_job::outlook::forecast;
use lidoff_job::{EventKind, Irregularity, PauseReason, RunId};

use lidoff_testkit::visit::{MINUTE, Visit, perch, recorder, replace};

/// Works through so many steps, each so many times as long as planned.
fn work(visit: &mut Visit, many: usize, pace: f64) {
    for step in visit.job().remaining.iter().take(many) {
        let waits_s = step.wait_s;
        let seconds = waits_s + (step.expected_s() - waits_s) * pace;
        visit.do_in_ms((seconds * 1000.0).round() as i64);
    }
}

#[test]
fn before_anything_is_done_the_forecast_is_the_plan_s_band() {
    let catalog = perch();
    let visit = Visit::begin(&catalog, &[replace("printer")]);
    let job = visit.job();
    let left = forecast(&job, &visit.now);
    let planned = job.plan.as_ref().expect("a plan").band;
    assert_eq!(left.learned_from, 0);
    assert!((left.band().p80_s - planned.p80_s).abs() < 0.06);
}

#[test]
fn a_slow_start_moves_the_finish_back() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("printer")]);
    let mut usual = Visit::begin(&catalog, &[replace("printer")]);
    work(&mut visit, 20, 1.5);
    work(&mut usual, 20, 1.0);
    let slow = forecast(&visit.job(), &visit.now);
    let calm = forecast(&usual.job(), &usual.now);
    assert!(slow.pace.median() > 1.2 && slow.pace.median() < 1.5);
    assert!(slow.at(0.8) > 1.15 * calm.at(0.8));
    assert!(slow.learned_from >= 15);
}

#[test]
fn pauses_closed_apps_and_clock_jumps_do_not_slow_the_pace() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    work(&mut visit, 3, 1.0);
    let calm = forecast(&visit.job(), &visit.now);

    let reason = PauseReason::CustomerNeedsUnit;
    visit.note(EventKind::Paused {
        part: None,
        reason,
        note: String::new(),
    });
    visit.pass_ms(40 * MINUTE);
    visit.note(EventKind::Resumed);
    let paused = forecast(&visit.job(), &visit.now);
    assert_eq!(calm, paused, "a pause");

    // The wall clock is set an hour forward in mid-step, and back again.
    visit.now.wall_ms += 60 * MINUTE;
    assert_eq!(forecast(&visit.job(), &visit.now).at(0.8), calm.at(0.8));
    work(&mut visit, 1, 1.0);
    visit.now.wall_ms -= 90 * MINUTE;
    work(&mut visit, 1, 1.0);
    let jumped = visit.job();
    assert_eq!(
        jumped
            .findings
            .iter()
            .map(|one| one.irregularity.clone())
            .collect::<Vec<_>>(),
        [
            Irregularity::ClockChanged { by_ms: 60 * MINUTE },
            Irregularity::ClockChanged {
                by_ms: -90 * MINUTE
            },
        ]
    );
    assert!((forecast(&jumped, &visit.now).pace.median() - 1.0).abs() < 0.1);

    // The app is closed for half an hour in mid-step.
    visit.now.run = RunId(2);
    visit.now.mono_ms = 700;
    visit.now.wall_ms += 30 * MINUTE;
    visit.do_in_ms(0);
    let closed = visit.job();
    assert!(!closed.done.last().expect("a step").is_reliable);
    assert!((forecast(&closed, &visit.now).pace.median() - 1.0).abs() < 0.1);
}

#[test]
fn a_wait_that_runs_is_as_long_for_a_slow_job() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("psu")]);
    while visit.job().next().expect("a step that waits").wait_s < 60.0 {
        work(&mut visit, 1, 2.0);
    }
    let job = visit.job();
    let wait_s = job.next().expect("it").wait_s;
    let left = forecast(&job, &visit.now);
    assert!(
        (left.left.fixed_s - wait_s).abs() < 1e-9,
        "nothing else waits"
    );
    assert!(left.pace.median() > 1.1);
    visit.pass_ms(30_000);
    let later = forecast(&visit.job(), &visit.now);
    assert!((later.left.fixed_s - (wait_s - 30.0)).abs() < 1e-9);
}

#[test]
fn clock_changes_during_a_step_are_reported_at_once() {
    let catalog = recorder();
    let visit = Visit::begin(&catalog, &[replace("board")]);
    let job = visit.job();
    let mut now = visit.now;
    now.wall_ms += 2 * MINUTE;
    now.mono_ms += 2 * MINUTE;
    assert_eq!(job.clock_irregularities(&now), []);
    // A screen that was drawn a moment before the event.
    let mut before = visit.now;
    before.wall_ms -= 700;
    before.mono_ms -= 700;
    assert_eq!(job.clock_irregularities(&before), []);
    let mut zone = now;
    zone.offset_min += 60;
    assert_eq!(
        job.clock_irregularities(&zone),
        [Irregularity::ZoneChanged { by_min: 60 }]
    );
    let mut set_back = now;
    set_back.wall_ms -= 30 * MINUTE;
    let by_ms = -30 * MINUTE;
    assert_eq!(
        job.clock_irregularities(&set_back),
        [Irregularity::ClockChanged { by_ms }]
    );
    let mut slept = now;
    slept.wall_ms += 12 * MINUTE;
    slept.hidden_ms += 13 * MINUTE;
    let ms = 12 * MINUTE;
    assert_eq!(
        job.clock_irregularities(&slept),
        [Irregularity::Slept { ms }]
    );
    assert_eq!(
        job.step_elapsed_ms(&slept),
        14 * MINUTE,
        "told, and counted"
    );
}

#[test]
fn time_asleep_can_be_subtracted_from_the_work() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.pass_ms(MINUTE);
    visit.now.wall_ms += 12 * MINUTE;
    visit.now.hidden_ms += 13 * MINUTE;
    visit.note(EventKind::Gap {
        from_ms: visit.now.wall_ms - 12 * MINUTE,
        to_ms: visit.now.wall_ms,
        work_ms: 0,
    });
    let job = visit.job();
    assert_eq!(job.step_elapsed_ms(&visit.now), MINUTE);
    let told: Vec<_> = job
        .findings
        .iter()
        .map(|one| one.irregularity.clone())
        .collect();
    assert_eq!(told, [Irregularity::Slept { ms: 12 * MINUTE }]);
}
