//! One visit, told in events: undoing, adding, dropping, answering, checking.

use lidoff_catalog::setup::Configuration;
use lidoff_job::{
    EventKind, Irregularity, Job, JobPhase, Outcome, Reason, Status, Taken, TaskProgress, TaskRef,
};

use lidoff_testkit::visit::{MINUTE, Visit, fitting, passing, perch, recorder, replace};

fn names(job: &Job) -> Vec<String> {
    job.remaining
        .iter()
        .map(|step| step.step.to_string())
        .collect()
}

#[test]
fn undoing_the_last_step_puts_it_back_in_front_with_its_time() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_in_ms(MINUTE);
    let before = visit.job();
    let done = visit.do_in_ms(2 * MINUTE);
    visit.pass_ms(MINUTE);
    visit.note(EventKind::Undone { event: done });
    let job = visit.job();
    assert_eq!(names(&job), names(&before));
    assert_eq!(job.step_elapsed_ms(&visit.now), 3 * MINUTE);
    visit.do_in_ms(MINUTE);
    assert_eq!(visit.job().done[1].work_ms, 4 * MINUTE);
}

#[test]
fn undo_and_redo_give_the_same_state() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w8");
    let done = visit.do_one();
    let before = visit.job();
    let undone = visit.note(EventKind::Undone { event: done });
    assert_ne!(visit.job().done, before.done);
    visit.note(EventKind::Undone { event: undone });
    let mut after = visit.job();
    after.head = before.head;
    assert_eq!(after, before);
}

#[test]
fn a_step_that_was_undone_after_a_new_plan_comes_first_again() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("w5");
    let last = visit.do_one();
    visit.plan(Reason::Other("again".into()));
    let planned = names(&visit.job());
    visit.note(EventKind::Undone { event: last });
    let job = visit.job();
    assert_eq!(job.next().unwrap().step.as_str(), "w5");
    assert_eq!(names(&job)[1..], planned[..]);
    let place = lidoff_job::position(&job, &catalog, &visit.now).unwrap();
    let in_hand = place.in_hand.unwrap();
    assert_eq!(
        in_hand.steps.len(),
        1,
        "the cover is in hand, its last step is left"
    );
}

#[test]
fn nothing_undoes_the_opening_of_a_job() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    let opened = visit.log.events()[0].id;
    visit.note(EventKind::Undone { event: opened });
    let job = visit.job();
    assert_eq!(job.status, Status::Running);
    assert_eq!(
        job.findings[0].irregularity,
        Irregularity::NothingToUndo { event: opened }
    );
}

#[test]
fn undoing_the_close_reopens_the_job_and_the_time_between_is_no_work() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_one();
    let worked = visit.job().worked_ms;
    let closed = visit.note(EventKind::Closed {
        outcome: Outcome::AnotherVisit,
        note: String::new(),
    });
    assert!(matches!(visit.job().status, Status::Closed { .. }));
    visit.pass_ms(90 * MINUTE);
    assert_eq!(
        visit.job().elapsed_ms(&visit.now),
        worked,
        "nobody works on a closed job"
    );
    visit.note(EventKind::Undone { event: closed });
    let job = visit.job();
    assert_eq!(job.status, Status::Running);
    assert_eq!(job.worked_ms, worked);
    visit.do_in_ms(MINUTE);
    assert_eq!(visit.job().worked_ms, worked + MINUTE);
}

#[test]
fn a_second_fault_joins_the_job_and_both_are_done() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("printer")]);
    while visit.job().next().unwrap().phase != JobPhase::Fit {
        visit.do_one();
    }
    visit.add(&replace("fan"));
    assert_eq!(visit.job().replan_due, None);
    visit.do_all();
    let job = visit.job();
    assert!(
        job.tasks
            .iter()
            .all(|task| task.state == TaskProgress::Done)
    );
    assert_eq!(job.plans.len(), 2);
    assert_eq!(job.findings, []);
}

#[test]
fn a_new_task_needs_a_new_plan() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::TaskDropped(replace("board")));
    // The app is closed here, before the new plan is made.
    assert_eq!(visit.job().replan_due, Some(Reason::TaskDropped));
}

#[test]
fn a_task_that_is_dropped_is_not_proven() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::TaskDropped(TaskRef::Replace("board".into())));
    visit.plan(Reason::TaskDropped);
    assert!(!names(&visit.job()).contains(&"p1".to_owned()));
    assert_eq!(visit.job().open_tasks().count(), 0);
}

