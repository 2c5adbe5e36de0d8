//! The planner's texts: why there is no plan, why an operation is in one, and what the job
//! would take without it.

use lidoff_catalog::model::PartIx;
use lidoff_planner::explanation::{NeededState, OrderSlack, Purpose};
use lidoff_planner::outcome::Blocked;
use lidoff_planner::{Alternative, Explanation, Op, PartState, Proof, Refusal, Task, Way};
use lidoff_testkit::builder::{TestUnit, free, plain, service, unit};

/// A lid, a fan and a board; a test run.
fn fan() -> TestUnit {
    let mut file = unit("fan");
    file.parts = ["lid", "fan", "board"].map(|id| plain(id, free())).to_vec();
    file.services = vec![service("test-run", free())];
    TestUnit::new(file)
}

fn off(part: PartIx) -> Op {
    Op::TakeOff(part, Way::InPlace)
}

#[test]
fn a_task_that_cannot_be_asked_for_says_what_to_check() {
    let on = fan();
    let words = |refusal: Refusal| refusal.words(&on.catalog);
    let fan = on.part("fan");
    assert_eq!(
        words(Refusal::NotFitted(Task::Replace(fan))),
        "Cannot replace “fan”: this unit is not fitted with it. Check the options."
    );
    assert_eq!(
        words(Refusal::NotOffered(Task::Reseat(fan))),
        "Cannot reseat “fan”: the catalog does not say how. Choose another task, or tell the \
         catalog author."
    );
    assert_eq!(
        words(Refusal::CannotClose(fan)),
        "The unit cannot be closed from here: “fan” has no way back. Tell the catalog author."
    );
    assert_eq!(
        words(Refusal::TooManyTasks { most: 64 }),
        "More than 64 tasks are too many for one visit. Drop some."
    );
    assert_eq!(
        words(Refusal::Limit { states: 120 }),
        "No plan found within 120 states. If the job has several tasks, drop one and replan. \
         Otherwise tell the catalog author."
    );
}

#[test]
fn obstacles_are_named_down_to_the_last_one() {
    let on = fan();
    let (lid, fan, board) = (on.part("lid"), on.part("fan"), on.part("board"));
    let run = Task::Serve(on.service("test-run"));
    let words = |chain: &[Blocked], besides: &[Blocked]| {
        let refusal = Refusal::Unreachable {
            task: Task::Inspect(fan),
            chain: chain.to_vec(),
            besides: besides.to_vec(),
        };
        refusal.words(&on.catalog)
    };
    assert_eq!(
        words(&[], &[]),
        "Cannot inspect “fan”: the catalog has no way to do it."
    );
    assert_eq!(
        words(&[Blocked::Part(lid)], &[]),
        "Cannot inspect “fan”: “lid” cannot be opened here."
    );
    assert_eq!(
        words(&[Blocked::Task(run)], &[]),
        "Cannot inspect “fan”: “test-run” cannot be done."
    );
    assert_eq!(
        words(
            &[Blocked::Task(Task::Replace(board)), Blocked::Shut(lid)],
            &[Blocked::Shut(fan), Blocked::Part(board)]
        ),
        "Cannot inspect “fan”: the route goes through “board” → “lid”, and “lid” is blocked. The other \
         route is blocked too: “fan” is blocked, and “board” cannot be opened here."
    );
    let ring = [lid, board, lid].map(Blocked::Part);
    assert_eq!(
        words(&ring, &[]),
        "Cannot inspect “fan”: “lid” cannot be reached, because “lid” needs “board” open, and \
         “board” needs “lid” open."
    );
}

