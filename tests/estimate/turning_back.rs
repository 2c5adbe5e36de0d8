//! Turning back: when, what it makes the plan, and what the next visit knows.

use lidoff_estimate::turn_back::Nearness;
use lidoff_estimate::{Pace, Sum, normal};
use lidoff_job::outlook::{sum, turn_back};
use lidoff_job::{
    EventKind, JobPhase, NamedTask, Outcome, Reason, Status, TaskProgress, closing_up, from_json,
    position, tally, to_json,
};
use lidoff_planner::progress::{RunToEnd, block_on};
use lidoff_planner::{Limits, plan};

use lidoff_testkit::visit::{MINUTE, Visit, perch, replace};

fn closing(visit: &Visit) -> Sum {
    let place = closing_up(&visit.job(), visit.catalog, &visit.now).expect("a place");
    let found = plan(&place.request(visit.catalog, Limits::default()));
    sum(&place
        .snapshot(visit.catalog, &found.expect("a way to close up"))
        .steps)
}

fn leave_in(visit: &mut Visit, minutes: i64) -> i64 {
    let at_ms = visit.now.wall_ms + minutes * MINUTE;
    visit.note(EventKind::LeaveBy { at_ms: Some(at_ms) });
    at_ms
}

#[test]
fn the_turn_back_time_is_leave_by_less_the_p80_of_closing_up() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    assert_eq!(
        turn_back(&visit.job(), closing(&visit)),
        None,
        "nobody must leave"
    );
    let leave_by_ms = leave_in(&mut visit, 90);
    let close_up = closing(&visit);
    let it = turn_back(&visit.job(), close_up).expect("a turn-back time");
    let needs_s = close_up.at(Pace::UNKNOWN, normal::quantile(0.8));
    assert!((leave_by_ms - it.at_ms - (needs_s * 1000.0) as i64).abs() <= 1);
    assert!((it.close_up.p80_s - needs_s).abs() < 1e-9);
}

#[test]
fn every_part_that_comes_off_brings_the_turn_back_time_forward() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    leave_in(&mut visit, 90);
    let at = |visit: &Visit| turn_back(&visit.job(), closing(visit)).expect("one").at_ms;
    let outside = at(&visit);
    while visit.job().next().expect("a step").phase != JobPhase::Fit {
        visit.do_one();
    }
    assert!(at(&visit) < outside - MINUTE);
}

#[test]
fn the_turn_back_time_warns_passes_and_ends_with_the_last_task() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    leave_in(&mut visit, 45);
    let near = |visit: &Visit, later_min: i64| {
        let it = turn_back(&visit.job(), closing(visit)).expect("one");
        it.nearness(visit.now.wall_ms + later_min * MINUTE, 30.0)
    };
    assert_eq!(near(&visit, 0), Nearness::Ample);
    assert_eq!(near(&visit, 45), Nearness::Passed);
    let soon = (0..45).filter(|later| near(&visit, *later) == Nearness::Soon);
    assert!((4..=6).contains(&soon.count()), "about five minutes");
    while visit.job().open_tasks().next().is_some() {
        visit.do_one();
    }
    assert_eq!(turn_back(&visit.job(), closing(&visit)), None);
}

#[test]
fn turning_back_plans_closing_up_and_leaves_the_task_for_the_next_visit() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    while visit.job().next().expect("a step").phase != JobPhase::Fit {
        visit.do_one();
    }
    visit.note(EventKind::TurnedBack);
    assert_eq!(visit.job().replan_due, Some(Reason::ClosingUp));
    visit.plan(Reason::ClosingUp);
    let job = visit.job();
    assert_eq!(job.tasks[0].state, TaskProgress::LeftOpen);
    assert_eq!(job.open_tasks().count(), 0);
    assert!(job.remaining.iter().all(|step| step.phase != JobPhase::Fit));

    // Another plan, for whatever reason, does not take the task up again.
    visit.do_one();
    visit.plan(Reason::Other("looked again".into()));
    visit.do_all();
    let job = visit.job();
    let place = position(&job, &catalog, &visit.now).expect("a place");
    assert!(place.now.is_closed());
    assert_eq!(tally(&job).unaccounted(), []);
    visit.note(EventKind::Closed {
        outcome: Outcome::AnotherVisit,
        note: String::new(),
    });

    // The document carries it.
    let (log, aside) = from_json(&to_json(&visit.log)).expect("a document");
    assert!(aside.is_empty());
    let read = lidoff_job::fold(&log);
    assert!(matches!(read.status, Status::Closed { .. }));
    let left: Vec<String> = read.left_for_next().map(NamedTask::describe).collect();
    assert_eq!(left.len(), 1);
    assert!(left[0].starts_with("Replace: "), "{left:?}");
    let report = lidoff_report::exchange::report::report(&read);
    assert!(report.contains("left for the next visit"), "{report}");
}

