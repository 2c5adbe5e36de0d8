//! A new plan from where the job stands, for every reason there is: what is done
//! stays done, the log says why, and the job still ends closed with nothing over.

use lidoff_catalog::setup::Configuration;
use lidoff_job::{
    BlockedOperation, EventKind, Job, JobPhase, Mishap, NamedTask, OpRef, Reason, TaskProgress,
    TaskRef, fold, from_json, position, replan, tally, to_json,
};
use lidoff_planner::{PartState, plan};

use lidoff_testkit::visit::{Visit, perch, replace, sorrel};

/// The easing leg of Perch 22's service door, whose quarter-turns stick.
fn door() -> OpRef {
    OpRef::Ease("service-door".into())
}

fn stuck() -> EventKind {
    EventKind::Blocked(BlockedOperation {
        op: door(),
        name: "Service door".into(),
        fastening: Some("service-door-turns".into()),
    })
}

fn fan() -> NamedTask {
    NamedTask {
        task: replace("fan"),
        name: "Fan".into(),
    }
}

/// Replans as the app does: for the reason that the fold gives.
fn plan_as_due(visit: &mut Visit) -> Reason {
    let because = visit.job().replan_due.expect("a new plan is due");
    visit.plan(because.clone());
    because
}

fn steps(job: &Job) -> Vec<&str> {
    job.remaining
        .iter()
        .map(|step| step.step.as_str())
        .collect()
}

fn ends_well(visit: &mut Visit) {
    visit.do_all();
    let job = visit.job();
    assert_eq!(job.findings, []);
    assert_eq!(tally(&job).unaccounted(), []);
    assert_eq!(tally(&job).left_empty(), [""; 0]);
    let place = position(&job, visit.catalog, &visit.now).unwrap();
    assert!(place.now.is_closed());
    assert_eq!(place.in_hand, None);
    let open = |task: &lidoff_job::TaskState| task.state == TaskProgress::Open;
    assert!(job.is_closing() || !job.tasks.iter().any(open));
}

#[test]
fn a_stuck_fastener_is_abandoned_half_way_and_another_route_is_taken() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    let done = visit.job().done.len();
    visit.note(stuck());
    assert_eq!(plan_as_due(&mut visit), Reason::RouteBlocked);
    let job = visit.job();
    assert_eq!(job.done.len(), done, "what is done stays done");
    // The door was unlocked for it: it is locked again, and no more of its way
    // back is walked.
    assert_eq!(steps(&job)[0], "service-door-ease-back-3");
    assert!(!steps(&job)[1].starts_with("service-door"));
    assert!(steps(&job).contains(&"screen-ease-out-1"), "by the screen");
    assert!(!steps(&job).contains(&"service-door-ease-out-4"));
    assert_eq!(job.plans.last().unwrap().because, Reason::RouteBlocked);
    ends_well(&mut visit);
    let report = lidoff_report::exchange::report::report(&visit.job());
    assert!(report.contains("- route blocked: "), "{report}");
    let found = "- Service door cannot be eased: a fastener will not come loose\n";
    assert!(report.contains(found), "{report}");
}

#[test]
fn a_second_plan_still_undoes_the_abandoned_operation() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    visit.note(stuck());
    plan_as_due(&mut visit);
    visit.add(&replace("speaker"));
    assert_eq!(steps(&visit.job())[0], "service-door-ease-back-3");
    ends_well(&mut visit);
}

#[test]
fn an_unblocked_route_continues_where_it_was_left() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    let before = visit.job();
    visit.note(stuck());
    plan_as_due(&mut visit);
    visit.note(EventKind::Unblocked(door()));
    assert_eq!(plan_as_due(&mut visit), Reason::RouteOpen);
    assert_eq!(steps(&visit.job()), steps(&before));
    visit.plan(Reason::Other("once more".into()));
    assert_eq!(steps(&visit.job()), steps(&before));
    ends_well(&mut visit);
}

#[test]
fn a_route_unblocked_after_it_was_undone_starts_from_the_beginning() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    visit.note(stuck());
    plan_as_due(&mut visit);
    visit.do_one();
    visit.note(EventKind::Unblocked(door()));
    plan_as_due(&mut visit);
    assert_eq!(steps(&visit.job())[0], "service-door-ease-out-1");
    ends_well(&mut visit);
}

