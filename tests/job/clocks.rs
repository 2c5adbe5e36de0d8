//! Time on a job: work is counted, pauses and closed apps are not, and a clock
//! that misbehaves is told.

use lidoff_job::{EventKind, Irregularity, Job, OpenGap, PauseReason, RunId, Status, WaitStarted};

use lidoff_testkit::visit::{MINUTE, Visit, recorder, replace};

fn irregularities(job: &Job) -> Vec<Irregularity> {
    job.findings
        .iter()
        .map(|finding| finding.irregularity.clone())
        .collect()
}

/// The app is started anew, so many minutes after it was last heard of.
fn restart(visit: &mut Visit, after_min: i64) {
    visit.now.wall_ms += after_min * MINUTE;
    visit.now.mono_ms = 800;
    visit.now.run = RunId(visit.now.run.0 + 1);
    visit.now.hidden_ms = 0;
}

#[test]
fn a_step_takes_from_the_step_before_to_its_own_done() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_in_ms(3 * MINUTE);
    visit.do_in_ms(2 * MINUTE);
    let job = visit.job();
    let times: Vec<i64> = job.done.iter().map(|done| done.work_ms / MINUTE).collect();
    assert_eq!(times, [3, 2]);
    visit.pass_ms(MINUTE);
    assert_eq!(job.step_elapsed_ms(&visit.now), MINUTE);
    assert_eq!(job.elapsed_ms(&visit.now), 6 * MINUTE);
}

#[test]
fn a_pause_does_not_count_as_work_and_keeps_its_reason() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.pass_ms(MINUTE);
    let reason = PauseReason::CustomerNeedsUnit;
    visit.note(EventKind::Paused {
        part: None,
        reason,
        note: String::new(),
    });
    visit.pass_ms(10 * MINUTE);
    assert_eq!(visit.job().status, Status::Paused(reason));
    assert_eq!(visit.job().elapsed_ms(&visit.now), MINUTE);
    visit.note(EventKind::Resumed);
    visit.do_in_ms(MINUTE);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, 2 * MINUTE);
    assert!(
        job.done[0].is_reliable,
        "a pause that was entered leaves the time sure"
    );
    assert_eq!(
        (job.pauses[0].reason, job.pauses[0].ms),
        (reason, 10 * MINUTE)
    );
    assert_eq!(job.lasted_ms(&visit.now), 12 * MINUTE);
}

#[test]
fn a_pause_that_outlives_the_app_is_not_asked_about() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::Paused {
        reason: PauseReason::Break,
        part: None,
        note: String::new(),
    });
    restart(&mut visit, 45);
    assert_eq!(visit.job().gap_to_ask(None, &visit.now), None);
    visit.note(EventKind::Resumed);
    let job = visit.job();
    assert_eq!(job.pauses[0].ms, 45 * MINUTE);
    assert_eq!(job.findings, []);
}

#[test]
fn the_technician_is_asked_about_the_time_the_app_was_closed_during_a_step() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.pass_ms(10 * MINUTE);
    let alive = visit.now;
    restart(&mut visit, 30);
    let gap = visit.job().gap_to_ask(Some(&alive), &visit.now).unwrap();
    assert_eq!(gap.to_ms - gap.from_ms, 30 * MINUTE);
    let OpenGap { from_ms, to_ms } = gap;
    assert_eq!(
        visit.job().elapsed_ms(&visit.now),
        0,
        "nothing is counted unasked"
    );

    visit.note(EventKind::Gap {
        from_ms,
        to_ms,
        work_ms: 5 * MINUTE,
    });
    visit.do_in_ms(MINUTE);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, (10 + 5 + 1) * MINUTE);
    assert!(
        !job.done[0].is_reliable,
        "what somebody remembers is not learned from"
    );
    assert_eq!(job.findings, []);
}

#[test]
fn a_gap_without_an_answer_is_reported_and_not_counted() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.pass_ms(MINUTE);
    visit.note(EventKind::Note {
        text: "tight".into(),
        step: Some(1),
    });
    restart(&mut visit, 30);
    visit.note(EventKind::Note {
        text: "still tight".into(),
        step: None,
    });
    visit.do_in_ms(MINUTE);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, 2 * MINUTE);
    assert!(!job.done[0].is_reliable);
    assert_eq!(
        irregularities(&job),
        [Irregularity::GapUnanswered { ms: 30 * MINUTE }]
    );
}

#[test]
fn a_gap_that_is_answered_late_goes_to_the_step_that_it_was_in() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let from_ms = visit.now.wall_ms;
    restart(&mut visit, 30);
    let to_ms = visit.now.wall_ms;
    visit.do_in_ms(0);
    visit.do_in_ms(MINUTE);
    visit.note(EventKind::Gap {
        from_ms,
        to_ms,
        work_ms: 30 * MINUTE,
    });
    let job = visit.job();
    let times: Vec<i64> = job.done.iter().map(|done| done.work_ms / MINUTE).collect();
    assert_eq!(times, [30, 1]);
    assert_eq!(job.worked_ms, 31 * MINUTE);
}

#[test]
fn a_short_reload_asks_no_question() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.now.wall_ms += 20_000;
    restart(&mut visit, 0);
    assert_eq!(visit.job().gap_to_ask(None, &visit.now), None);
    visit.do_in_ms(10_000);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, 30_000);
    assert!(job.done[0].is_reliable);
}

