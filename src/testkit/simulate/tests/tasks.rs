//! Task work, and services that come before and after.

use super::*;
use crate::builder::*;
use lidoff_catalog::format::{
    CatalogFile, HandBack, Inspect, OrderAnchor, ReachedState, Reseat, Swap,
};

fn board_with_module() -> CatalogFile {
    let mut file = unit("tasks");
    file.options = vec![option("new-board", None, false)];
    let mut board = plain("board", off("lid"));
    board.swap = Some(Swap {
        moves_over: vec!["module".into()],
        steps: vec![step("board-swap", 10.0)],
        hand_backs: vec![HandBack {
            id: "bracket".into(),
            name: "bracket".to_owned(),
            when: Some(fitted("new-board")),
            steps: vec![step("bracket-over", 4.0)],
        }],
        ..Swap::default()
    });
    let mut module = part("module");
    module.rides_on = Some("board".into());
    module.bench_off = Some(leg("module-bench", free()));
    let mut lid = plain("lid", free());
    lid.reseat = Some(Reseat {
        at: ReachedState::Off,
        steps: vec![step("lid-reseat", 1.0)],
        prove: Vec::new(),
    });
    let mut fan = part("fan");
    fan.ease = Some(leg("fan-ease", free()));
    fan.reseat = Some(Reseat {
        at: ReachedState::Eased,
        steps: vec![step("fan-reseat", 1.0)],
        prove: Vec::new(),
    });
    fan.inspect = Some(Inspect {
        needs: off("lid"),
        steps: vec![step("fan-look", 1.0)],
    });
    file.parts = vec![lid, board, module, fan];
    file
}

fn swap_board(on: &TestUnit) -> Vec<Op> {
    vec![
        out(on, "lid"),
        out(on, "board"),
        bench_out(on, "module"),
        Op::Swap(on.part("board")),
        bench_back(on, "module"),
        back(on, "board"),
        back(on, "lid"),
    ]
}

#[test]
fn a_part_is_swapped_when_it_is_off_and_what_moves_over_is_off_it() {
    let on = TestUnit::new(board_with_module());
    let (board, module) = (on.part("board"), on.part("module"));
    let replace = [Task::Replace(board)];
    done(&on, &replace, &swap_board(&on));
    let early = [out(&on, "lid"), Op::Swap(board)];
    let (is, must_be) = (PartState::Fitted, PartState::Off);
    let part = board;
    assert_eq!(
        broken(&on, &replace, &early),
        (1, Violation::WrongState { part, is, must_be })
    );
    let mut on_it = swap_board(&on);
    on_it.remove(2);
    assert_eq!(
        broken(&on, &replace, &on_it),
        (2, Violation::StillOnOldPart(module))
    );
}

#[test]
fn a_rider_that_is_not_there_need_not_move_over() {
    let mut file = board_with_module();
    file.parts[2].when = Some(fitted("new-board"));
    let on = TestUnit::with(file, &[]);
    let ops: Vec<Op> = swap_board(&on)
        .into_iter()
        .filter(|op| op.part() != Some(on.part("module")))
        .collect();
    done(&on, &[Task::Replace(on.part("board"))], &ops);
}

#[test]
fn hand_backs_are_done_where_their_condition_holds() {
    let old = TestUnit::with(board_with_module(), &[]);
    let new = TestUnit::with(board_with_module(), &["new-board"]);
    let replace = [Task::Replace(old.part("board"))];
    let with_old = done(&old, &replace, &swap_board(&old));
    let with_new = done(&new, &replace, &swap_board(&new));
    assert!(with_old.hand_backs.is_empty());
    assert_eq!(with_new.hand_backs, [(new.part("board"), "bracket".into())]);
    assert_eq!(with_new.cost.work, with_old.cost.work + 40);
}

