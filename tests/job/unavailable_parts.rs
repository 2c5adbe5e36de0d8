//! The new part is missing, or the wrong one was brought; a check fails.

use lidoff_job::{
    EventKind, JobPhase, Lack, NamedTask, OpRef, Reason, Taken, TaskProgress, TaskRef, Unaccounted,
    UnavailablePart, tally,
};
use lidoff_report::exchange::report::report;

use lidoff_testkit::visit::{Visit, perch, recorder, replace, sorrel};

fn lacks(visit: &mut Visit, task: &TaskRef, lack: Lack) {
    let task = NamedTask::new(visit.catalog, task.find(visit.catalog).unwrap());
    let said = task.task.clone();
    visit.note(EventKind::PartUnavailable(UnavailablePart { task, lack }));
    visit.note(EventKind::TaskLeft(said));
    visit.plan(Reason::PartUnavailable);
}

#[test]
fn with_the_wrong_part_the_unit_is_closed_with_the_old_one() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("s1");
    lacks(&mut visit, &replace("board"), Lack::Wrong);
    let job = visit.job();
    assert!(job.is_closing());
    assert!(job.remaining.iter().all(|step| step.phase != JobPhase::Fit));
    visit.do_all();
    let job = visit.job();
    assert_eq!(job.tasks[0].state, TaskProgress::LeftOpen);
    assert_eq!(tally(&job).unaccounted(), []);
    let said = report(&job);
    assert!(
        said.contains("Circuit board: the wrong part was brought"),
        "{said}"
    );
}

#[test]
fn only_the_task_without_its_part_is_left_and_the_others_are_done() {
    let catalog = sorrel();
    let mut visit = Visit::begin(&catalog, &[replace("memory"), replace("coin-cell")]);
    visit.do_up_to("memory-swap-1");
    lacks(&mut visit, &replace("memory"), Lack::Missing);
    assert!(!visit.job().is_closing());
    visit.do_all();
    let states: Vec<_> = visit.job().tasks.iter().map(|task| task.state).collect();
    assert_eq!(states, [TaskProgress::LeftOpen, TaskProgress::Done]);
}

#[test]
fn a_piece_that_was_moved_to_the_wrong_part_is_owed_to_the_old_one() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    while !visit
        .job()
        .done
        .iter()
        .any(|done| done.step.hand_back.is_some())
    {
        visit.do_one();
    }
    let swap = OpRef::Swap("main-board".into());
    assert_eq!(visit.job().next().unwrap().op.as_ref(), Some(&swap));
    lacks(&mut visit, &replace("main-board"), Lack::Wrong);
    let job = visit.job();
    assert!(
        job.remaining
            .iter()
            .all(|step| step.op.as_ref() != Some(&swap))
    );
    visit.do_all();
    let owed = tally(&visit.job()).unaccounted();
    let [piece @ Unaccounted::Astray(_)] = owed.as_slice() else {
        panic!("{owed:?}");
    };
    assert!(piece.describe().contains("Move it back to the old part"));
    visit.note(piece.because("moved back".into()));
    assert_eq!(tally(&visit.job()).unaccounted(), []);
}

#[test]
fn a_missing_part_that_arrives_later_is_fitted() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("s1");
    lacks(&mut visit, &replace("board"), Lack::Missing);
    visit.add(&replace("board"));
    visit.do_all();
    assert_eq!(visit.job().tasks[0].state, TaskProgress::Done);
}

#[test]
fn a_failed_check_is_repeated_or_kept_with_a_note() {
    let catalog = recorder();
    let mut visit = Visit::begin(&catalog, &[replace("board")]);
    visit.do_up_to("p1");
    assert!(visit.job().demands().read);
    visit.read(Taken::Value(0.7));
    assert!(visit.job().demands().read, "it has not passed");
    let step = visit.job().next().unwrap().number;
    visit.note(EventKind::FailureKept {
        step,
        note: "the gauge drifts".into(),
    });
    assert!(visit.job().demands().is_met());
    assert_eq!(visit.job().failed().count(), 1, "it is still a failure");
    let said = report(&visit.job());
    assert!(
        said.contains("0.7 kPa (-0.5 to 0.5), FAILED, not corrected: the gauge drifts"),
        "{said}"
    );
    visit.read(Taken::Value(0.1));
    assert_eq!(visit.job().failed().count(), 0);
}