#[test]
fn where_every_route_is_blocked_the_refusal_names_them_and_the_unit_can_be_closed() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    visit.note(stuck());
    let screen = |op: OpRef| {
        EventKind::Blocked(BlockedOperation {
            op,
            name: "Screen frame".into(),
            fastening: None,
        })
    };
    visit.note(screen(OpRef::Ease("screen".into())));
    visit.note(screen(OpRef::TakeOff {
        part: "screen".into(),
        way: lidoff_job::WayRef::InPlace,
    }));
    let refused = replan(&visit.job(), &catalog, &visit.now, plan).unwrap_err();
    let lidoff_job::ReplanError::Refused(refusal) = refused else {
        panic!("{refused:?}");
    };
    let words = refusal.words(&catalog);
    assert!(words.contains("“Service door” is blocked"), "{words}");
    assert!(words.contains("“Screen frame” is blocked"), "{words}");
    visit.note(EventKind::TurnedBack);
    assert_eq!(plan_as_due(&mut visit), Reason::ClosingUp);
    assert_eq!(steps(&visit.job())[0], "service-door-ease-back-3");
    ends_well(&mut visit);
}

#[test]
fn a_part_found_broken_is_replaced_too_and_the_log_says_that_this_is_why() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    visit.note(EventKind::TaskAdded(fan()));
    visit.note(EventKind::FoundBroken(fan()));
    assert_eq!(plan_as_due(&mut visit), Reason::PartBroken);
    let fan = OpRef::Swap("fan".into());
    assert!(
        visit
            .job()
            .remaining
            .iter()
            .any(|step| step.completes.contains(&fan))
    );
    assert_eq!(visit.job().broken.len(), 1);
    ends_well(&mut visit);
}

#[test]
fn a_broken_part_without_a_task_needs_no_new_plan() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.note(EventKind::FoundBroken(fan()));
    assert_eq!(visit.job().replan_due, None);
}

#[test]
fn a_dropped_task_leaves_only_what_the_other_one_needs() {
    let catalog = sorrel();
    let mut visit = Visit::begin(&catalog, &[replace("fan"), replace("panel")]);
    let open = |visit: &Visit| {
        visit
            .job()
            .remaining
            .iter()
            .any(|s| s.phase == JobPhase::Fit)
    };
    while !visit
        .job()
        .tasks
        .iter()
        .any(|task| task.state == TaskProgress::Done)
    {
        assert!(open(&visit));
        visit.do_one();
    }
    let left = visit.job().left_s();
    let other = visit
        .job()
        .open_tasks()
        .map(|task| task.task.clone())
        .next()
        .unwrap();
    visit.note(EventKind::TaskDropped(other));
    assert_eq!(plan_as_due(&mut visit), Reason::TaskDropped);
    let job = visit.job();
    assert!(job.left_s() < left);
    assert!(job.remaining.iter().all(|step| step.phase != JobPhase::Fit));
    ends_well(&mut visit);
}

#[test]
fn a_unit_found_mounted_on_the_wall_is_replanned_as_such() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-1");
    let fitted = ["wall-mount", "card-reader"].map(Into::into).to_vec();
    visit.note(EventKind::FittedWith { fitted });
    assert_eq!(plan_as_due(&mut visit), Reason::FittedDifferently);
    let job = visit.job();
    let setup = job.setup.clone();
    let ops = |job: &Job| {
        let done = job.remaining.iter().flat_map(|step| step.completes.clone());
        done.collect::<Vec<_>>()
    };
    let known_at_once = Visit::begin_on(&catalog, setup, &[replace("main-board")]);
    // The mains is isolated already.
    assert_eq!(ops(&job), ops(&known_at_once.job())[1..]);
    let on_the_floor = Visit::begin(&catalog, &[replace("main-board")]);
    assert_ne!(ops(&job), ops(&on_the_floor.job()));
    assert!(job.setup.fitted.contains(&"wall-mount".into()));
    ends_well(&mut visit);
}

#[test]
fn make_safe_steps_that_come_with_an_option_are_done_before_anything_else() {
    let catalog = perch();
    let with = |option: &str, out: &str| {
        let usual = Configuration::usual(&catalog).fitted;
        let mut fitted: Vec<_> = usual.into_iter().filter(|id| id.as_str() != out).collect();
        fitted.push(option.into());
        fitted
    };
    let safe = |setup: Configuration| {
        let visit = Visit::begin_on(&catalog, setup, &[replace("main-board")]);
        let job = visit.job();
        let safe = job.remaining.iter();
        let safe = safe.filter(|step| step.phase == JobPhase::MakeSafe);
        safe.map(|step| step.step.clone()).collect::<Vec<_>>()
    };
    let floor = safe(Configuration::usual(&catalog));
    for (option, out) in [("wall-mount", "floor-mount"), ("cabinet-heater", "")] {
        let fitted = with(option, out);
        let setup = Configuration {
            fitted: fitted.clone(),
            ..Configuration::default()
        };
        let more: Vec<_> = safe(setup)
            .into_iter()
            .filter(|id| !floor.contains(id))
            .collect();
        let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
        visit.do_up_to("service-door-ease-out-1");
        visit.note(EventKind::FittedWith { fitted });
        plan_as_due(&mut visit);
        let job = visit.job();
        let first: Vec<_> = job.remaining[..more.len()]
            .iter()
            .map(|s| s.step.clone())
            .collect();
        assert_eq!(first, more, "{option}");
    }
}

