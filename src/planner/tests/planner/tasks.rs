//! Tasks: what a task brings along, and what is refused for which reason.

use lidoff_catalog::format::{
    CatalogFile, Inspect, Leg, OrderAnchor, Part, ReachedState, Reseat, Service, Swap,
};
use lidoff_planner::outcome::Blocked;
use lidoff_planner::request::with_services;
use lidoff_planner::{Op, PartState, Plan, Refusal, Request, Task, UnitState, Way, plan};
use lidoff_testkit::builder::{
    self, TestUnit, fitted, free, leg, off, option, part, plain, service, unit,
};
use lidoff_testkit::planning_case::PlanningCase;

fn asked(on: &TestUnit, tasks: &[Task], from: &UnitState, blocked: &[Op]) -> Result<Plan, Refusal> {
    let job = PlanningCase::on(on, tasks).starting_from(from.clone());
    plan(&Request {
        blocked,
        ..job.request()
    })
}

fn off_op(on: &TestUnit, part: &str) -> Op {
    Op::TakeOff(on.part(part), Way::InPlace)
}

/// A pump and a valve behind a lid. Both are flushed after their replacement, the pump is
/// bled, and a meter, where there is one, is calibrated.
fn pump() -> CatalogFile {
    let mut file = unit("pump");
    file.options = vec![option("meter", None, false)];
    let bringing = |id: &str, services: &[&str]| Part {
        swap: Some(Swap {
            services: services.iter().map(|id| (*id).into()).collect(),
            ..Swap::default()
        }),
        ..plain(id, off("lid"))
    };
    file.parts = vec![
        plain("lid", free()),
        bringing("pump", &["flush", "bleed", "set"]),
        bringing("valve", &["flush"]),
    ];
    file.services = vec![
        service("flush", free()),
        service("bleed", free()),
        Service {
            when: Some(fitted("meter")),
            ..service("set", free())
        },
    ];
    file
}

#[test]
fn replacements_bring_their_services_along_once_each_where_they_are_there() {
    for (options, there) in [(&[][..], false), (&["meter"], true)] {
        let on = TestUnit::with(pump(), options);
        let [pump, valve] = ["pump", "valve"].map(|part| Task::Replace(on.part(part)));
        let [flush, bleed, set] = ["flush", "bleed", "set"].map(|id| Task::Serve(on.service(id)));
        let all = |tasks: &[Task]| with_services(&on.catalog, &on.setup, tasks);
        let mut expected = vec![pump, valve, flush, bleed];
        expected.extend(there.then_some(set));
        assert_eq!(all(&[pump, valve, pump]), expected);
        assert_eq!(all(&[valve]), [valve, flush]);
        assert_eq!(all(&[bleed]), [bleed], "a service brings nothing along");
        let plan = asked(&on, &expected, &UnitState::closed(&on.catalog), &[]).unwrap();
        let done = plan.ops.iter().filter(|planned| planned.op == flush.op());
        assert_eq!(done.count(), 1);
    }
}

/// A board that can be replaced, reseated and inspected, behind a lid that offers none of
/// that.
fn board() -> CatalogFile {
    let mut file = unit("board");
    file.options = vec![option("board", None, true)];
    let board = Part {
        when: Some(fitted("board")),
        swap: Some(Swap::default()),
        reseat: Some(Reseat {
            at: ReachedState::Off,
            steps: vec![builder::step("board-reseat", 1.0)],
            prove: Vec::new(),
        }),
        inspect: Some(Inspect {
            needs: off("lid"),
            steps: vec![builder::step("board-look", 1.0)],
        }),
        ..plain("board", off("lid"))
    };
    file.parts = vec![plain("lid", free()), board];
    file.services = vec![Service {
        when: Some(fitted("board")),
        ..service("save", off("lid"))
    }];
    file
}

#[test]
fn tasks_on_absent_parts_and_tasks_not_offered_are_refused() {
    let without = TestUnit::with(board(), &[]);
    let with = TestUnit::new(board());
    let closed = UnitState::closed(&with.catalog);
    let (lid, board, save) = (with.part("lid"), with.part("board"), with.service("save"));
    let tasks: [fn(_) -> Task; 3] = [Task::Replace, Task::Reseat, Task::Inspect];
    for task in tasks {
        let refused = asked(&without, &[task(board)], &closed, &[]);
        assert_eq!(refused, Err(Refusal::NotFitted(task(board))));
        let refused = asked(&with, &[task(lid)], &closed, &[]);
        assert_eq!(refused, Err(Refusal::NotOffered(task(lid))));
        assert!(asked(&with, &[task(board)], &closed, &[]).is_ok());
    }
    let save = Task::Serve(save);
    let refused = asked(&without, &[save], &closed, &[]);
    assert_eq!(refused, Err(Refusal::NotFitted(save)));
    assert!(asked(&with, &[save], &closed, &[]).is_ok());
}