#[test]
fn idle_time_in_a_long_sleep_can_be_subtracted() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let from_ms = visit.now.wall_ms;
    visit.now.wall_ms += 40 * MINUTE;
    visit.now.hidden_ms += 40 * MINUTE;
    let to_ms = visit.now.wall_ms;
    assert_eq!(
        visit.job().elapsed_ms(&visit.now),
        40 * MINUTE,
        "sleep is work until told otherwise"
    );
    visit.note(EventKind::Gap {
        from_ms,
        to_ms,
        work_ms: 15 * MINUTE,
    });
    assert_eq!(visit.job().elapsed_ms(&visit.now), 15 * MINUTE);
}

#[test]
fn a_clock_set_during_a_step_is_reported_and_the_working_time_is_right() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.now.wall_ms += 60 * MINUTE;
    visit.do_in_ms(2 * MINUTE);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, 2 * MINUTE);
    let by_ms = 60 * MINUTE;
    assert_eq!(irregularities(&job), [Irregularity::ClockChanged { by_ms }]);
    assert!(
        job.findings[0]
            .irregularity
            .to_string()
            .contains("forward by 60.0 min")
    );
}

#[test]
fn a_clock_that_ran_backwards_never_gives_negative_time() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    restart(&mut visit, -30);
    visit.do_in_ms(0);
    let job = visit.job();
    assert_eq!(job.done[0].work_ms, 0);
    assert!(!job.done[0].is_reliable);
    assert_eq!(irregularities(&job), [Irregularity::ClockRanBackwards]);
}

#[test]
fn time_after_the_last_step_belongs_to_no_step() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_all();
    let worked = visit.job().worked_ms;
    visit.pass_ms(4 * MINUTE);
    visit.note(EventKind::HandedOver {
        to: "the librarian".into(),
        note: String::new(),
    });
    let job = visit.job();
    assert_eq!(job.worked_ms - worked, 4 * MINUTE);
    assert_eq!(job.overhead_ms, 4 * MINUTE);
}

#[test]
fn a_wait_runs_on_while_the_work_is_paused() {
    // Demo unit: somewhere in it something must set, cool or discharge.
    let catalog = lidoff_testkit::visit::perch();
    let mut visit = Visit::begin(&catalog, &[replace("psu")]);
    let mut started = None;
    while let Some(next) = visit.job().next().cloned() {
        visit.do_one();
        let job = visit.job();
        let awaited = |wait: &WaitStarted| {
            let mut remaining = job.remaining.iter();
            remaining.any(|step| step.after_wait.as_ref() == Some(&wait.id))
        };
        started = next.starts_wait.filter(awaited);
        if started.is_some() {
            break;
        }
    }
    let wait = started.unwrap();
    let left = |visit: &Visit| {
        let place = lidoff_job::position(&visit.job(), &catalog, &visit.now).unwrap();
        place
            .now
            .waits
            .iter()
            .filter(|(at, _)| catalog.wait(*at).text == wait.text)
            .map(|(_, left)| *left)
            .collect::<Vec<_>>()
    };
    assert_eq!(left(&visit), [wait.seconds * 10]);
    visit.note(EventKind::Paused {
        reason: PauseReason::Break,
        part: None,
        note: String::new(),
    });
    visit.pass_ms(30_000);
    assert_eq!(left(&visit), [(wait.seconds - 30) * 10]);
    // It is for safety: no heartbeat was kept, so nobody measured that time has passed.
    restart(&mut visit, 120);
    assert_eq!(left(&visit), [wait.seconds * 10]);
    visit.note(EventKind::Resumed);
    visit.pass_ms(1000 * i64::from(wait.seconds));
    assert_eq!(left(&visit), [] as [u32; 0]);
}

/// The same job goes on on a second device, whose clock is ahead by so many minutes.
fn on_second_device<'a>(visit: &Visit<'a>, ahead_min: i64) -> Visit<'a> {
    let mut second = Visit {
        catalog: visit.catalog,
        log: visit.log.clone(),
        now: visit.now,
    };
    restart(&mut second, ahead_min);
    second.now.run = RunId(0xb0b);
    second
}

#[test]
fn a_job_that_goes_on_on_two_phones_does_not_blame_their_clocks() {
    let catalog = recorder();
    for ahead_min in [-2, 2, 30, -30] {
        let mut first = Visit::begin(&catalog, &[replace("board")]);
        first.do_in_ms(MINUTE);
        let mut second = on_second_device(&first, ahead_min);
        for visit in [&mut first, &mut second] {
            for _ in 0..3 {
                visit.pass_ms(20_000);
                visit.note(EventKind::Note {
                    text: "tight".into(),
                    step: None,
                });
            }
        }
        let mut merged = first.log.clone();
        assert_eq!(merged.merge(second.log), []);
        assert_eq!(merged.events().len(), 3 + 6);
        let job = lidoff_job::fold(&merged);
        assert_eq!(irregularities(&job), [], "{ahead_min} min ahead");
    }
}

#[test]
fn a_job_handed_to_a_phone_whose_clock_is_minutes_behind_does_not_blame_it() {
    let catalog = recorder();
    let mut first = Visit::begin(&catalog, &[replace("board")]);
    first.do_in_ms(MINUTE);
    let mut second = on_second_device(&first, -2);
    second.do_in_ms(20_000);
    let job = second.job();
    assert_eq!(irregularities(&job), []);
    assert_eq!(job.done[1].work_ms, 0);
    assert!(!job.done[1].is_reliable, "nobody knows how long it took");
}