#[test]
fn options_cannot_remove_a_part_that_is_off() {
    let catalog = perch();
    let setup = Configuration {
        fitted: ["floor-mount", "coin-acceptor"].map(Into::into).to_vec(),
        ..Configuration::default()
    };
    let mut visit = Visit::begin_on(&catalog, setup, &[replace("printer")]);
    let coin_box = catalog.find_part("coin-box").unwrap();
    let off = |visit: &Visit| {
        let place = position(&visit.job(), &catalog, &visit.now).unwrap();
        place.now.of(coin_box) == PartState::Off
    };
    while !off(&visit) {
        visit.do_one();
    }
    visit.note(EventKind::FittedWith {
        fitted: vec!["floor-mount".into()],
    });
    let error = position(&visit.job(), &catalog, &visit.now).unwrap_err();
    let words = error.to_string();
    assert!(
        words.contains("is off or eased, but the options say"),
        "{words}"
    );
}

#[test]
fn a_changed_answer_changes_what_is_moved_to_the_new_part() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    let pieces = |visit: &Visit| tally(&visit.job()).hand_backs.len();
    let before = pieces(&visit);
    visit.note(EventKind::Answered {
        question: "board-storage".into(),
        answer: "own".into(),
    });
    assert_eq!(plan_as_due(&mut visit), Reason::Answered);
    assert_ne!(pieces(&visit), before);
    ends_well(&mut visit);
}

#[test]
fn a_lost_or_stripped_fastener_is_tallied_without_a_new_plan() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("printer")]);
    visit.do_up_to("lower-cover-out-3");
    let one = |note: &str| Mishap {
        fastening: "lower-cover-screws".into(),
        count: 1,
        note: note.into(),
    };
    visit.note(EventKind::FastenerLost(one("rolled under the shelf")));
    visit.note(EventKind::FastenerStripped(one("")));
    assert_eq!(visit.job().replan_due, None);
    visit.do_all();
    let tally = tally(&visit.job());
    assert_eq!(
        tally.left_empty().len(),
        1,
        "two places stay empty, and that is told"
    );
    assert_eq!(
        tally
            .set(&"lower-cover-screws".into())
            .unwrap()
            .left_empty(),
        2
    );
}

#[test]
fn an_answer_while_closing_up_does_not_reopen_the_tasks() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    while visit.job().next().unwrap().phase != JobPhase::Fit {
        visit.do_one();
    }
    visit.note(EventKind::TurnedBack);
    assert_eq!(plan_as_due(&mut visit), Reason::ClosingUp);
    let closing = visit.job().left_s();
    visit.note(EventKind::Answered {
        question: "board-storage".into(),
        answer: "own".into(),
    });
    assert_eq!(plan_as_due(&mut visit), Reason::Answered);
    let job = visit.job();
    assert!(job.is_closing());
    assert!(job.remaining.iter().all(|step| step.phase != JobPhase::Fit));
    assert_eq!(job.left_s(), closing);
    assert_eq!(job.left_for_next().count(), 1, "the task is left");
    ends_well(&mut visit);
}

#[test]
fn closing_up_half_way_through_an_operation_undoes_it() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    visit.do_up_to("service-door-ease-out-4");
    visit.note(EventKind::TurnedBack);
    plan_as_due(&mut visit);
    assert_eq!(steps(&visit.job())[0], "service-door-ease-back-3");
    assert_eq!(visit.job().remaining[1].phase, JobPhase::Energise);
    ends_well(&mut visit);
}