#[test]
fn every_task_behind_a_blocked_lid_is_unreachable() {
    let on = TestUnit::new(board());
    let closed = UnitState::closed(&on.catalog);
    let (lid, board) = (on.part("lid"), on.part("board"));
    let refused = |task: Task| asked(&on, &[task], &closed, &[off_op(&on, "lid")]);
    let behind = |task: Task, chain: &[Blocked]| {
        Err(Refusal::Unreachable {
            task,
            chain: chain.to_vec(),
            besides: Vec::new(),
        })
    };
    for task in [Task::Replace(board), Task::Reseat(board)] {
        let chain = [Blocked::Part(board), Blocked::Shut(lid)];
        assert_eq!(refused(task), behind(task, &chain));
    }
    for task in [Task::Inspect(board), Task::Serve(on.service("save"))] {
        assert_eq!(refused(task), behind(task, &[Blocked::Shut(lid)]));
    }
}

/// No plan tests the board and then takes it off to reseat it.
#[test]
fn a_service_after_putting_back_waits_for_a_part_that_is_still_to_be_reseated() {
    let mut file = board();
    file.services[0].after = vec![OrderAnchor::PutBack("board".into())];
    let on = TestUnit::new(file);
    let closed = UnitState::closed(&on.catalog);
    let save = Task::Serve(on.service("save"));
    let tasks = [save, Task::Reseat(on.part("board"))];
    let plan = asked(&on, &tasks, &closed, &[]).unwrap();
    let at = |op| plan.ops.iter().position(|planned| planned.op == op);
    let back = Op::PutBack(on.part("board"), Way::InPlace);
    assert!(
        at(tasks[1].op()) < at(back) && at(back) < at(save.op()),
        "{plan:?}"
    );
}

/// Where saving takes the driver that opens the lid, and everything else the lever, saving
/// first would be cheaper. That is done only where the board is reseated without coming off.
#[test]
fn a_service_comes_before_or_after_another_one_as_its_catalog_says() {
    type SetAnchor = fn(&mut Service, OrderAnchor);
    let before: SetAnchor = |service, op| service.before = vec![op];
    let after: SetAnchor = |service, op| service.after = vec![op];
    let [flush, bleed] = [0, 1];
    for (which, said, first) in [
        (flush, before, "flush"),
        (flush, after, "bleed"),
        (bleed, before, "bleed"),
        (bleed, after, "flush"),
    ] {
        let mut file = pump();
        let other = file.services[1 - which].id.clone();
        said(&mut file.services[which], OrderAnchor::Service(other));
        let on = TestUnit::new(file);
        // In the order of the request, and reversed.
        for ids in [["flush", "bleed"], ["bleed", "flush"]] {
            let tasks = ids.map(|id| Task::Serve(on.service(id)));
            let plan = asked(&on, &tasks, &UnitState::closed(&on.catalog), &[]).unwrap();
            let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
            assert_eq!(ops[0], Op::Serve(on.service(first)), "{ops:?}");
            assert_eq!(ops.len(), 2);
        }
    }
}

#[test]
fn a_service_after_putting_back_does_not_wait_for_a_part_that_stays_on() {
    for (at, saves_first) in [(ReachedState::Off, false), (ReachedState::Eased, true)] {
        let mut file = board();
        let with = |id: &str, tool| vec![builder::step_with(id, 1.0, tool, "front")];
        file.services[0].after = vec![OrderAnchor::PutBack("board".into())];
        file.services[0].steps = with("save-it", "driver");
        let lid = file.parts[0].take_off.as_mut().unwrap();
        lid.out = with("lid-out", "driver");
        lid.back = with("lid-back", "lever");
        let board = &mut file.parts[1];
        board.ease = Some(Leg {
            out: with("board-loose", "lever"),
            back: with("board-fast", "lever"),
            ..leg("board-ease", off("lid"))
        });
        board.reseat.as_mut().unwrap().at = at;
        let on = TestUnit::new(file);
        let closed = UnitState::closed(&on.catalog);
        let [save, reseat] = [
            Task::Serve(on.service("save")),
            Task::Reseat(on.part("board")),
        ];
        let plan = asked(&on, &[save, reseat], &closed, &[]).unwrap();
        let at = |op| plan.ops.iter().position(|planned| planned.op == op);
        assert_eq!(at(save.op()) < at(reseat.op()), saves_first, "{plan:?}");
    }
}