#[test]
fn tasks_in_conflict_are_named_with_the_parts_that_must_remain() {
    let on = fan();
    let (lid, fan, board) = (on.part("lid"), on.part("fan"), on.part("board"));
    let words = |tasks: &[Task], stays: &[PartIx]| {
        let refusal = Refusal::Conflict {
            tasks: tasks.to_vec(),
            stays: stays.to_vec(),
        };
        refusal.words(&on.catalog)
    };
    let replace = Task::Replace(fan);
    let run = Task::Serve(on.service("test-run"));
    assert_eq!(
        words(&[], &[lid]),
        "The unit cannot be closed from here: “lid” must stay in place for one task, but another \
         task opens it."
    );
    assert_eq!(
        words(&[replace], &[]),
        "Cannot replace “fan” and close the unit: a part that must stay in place for one task is in the \
         way of another."
    );
    assert_eq!(
        words(&[replace, run], &[lid, board]),
        "Cannot replace “fan” and run “test-run” in one visit: “lid” and “board” must \
         stay in place for one task, but another task opens it. Drop one task."
    );
}

fn closes(opened_for: Vec<Task>) -> Purpose {
    Purpose::Closes { opened_for }
}

/// Without slack and without riders.
fn because(op: Op, purpose: Purpose) -> Explanation {
    Explanation {
        op,
        purpose,
        riders: Vec::new(),
        slack: OrderSlack::default(),
    }
}

#[test]
fn the_purpose_of_an_operation_is_described_in_a_sentence() {
    let on = fan();
    let (lid, fan, board) = (on.part("lid"), on.part("fan"), on.part("board"));
    let words = |op, purpose| because(op, purpose).words(&on.catalog);
    let work = |task: Task, brought_by| words(task.op(), Purpose::Work { task, brought_by });
    assert_eq!(
        work(Task::Replace(fan), None),
        ["This is a task of the job: replace “fan”."]
    );
    assert_eq!(
        work(Task::Serve(on.service("test-run")), Some(board)),
        ["Replacing “board” also requires this: run “test-run”."]
    );
    assert_eq!(
        words(Op::Settle(lid), closes(Vec::new())),
        ["Closes what is open."]
    );
    assert_eq!(
        words(
            Op::Settle(lid),
            closes(vec![Task::Replace(fan), Task::Inspect(board)])
        ),
        ["It was opened to replace “fan”, inspect “board” and is now closed again."]
    );
    assert_eq!(
        words(off(lid), Purpose::Nothing),
        ["No task needs it, and it takes no extra time."]
    );
    let opens = |op: Op, level| {
        let asks = NeededState {
            op,
            part: lid,
            level,
        };
        let mut lines = words(
            off(lid),
            Purpose::Opens {
                chain: vec![asks],
                tasks: Vec::new(),
            },
        );
        assert_eq!(lines.len(), 1);
        lines.remove(0)
    };
    for (op, says) in [
        (Op::Ease(fan), "Easing “fan” needs “lid” off."),
        (off(fan), "Taking off “fan” needs “lid” off."),
        (
            Op::TakeOff(fan, Way::Bench),
            "Taking off “fan” on the bench needs “lid” off.",
        ),
        (
            Op::PutBack(fan, Way::InPlace),
            "Putting back “fan” needs “lid” off.",
        ),
        (Op::Settle(fan), "Closing “fan” needs “lid” off."),
        (Op::Swap(fan), "Replacing “fan” needs “lid” off."),
        (Op::Reseat(fan), "Reseating “fan” needs “lid” off."),
        (Op::Inspect(fan), "Inspecting “fan” needs “lid” off."),
        (
            Op::Serve(on.service("test-run")),
            "“test-run” needs “lid” off.",
        ),
    ] {
        assert_eq!(opens(op, PartState::Off), says);
    }
    assert_eq!(
        opens(off(fan), PartState::Fitted),
        "Taking off “fan” needs “lid” fitted."
    );
    // The last link of the chain is not said twice.
    let asks = NeededState {
        op: Op::Swap(fan),
        part: lid,
        level: PartState::Eased,
    };
    let tasks = [Task::Replace(fan), Task::Inspect(board), Task::Reseat(fan)].to_vec();
    assert_eq!(
        words(
            off(lid),
            Purpose::Opens {
                chain: vec![asks],
                tasks
            }
        ),
        ["Replacing “fan” needs “lid” eased. Also needed to inspect “board”, reseat “fan”."]
    );
}