#[test]
fn only_an_answer_that_differs_from_the_plan_needs_a_new_plan() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    let question = || "board-storage".into();
    visit.note(EventKind::Answered {
        question: question(),
        answer: "empty".into(),
    });
    assert_eq!(visit.job().replan_due, None, "it was assumed so");
    visit.note(EventKind::Answered {
        question: question(),
        answer: "own".into(),
    });
    assert_eq!(visit.job().replan_due, Some(Reason::Answered));
    let before = visit.job().left_s();
    visit.plan(Reason::Answered);
    let job = visit.job();
    assert_eq!(job.replan_due, None);
    assert_ne!(job.left_s(), before, "the storage module need not be moved");
    let plan = job.plan.unwrap();
    let rests = plan
        .rests_on
        .iter()
        .find(|one| one.question.as_str() == "board-storage")
        .unwrap();
    assert!(rests.given && rests.answer.as_str() == "own");
}

#[test]
fn a_check_passes_within_its_limits_and_the_last_reading_governs() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("p2");
    visit.read(Taken::Seen(false));
    assert_eq!(visit.job().failed().count(), 1);
    visit.read(Taken::Seen(true));
    assert_eq!(visit.job().failed().count(), 0);
    visit.do_up_to("p1");
    assert!(visit.job().demands().read);
    visit.read(Taken::Value(0.7));
    let failed: Vec<u32> = visit.job().failed().map(|one| one.step).collect();
    assert_eq!(failed.len(), 1, "0.7 kPa at rest is too much");
    assert!(visit.job().demands().read, "it was read, and failed");
    visit.read(Taken::Value(-0.5));
    assert_eq!(visit.job().failed().count(), 0, "a limit is within");
}

#[test]
fn a_step_cannot_be_done_before_its_hazards_and_its_confirmation_are_ticked() {
    let catalog = perch();
    let mut visit = Visit::begin_on(&catalog, Configuration::usual(&catalog), &[replace("psu")]);
    let mut heeded = 0;
    let mut confirmed = 0;
    while let Some(next) = visit.job().next().cloned() {
        let demands = visit.job().demands();
        for hazard in demands.heed {
            heeded += 1;
            visit.note(EventKind::Heeded {
                hazard,
                step: next.number,
            });
        }
        for record in &next.records {
            visit.note(EventKind::Recorded {
                step: next.number,
                record: record.id.clone(),
                value: fitting(record),
            });
        }
        if demands.confirm {
            confirmed += 1;
            visit.note(EventKind::Confirmed { step: next.number });
        }
        if demands.read {
            visit.read(passing(next.reading.as_ref().unwrap()));
        }
        if let Some(question) = demands.answer {
            let rests = visit.job().plan.unwrap().rests_on;
            let answer = rests
                .into_iter()
                .find(|one| one.question == question)
                .unwrap()
                .answer;
            visit.note(EventKind::Answered { question, answer });
        }
        assert!(visit.job().demands().is_met());
        visit.do_one();
    }
    assert!(
        heeded > 0 && confirmed > 0,
        "{heeded} hazards, {confirmed} confirmations"
    );
    assert_eq!(
        visit.job().replan_due,
        None,
        "every question was answered as assumed"
    );
}

#[test]
fn a_step_marked_done_twice_or_out_of_order_is_reported() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.note(EventKind::Done { step: 2 });
    visit.note(EventKind::Done { step: 2 });
    visit.note(EventKind::Done { step: 999 });
    let job = visit.job();
    let irregularities: Vec<Irregularity> = job
        .findings
        .iter()
        .map(|one| one.irregularity.clone())
        .collect();
    assert_eq!(
        irregularities,
        [
            Irregularity::OutOfOrder { step: 2 },
            Irregularity::DoneTwice { step: 2 },
            Irregularity::NoSuchStep { step: 999 }
        ]
    );
    assert_eq!(
        job.next().unwrap().number,
        1,
        "what was skipped is still in front"
    );
}

#[test]
fn the_leave_by_time_can_change() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    assert_eq!(visit.job().leave_by_ms, None);
    visit.note(EventKind::LeaveBy { at_ms: Some(99) });
    assert_eq!(visit.job().leave_by_ms, Some(99));
}