#[test]
fn a_part_is_reseated_as_far_out_as_the_catalog_says() {
    let on = TestUnit::new(board_with_module());
    let (lid, fan) = (on.part("lid"), on.part("fan"));
    let (is, must_be) = (PartState::Fitted, PartState::Off);
    assert_eq!(
        broken(&on, &[Task::Reseat(lid)], &[Op::Reseat(lid)]),
        (
            0,
            Violation::WrongState {
                part: lid,
                is,
                must_be
            }
        )
    );
    let must_be = PartState::Eased;
    assert_eq!(
        broken(&on, &[Task::Reseat(fan)], &[Op::Reseat(fan)]),
        (
            0,
            Violation::WrongState {
                part: fan,
                is,
                must_be
            }
        )
    );
    let ops = [Op::Ease(fan), Op::Reseat(fan), Op::Settle(fan)];
    done(&on, &[Task::Reseat(fan)], &ops);
    let ops = [out(&on, "lid"), Op::Reseat(lid), back(&on, "lid")];
    done(&on, &[Task::Reseat(lid)], &ops);
}

#[test]
fn a_part_is_inspected_when_it_can_be_seen() {
    let on = TestUnit::new(board_with_module());
    let fan = on.part("fan");
    let (at, why) = broken(&on, &[Task::Inspect(fan)], &[Op::Inspect(fan)]);
    assert_eq!(at, 0);
    assert!(matches!(why, Violation::Needs(_)));
    let ops = [out(&on, "lid"), Op::Inspect(fan), back(&on, "lid")];
    done(&on, &[Task::Inspect(fan)], &ops);
}

#[test]
fn a_task_is_done_only_if_asked_for_and_only_once() {
    let on = TestUnit::new(board_with_module());
    let fan = on.part("fan");
    let ops = [Op::Ease(fan), Op::Reseat(fan), Op::Reseat(fan)];
    let why = Violation::NotAsked(Task::Reseat(fan));
    assert_eq!(broken(&on, &[], &ops), (1, why.clone()));
    assert_eq!(broken(&on, &[Task::Reseat(fan)], &ops), (2, why));
}

#[test]
fn a_task_that_the_catalog_does_not_offer_cannot_be_done() {
    let on = TestUnit::new(board_with_module());
    let lid = on.part("lid");
    for (task, op) in [
        (Task::Replace(lid), Op::Swap(lid)),
        (Task::Inspect(lid), Op::Inspect(lid)),
        (Task::Reseat(on.part("board")), Op::Reseat(on.part("board"))),
    ] {
        assert_eq!(broken(&on, &[task], &[op]), (0, Violation::NotOffered));
    }
}

/// The unit above with a service that is ordered against others.
fn with_service(before: &[OrderAnchor], after: &[OrderAnchor]) -> TestUnit {
    let mut file = board_with_module();
    let mut save = service("save", free());
    save.before = before.to_vec();
    save.after = after.to_vec();
    file.services = vec![save, service("restore", free())];
    TestUnit::new(file)
}

fn with_op(ops: &[Op], at: usize, op: Op) -> Vec<Op> {
    let mut ops = ops.to_vec();
    ops.insert(at, op);
    ops
}

#[test]
fn a_service_that_comes_before_an_operation_holds_it_up() {
    let on = |before| with_service(&[before], &[]);
    // Where the service may be run at the latest, in the swap of the board.
    for (before, latest) in [
        (OrderAnchor::TakeOff("board".into()), 1),
        (OrderAnchor::TakeOff("module".into()), 2),
        (OrderAnchor::Swap("board".into()), 3),
        (OrderAnchor::PutBack("module".into()), 4),
        (OrderAnchor::PutBack("lid".into()), 6),
    ] {
        let on = on(before);
        let save = on.service("save");
        let tasks = [Task::Replace(on.part("board")), Task::Serve(save)];
        let ops = swap_board(&on);
        for at in 0..=ops.len() {
            let walked = walk(&on, &tasks, &with_op(&ops, at, Op::Serve(save)));
            match walked {
                Ok(_) => assert!(at <= latest),
                Err(illegal) => {
                    assert!(at > latest, "{illegal}");
                    assert_eq!(illegal.violation, Violation::ComesFirst(save));
                    assert_eq!(illegal.index, latest);
                }
            }
        }
        // Not asked for, it holds up nothing.
        done(&on, &tasks[..1], &ops);
    }
}