#[test]
fn riders_and_slack_are_described_after_the_purpose() {
    let on = fan();
    let (lid, fan, board) = (on.part("lid"), on.part("fan"), on.part("board"));
    let words = |riders: &[PartIx], slack| {
        let explain = Explanation {
            riders: riders.to_vec(),
            slack,
            ..because(off(lid), closes(Vec::new()))
        };
        explain.words(&on.catalog)[1..].to_vec()
    };
    assert!(words(&[], OrderSlack::default()).is_empty());
    assert_eq!(
        words(&[fan], OrderSlack::default()),
        ["“fan” comes away with it."]
    );
    assert_eq!(
        words(&[fan, board], OrderSlack::default()),
        ["“fan”, “board” come away with it."]
    );
    let run = Op::Serve(on.service("test-run"));
    for (op, says) in [
        (Op::Ease(fan), "“fan” is eased"),
        (off(fan), "“fan” comes off"),
        (Op::TakeOff(fan, Way::Bench), "“fan” comes off on the bench"),
        (Op::Swap(fan), "“fan” is replaced"),
        (Op::Reseat(fan), "“fan” is reseated"),
        (Op::Inspect(fan), "“fan” is inspected"),
        (run, "“test-run” is run"),
        (Op::PutBack(fan, Way::InPlace), "“fan” goes back"),
        (Op::PutBack(fan, Way::Bench), "“fan” goes back on the bench"),
        (Op::Settle(fan), "“fan” is closed"),
    ] {
        let slack = OrderSlack {
            after: Some(op),
            ..OrderSlack::default()
        };
        assert_eq!(words(&[], slack), [format!("It must come after {says}.")]);
    }
    // An operation that can be moved at no cost.
    let slack = OrderSlack {
        after: Some(off(fan)),
        before: Some(run),
        sooner: Some(0),
        later: Some(94),
    };
    assert_eq!(
        words(&[board], slack),
        [
            "“board” comes away with it.",
            "It must come after “fan” comes off and before “test-run” is run.",
            "Done here to save a tool change or a turn: later would \
             cost 9 s more.",
        ]
    );
    let slack = OrderSlack {
        sooner: Some(1200),
        later: Some(1246),
        ..OrderSlack::default()
    };
    assert_eq!(
        words(&[], slack),
        ["Done here to save a tool change or a turn: sooner would \
          cost 2 min more, later would cost 2 min 05 s more."]
    );
}

#[test]
fn the_alternative_is_described_in_a_sentence() {
    let on = fan();
    let (lid, fan) = (on.part("lid"), on.part("fan"));
    let words = |find_alternative: Alternative| find_alternative.words(&on.catalog);
    let longer = |by, proven, instead: &[Op]| {
        words(Alternative::Longer {
            by,
            proven,
            instead: instead.to_vec(),
        })
    };
    assert_eq!(words(Alternative::NoWay), "There is no other way.");
    assert_eq!(
        words(Alternative::NotFound),
        "It is not known whether there is another way."
    );
    assert_eq!(
        longer(0, true, &[]),
        "Without it the job takes just as long."
    );
    assert_eq!(
        longer(595, true, &[Op::Ease(lid), off(fan)]),
        "Without it the job takes 1 min longer: easing “lid”, taking off “fan”."
    );
    assert_eq!(
        longer(650, false, &[]),
        "Without it the job takes up to 1 min 05 s longer."
    );
}

#[test]
fn a_bound_is_reported_in_seconds() {
    assert_eq!(Proof::Cheapest.to_string(), "proven to be the cheapest");
    assert_eq!(
        Proof::AtLeast(1234).to_string(),
        "no plan takes less than 123.4 s"
    );
}