/// A cover in two legs. The way back of one leg needs the clip off, and the clip can no longer
/// come off.
#[test]
fn a_part_with_no_way_back_is_named_however_far_it_is_out() {
    for (ease_wants, off_wants, cannot) in [
        (free(), free(), [false, false]),
        (free(), off("clip"), [false, true]),
        (off("clip"), free(), [true, true]),
    ] {
        let mut file = unit("cover");
        let mut cover = part("cover");
        cover.ease = Some(leg("cover-ease", free()));
        cover.ease.as_mut().unwrap().refit_needs = ease_wants;
        cover.take_off = Some(leg("cover-off", free()));
        cover.take_off.as_mut().unwrap().refit_needs = off_wants;
        file.parts = vec![plain("clip", free()), cover];
        let on = TestUnit::new(file);
        let cover = on.part("cover");
        for (state, cannot) in [PartState::Eased, PartState::Off].into_iter().zip(cannot) {
            let mut from = UnitState::closed(&on.catalog);
            from.parts[cover.index()] = state;
            let closing = |blocked: &[Op]| asked(&on, &[], &from, blocked);
            assert!(closing(&[]).is_ok());
            let closed = closing(&[off_op(&on, "clip")]);
            assert_eq!(
                closed.as_ref().err(),
                cannot.then_some(&Refusal::CannotClose(cover))
            );
        }
    }
}

/// A pump with a seal on it, behind a lid; the unit can be closed without the pump.
fn spoiled_pump() -> TestUnit {
    let mut file = unit("pump");
    let seal = Part {
        rides_on: Some("pump".into()),
        bench_off: Some(leg("seal", free())),
        reseat: Some(Reseat {
            at: ReachedState::Off,
            steps: vec![builder::step("seal-reseat", 5.0)],
            prove: Vec::new(),
        }),
        ..part("seal")
    };
    let pump = Part {
        leave_out: vec![builder::step("pump-label", 5.0)],
        swap: Some(Swap::default()),
        ..plain("pump", off("lid"))
    };
    file.parts = vec![plain("lid", free()), pump, seal];
    TestUnit::new(file)
}

#[test]
fn a_unit_is_closed_without_the_part_that_is_left_out() {
    let on = spoiled_pump();
    let (lid, pump) = (on.part("lid"), on.part("pump"));
    let closed = UnitState::closed(&on.catalog);
    let plan = asked(&on, &[Task::LeaveOut(pump)], &closed, &[]).unwrap();
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(
        ops,
        [
            Op::TakeOff(lid, Way::InPlace),
            Op::TakeOff(pump, Way::InPlace),
            Op::LeaveOut(pump),
            Op::PutBack(lid, Way::InPlace),
        ]
    );
    // After that it is as if the unit had no pump.
    let mut from = closed;
    from.parts[pump.index()] = PartState::Off;
    let mut job = PlanningCase::on(&on, &[]).starting_from(from.clone());
    job.setup = job.setup.without(&on.catalog, [pump]);
    assert_eq!(plan_of(&job), Ok(Vec::new()));
    job.tasks = vec![Task::Reseat(on.part("seal"))];
    assert_eq!(plan_of(&job), Err(Refusal::NotFitted(job.tasks[0])));
}

fn plan_of(job: &PlanningCase) -> Result<Vec<Op>, Refusal> {
    let planned = plan(&job.request())?;
    Ok(planned.ops.into_iter().map(|planned| planned.op).collect())
}

#[test]
fn nothing_is_done_to_a_part_that_is_left_out_or_to_its_riders() {
    let on = spoiled_pump();
    let (pump, seal) = (on.part("pump"), on.part("seal"));
    let closed = UnitState::closed(&on.catalog);
    for task in [Task::Replace(pump), Task::Reseat(seal)] {
        let tasks = [Task::LeaveOut(pump), task];
        let refusal = asked(&on, &tasks, &closed, &[]).unwrap_err();
        assert!(matches!(&refusal, Refusal::Conflict { tasks: both, .. } if both == &tasks));
    }
    let seal = Task::LeaveOut(seal);
    let refusal = asked(&on, &[seal], &closed, &[]).unwrap_err();
    assert_eq!(refusal, Refusal::NotOffered(seal));
}