#[test]
fn services_come_one_before_the_other() {
    for (before, after) in [
        (vec![OrderAnchor::Service("restore".into())], vec![]),
        (vec![], vec![OrderAnchor::Service("restore".into())]),
    ] {
        let on = with_service(&before, &after);
        let (save, restore) = (on.service("save"), on.service("restore"));
        let tasks = [Task::Serve(save), Task::Serve(restore)];
        let mut right = [Op::Serve(save), Op::Serve(restore)];
        if before.is_empty() {
            right.reverse();
        }
        done(&on, &tasks, &right);
        right.reverse();
        let (at, why) = broken(&on, &tasks, &right);
        assert_eq!(at, 0);
        assert_eq!(
            why,
            if before.is_empty() {
                Violation::ComesAfter(lidoff_catalog::model::OpIx::Service(restore))
            } else {
                Violation::ComesFirst(save)
            }
        );
        // Alone, each is free.
        done(&on, &tasks[..1], &[Op::Serve(save)]);
    }
}

#[test]
fn a_service_waits_for_what_it_comes_after() {
    // Where the service may be run at the earliest, in the swap of the board.
    for (after, earliest) in [
        (OrderAnchor::TakeOff("board".into()), 2),
        (OrderAnchor::TakeOff("module".into()), 3),
        (OrderAnchor::Swap("board".into()), 4),
        (OrderAnchor::PutBack("module".into()), 5),
        (OrderAnchor::PutBack("board".into()), 6),
    ] {
        let on = with_service(&[], std::slice::from_ref(&after));
        let save = on.service("save");
        let tasks = [Task::Replace(on.part("board")), Task::Serve(save)];
        let ops = swap_board(&on);
        for at in 0..=ops.len() {
            let walked = walk(&on, &tasks, &with_op(&ops, at, Op::Serve(save)));
            match walked {
                Ok(_) => assert!(at >= earliest, "{after:?} at {at}"),
                Err(illegal) => {
                    assert!(at < earliest, "{illegal}");
                    assert!(matches!(illegal.violation, Violation::ComesAfter(_)));
                    assert_eq!(illegal.index, at);
                }
            }
        }
    }
}

#[test]
fn nothing_waits_for_what_is_not_done_in_this_job() {
    let after = [
        OrderAnchor::TakeOff("board".into()),
        OrderAnchor::Swap("board".into()),
        OrderAnchor::PutBack("board".into()),
        OrderAnchor::Service("restore".into()),
    ];
    let on = with_service(&[], &after);
    let save = on.service("save");
    done(&on, &[Task::Serve(save)], &[Op::Serve(save)]);
}

#[test]
fn a_service_after_putting_back_waits_while_the_part_is_off_for_whatever_reason() {
    let on = with_service(&[], &[OrderAnchor::PutBack("lid".into())]);
    let save = on.service("save");
    let tasks = [Task::Serve(save)];
    let ops = [out(&on, "lid"), Op::Serve(save)];
    let (at, why) = broken(&on, &tasks, &ops);
    assert_eq!(at, 1);
    assert!(matches!(why, Violation::ComesAfter(_)));
    // And while its own reseating is still to come.
    let lid = on.part("lid");
    let tasks = [Task::Serve(save), Task::Reseat(lid)];
    let (at, why) = broken(&on, &tasks, &[Op::Serve(save)]);
    assert_eq!(at, 0);
    assert!(matches!(why, Violation::ComesAfter(_)));
}

#[test]
fn a_service_runs_while_its_formula_is_true_and_where_it_exists() {
    let mut file = board_with_module();
    let mut clean = service("clean", off("lid"));
    clean.when = Some(fitted("new-board"));
    file.services = vec![clean];
    let on = TestUnit::with(file.clone(), &["new-board"]);
    let clean = on.service("clean");
    let tasks = [Task::Serve(clean)];
    let (at, why) = broken(&on, &tasks, &[Op::Serve(clean)]);
    assert_eq!(at, 0);
    assert!(matches!(why, Violation::Needs(_)));
    let ops = [out(&on, "lid"), Op::Serve(clean), back(&on, "lid")];
    done(&on, &tasks, &ops);
    let without = TestUnit::with(file, &[]);
    assert_eq!(broken(&without, &tasks, &ops), (1, Violation::NotFitted));
}