#[test]
fn a_swap_that_was_begun_is_finished_and_counts_as_done() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen"), replace("printer")]);
    loop {
        let job = visit.job();
        let next = job.next().expect("a swap");
        if matches!(next.op, Some(lidoff_job::OpRef::Swap(_))) && next.of > 1 {
            break;
        }
        visit.do_one();
    }
    visit.do_one();
    visit.note(EventKind::TurnedBack);
    visit.plan(Reason::ClosingUp);
    visit.do_all();
    let job = visit.job();
    let states: Vec<TaskProgress> = job.tasks.iter().map(|one| one.state).collect();
    assert!(states.contains(&TaskProgress::Done), "the one in hand");
    assert!(states.contains(&TaskProgress::LeftOpen), "the other one");
}

#[test]
fn a_task_left_open_can_be_resumed() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    visit.do_one();
    visit.note(EventKind::TurnedBack);
    visit.plan(Reason::ClosingUp);
    visit.add(&replace("screen"));
    let job = visit.job();
    assert_eq!(job.tasks.len(), 1);
    assert_eq!(job.tasks[0].state, TaskProgress::Open);
    visit.do_all();
    assert_eq!(visit.job().tasks[0].state, TaskProgress::Done);
}

#[test]
fn a_job_that_is_closed_with_a_task_open_leaves_it_to_the_next_visit() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    assert_eq!(
        visit.job().left_for_next().count(),
        0,
        "it is still being done"
    );
    visit.note(EventKind::Closed {
        outcome: Outcome::CalledOff,
        note: String::new(),
    });
    assert_eq!(visit.job().left_for_next().count(), 1);
}

#[test]
fn open_tasks_of_a_visit_are_offered_until_another_visit_takes_them() {
    use lidoff_app_core::outlook::left_open;
    use std::sync::Arc;

    let catalog = perch();
    let mut first = Visit::begin_as(&catalog, 1, &[replace("screen"), replace("printer")]);
    let running = [Arc::new(first.log.clone())];
    assert!(left_open(&running, "perch-22").is_empty(), "it still runs");
    first.note(EventKind::Closed {
        outcome: Outcome::AnotherVisit,
        note: String::new(),
    });
    let closed = Arc::new(first.log.clone());
    let left = left_open(std::slice::from_ref(&closed), "perch-22");
    assert_eq!((left.len(), left[0].tasks.len()), (1, 2));
    assert_eq!(left[0].opened.reference, "TM-0001");
    assert!(left_open(std::slice::from_ref(&closed), "sorrel-14").is_empty());

    let mut opened = left[0].opened.clone();
    opened.follows = Some(left[0].id.clone());
    let mut next = lidoff_job::Log::new(lidoff_job::JobId("next".into()));
    let event = next.draft(first.now, EventKind::Opened(opened));
    next.append(event).expect("an empty log");
    assert!(left_open(&[closed, Arc::new(next)], "perch-22").is_empty());
}

#[test]
fn the_screen_says_when_to_turn_back_and_whether_it_is_needed() {
    use lidoff_app_core::display::format_time_of_day;
    use lidoff_app_core::outlook::{close_up, describe_outlook};

    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    let said = |visit: &Visit| {
        let job = visit.job();
        let sum = block_on(close_up(&job, &catalog, &visit.now, &mut RunToEnd))
            .expect("a way to close up");
        describe_outlook(&job, Some(sum), &visit.now, |ms| format_time_of_day(ms, 0))
    };
    assert_eq!(said(&visit).turn_back, "", "nobody has to leave");
    assert!(said(&visit).sure.contains("not known yet"));
    leave_in(&mut visit, 600);
    let calm = said(&visit);
    assert!(
        calm.turn_back.contains("If something goes wrong"),
        "{}",
        calm.turn_back
    );
    assert_eq!(calm.nearness, Nearness::Ample);
    for _ in 0..12 {
        visit.do_one();
    }
    assert!(said(&visit).sure.contains("× the estimate"));
    leave_in(&mut visit, 2);
    let late = said(&visit);
    assert!(late.turn_back.contains("has passed"), "{}", late.turn_back);
    assert_eq!(late.nearness, Nearness::Passed);
}