#[test]
fn parts_that_were_only_moved_are_moved_back_when_an_operation_is_undone() {
    // Six leads are unplugged, and then lifted out of their comb.
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    let step = |visit: &Visit| visit.job().next().unwrap().action.clone();
    while step(&visit) != "Loosen the two captive screws of the computer" {
        visit.do_one();
    }
    visit.note(EventKind::TurnedBack);
    plan_as_due(&mut visit);
    let job = visit.job();
    let back: Vec<&str> = job.remaining[..2]
        .iter()
        .map(|s| s.action.as_str())
        .collect();
    let mended = [
        "Plug in the seven leads of the computer",
        "Lay the leads into the cable comb",
    ];
    assert_eq!(back, mended);
    ends_well(&mut visit);
}

#[test]
fn a_unit_can_be_closed_from_before_every_step_to_the_task_with_nothing_over() {
    for (catalog, part) in [(perch(), "screen"), (sorrel(), "fan")] {
        let mut visit = Visit::begin(&catalog, &[replace(part)]);
        let mut states = 0;
        while visit.job().open_tasks().next().is_some() {
            let mut here = Visit {
                catalog: &catalog,
                log: visit.log.clone(),
                now: visit.now,
            };
            here.note(EventKind::TurnedBack);
            plan_as_due(&mut here);
            ends_well(&mut here);
            states += 1;
            visit.do_one();
        }
        assert!(states > 20, "{states}");
    }
}

#[test]
fn carrying_on_after_turning_back_restores_the_tasks_at_no_extra_time() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    while visit.job().next().unwrap().phase != JobPhase::Fit {
        visit.do_one();
    }
    let before = visit.job().left_s();
    visit.note(EventKind::TurnedBack);
    plan_as_due(&mut visit);
    let left: Vec<_> = visit.job().left_for_next().cloned().collect();
    for task in left {
        visit.note(EventKind::TaskAdded(task));
    }
    assert_eq!(plan_as_due(&mut visit), Reason::TaskAdded);
    assert_eq!(visit.job().left_s(), before);
    ends_well(&mut visit);
}

#[test]
fn adding_a_task_ends_closing_up() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("screen")]);
    visit.do_up_to("lower-cover-out-3");
    visit.note(EventKind::TurnedBack);
    plan_as_due(&mut visit);
    visit.add(&replace("speaker"));
    assert!(!visit.job().is_closing());
    ends_well(&mut visit);
}

#[test]
fn a_job_file_from_before_these_events_is_read_unchanged() {
    let text = r#"{"format": "lidoff-job/1", "job": "1-1", "events": [
{"id":{"seq":0,"run":1},"at":{"wall_ms":1,"offset_min":0,"mono_ms":1,"run":1,"hidden_ms":0},
 "what":{"opened":{"unit":{"id":"u","name":"U","revision":"1"},"reference":"TM-0001",
 "setup":{"fitted":[]},"tasks":[{"task":{"replace":"fan"},"name":"Fan"}]}}},
{"id":{"seq":1,"run":1},"at":{"wall_ms":2,"offset_min":0,"mono_ms":2,"run":1,"hidden_ms":0},
 "what":{"planned":{"plan":{"steps":[],"total_s":0.0,"band":BAND},"because":"first"}}},
{"id":{"seq":2,"run":1},"at":{"wall_ms":3,"offset_min":0,"mono_ms":3,"run":1,"hidden_ms":0},
 "what":{"task-dropped":{"replace":"fan"}}},
{"id":{"seq":3,"run":1},"at":{"wall_ms":4,"offset_min":0,"mono_ms":4,"run":1,"hidden_ms":0},
 "what":{"planned":{"plan":{"steps":[],"total_s":0.0,"band":BAND},"because":"closing-up"}}}
]}"#;
    let band = serde_json::to_string(&lidoff_estimate::Band::default()).unwrap();
    let (log, aside) = from_json(&text.replace("BAND", &band)).unwrap();
    assert_eq!(aside, []);
    let job = fold(&log);
    assert_eq!(job.tasks[0].state, TaskProgress::Dropped);
    assert_eq!(job.blocked, []);
}

#[test]
fn every_event_reads_back_from_a_file_unchanged() {
    let catalog = perch();
    let mut visit = Visit::begin(&catalog, &[replace("main-board")]);
    let before = visit.log.events().len();
    for what in [
        stuck(),
        EventKind::Unblocked(door()),
        EventKind::FoundBroken(fan()),
        EventKind::FittedWith {
            fitted: vec!["wall-mount".into()],
        },
        EventKind::TurnedBack,
        EventKind::TaskDropped(TaskRef::Replace("main-board".into())),
    ] {
        visit.note(what);
    }
    let (log, aside) = from_json(&to_json(&visit.log)).unwrap();
    assert_eq!(aside, []);
    assert_eq!(log, visit.log);
    assert_eq!(log.events().len(), before + 6);
}
