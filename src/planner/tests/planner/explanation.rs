//! Why an operation is in a plan: checked on random cases against the simulator, and on units
//! made by hand.

use lidoff_catalog::format::Swap;
use lidoff_planner::Alternative;
use lidoff_planner::explanation::{NeededState, Purpose};
use lidoff_planner::progress::block_on;
use lidoff_planner::{Op, PartState, Phase, Request, Task, Way, explain, find_alternative, plan};
use lidoff_testkit::builder::{self, TestUnit, eased, free, leg, off, part, plain, unit};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases_under_way};
use lidoff_testkit::strict_config;
use proptest::prelude::*;

use super::checks::{ops, proven};

const MEDIUM: UnitFeatures = UnitFeatures {
    waits: false,
    ..UnitFeatures::ALL.sized(3, 7)
};

/// The operations of the cheapest plan.
fn planned(case: &PlanningCase) -> Result<Vec<Op>, TestCaseError> {
    proven(case).map(|plan| ops(&plan))
}

proptest! {
    #![proptest_config(strict_config(320))]

    /// The chain leads from the operation, link by link, to its purpose, and the simulator
    /// refuses the plan without the operation.
    #[test]
    fn an_operation_that_opens_the_way_cannot_be_left_out(
        job in random_cases_under_way(MEDIUM, 3, PriceModel::Any)
    ) {
        let ops = planned(&job)?;
        for (at, op) in ops.iter().enumerate() {
            let said = explain(&job.request(), &ops, at).expect("the plan is for this request");
            prop_assert_eq!(said.op, *op);
            match &said.purpose {
                Purpose::Work { task, .. } => prop_assert_eq!(task.op(), *op),
                Purpose::Closes { opened_for } => {
                    prop_assert_eq!(op.phase(), Phase::Refit);
                    for task in opened_for {
                        prop_assert!(job.tasks.contains(task));
                        prop_assert!(ops[..at].contains(&task.op()));
                    }
                }
                Purpose::Nothing => prop_assert_eq!(op.phase(), Phase::StripDown),
                Purpose::Opens { chain, .. } => {
                    prop_assert_eq!(chain.first().map(|asks| asks.part), op.part());
                    for pair in chain.windows(2) {
                        prop_assert_eq!(pair[0].op.part(), Some(pair[1].part));
                    }
                    let end = chain.last().map(|asks| asks.op.phase());
                    prop_assert_ne!(end, Some(Phase::StripDown));
                    let mut without = ops.clone();
                    without.remove(at);
                    let legal = job.simulate(&without);
                    prop_assert!(legal.is_err(), "{:?} without {:?}", ops, op);
                }
            }
        }
    }

    /// An operation can stand anywhere between its bounds, at the cost that is reported, and
    /// not beyond them.
    #[test]
    fn an_operation_cannot_be_moved_past_its_bounds(
        job in random_cases_under_way(MEDIUM, 3, PriceModel::Any)
    ) {
        let ops = planned(&job)?;
        // Where an operation is done twice, the bound does not say which one is meant.
        let once = |op: Op| ops.iter().filter(|other| **other == op).count() == 1;
        for at in 0..ops.len() {
            let said = explain(&job.request(), &ops, at).expect("the plan is for this request");
            let moved = |to: usize| {
                let mut moved = ops.clone();
                let op = moved.remove(at);
                moved.insert(to, op);
                job.simulate(&moved)
            };
            if let Some(after) = said.slack.after.filter(|op| once(*op)) {
                let bound = ops[..at].iter().rposition(|op| *op == after);
                prop_assert!(moved(bound.expect("it stands before")).is_err());
            }
            if let Some(before) = said.slack.before.filter(|op| once(*op)) {
                let bound = ops[at + 1..].iter().position(|op| *op == before);
                prop_assert!(moved(at + 1 + bound.expect("it stands after")).is_err());
            }
            // As far as it can be moved, and the cost there.
            let here = moved(at).expect("it is a plan").cost.total;
            let cost = |to| moved(to).ok().map(|walk| walk.cost.total.saturating_sub(here));
            let sooner = (0..at).rev().map_while(cost).last();
            prop_assert_eq!(said.slack.sooner, sooner);
            prop_assert_eq!(said.slack.later, (at + 1..ops.len()).map_while(cost).last());
        }
    }

    #[test]
    fn no_plan_without_an_operation_is_cheaper(
        job in random_cases_under_way(MEDIUM, 2, PriceModel::Any),
        which in any::<prop::sample::Index>(),
    ) {
        let ops = planned(&job)?;
        let out: Vec<Op> = ops.iter().copied().filter(|op| op.phase() == Phase::StripDown).collect();
        if out.is_empty() {
            return Ok(());
        }
        let without = *which.get(&out);
        let here = plan(&job.request()).expect("planned before").cost.total;
        let planner = async |request: &Request| {
            let found = plan(request);
            if let Ok(found) = &found {
                assert!(found.ops.iter().all(|planned| planned.op != without));
                assert!(found.cost.total >= here);
            }
            found
        };
        let other = block_on(find_alternative(&job.request(), &ops, without, planner));
        prop_assert!(other.is_some());
    }
}

/// A fan under a heatsink, under a lid that swings open; or through a base.
fn fan() -> TestUnit {
    let mut file = unit("fan");
    let mut lid = part("lid");
    lid.ease = Some(leg("lid-ease", free()));
    lid.take_off = Some(leg("lid-off", free()));
    let mut fan = plain("fan", builder::any([off("heatsink"), off("base")]));
    fan.swap = Some(Swap::default());
    let clip = lidoff_catalog::format::Part {
        rides_on: Some("heatsink".into()),
        bench_off: Some(leg("clip-off", free())),
        ..part("clip")
    };
    file.parts = vec![
        lid,
        plain("heatsink", eased("lid")),
        plain("seal", off("lid")),
        plain("base", off("seal")),
        fan,
        clip,
    ];
    TestUnit::new(file)
}

#[test]
fn the_chain_leads_from_the_task_down_to_the_operation() {
    let on = fan();
    let job = PlanningCase::on(&on, &[Task::Replace(on.part("fan"))]);
    let ops = planned(&job).unwrap();
    let (lid, heatsink, fan) = (on.part("lid"), on.part("heatsink"), on.part("fan"));
    let off = |part| Op::TakeOff(part, Way::InPlace);
    assert_eq!(
        ops[..4],
        [Op::Ease(lid), off(heatsink), off(fan), Op::Swap(fan)]
    );
    let first = explain(&job.request(), &ops, 0).unwrap();
    assert_eq!(
        first.purpose,
        Purpose::Opens {
            chain: vec![
                NeededState {
                    op: off(heatsink),
                    part: lid,
                    level: PartState::Eased
                },
                NeededState {
                    op: off(fan),
                    part: heatsink,
                    level: PartState::Off
                },
                NeededState {
                    op: Op::Swap(fan),
                    part: fan,
                    level: PartState::Off
                },
            ],
            tasks: vec![Task::Replace(fan)],
        }
    );
    let words = first.words(&on.catalog);
    assert_eq!(
        words[0],
        "Replacing “fan” needs “fan” off; that needs “heatsink” off; that needs “lid” eased."
    );
    let heatsink_words = explain(&job.request(), &ops, 1).unwrap().words(&on.catalog);
    assert_eq!(heatsink_words[1], "“clip” comes away with it.");
    assert_eq!(
        heatsink_words[2],
        "It must come after “lid” is eased and before “fan” comes off."
    );
    // Duct out 2 s and back 3 s against lid off, seal and base, 2 s and 3 s each.
    let other = block_on(find_alternative(
        &job.request(),
        &ops,
        off(heatsink),
        async |request| plan(request),
    ));
    let instead = vec![off(lid), off(on.part("seal")), off(on.part("base"))];
    assert_eq!(
        other,
        Some(Alternative::Longer {
            by: 100,
            proven: true,
            instead
        })
    );
}

/// The fan needs the lid only eased; by then it is off for the seal.
#[test]
fn a_part_that_is_opened_for_two_tasks_names_both() {
    let mut file = unit("seal-and-fan");
    let mut lid = part("lid");
    lid.ease = Some(leg("lid-ease", free()));
    lid.take_off = Some(leg("lid-off", free()));
    let replaced = |id: &str, needs| {
        let mut part = plain(id, needs);
        part.swap = Some(Swap::default());
        part
    };
    let (seal, fan) = (replaced("seal", off("lid")), replaced("fan", eased("lid")));
    file.parts = vec![lid, seal, fan];
    let on = TestUnit::new(file);
    let [lid, seal, fan] = ["lid", "seal", "fan"].map(|part| on.part(part));
    let job = PlanningCase::on(&on, &[Task::Replace(seal), Task::Replace(fan)]);
    let out = |part| Op::TakeOff(part, Way::InPlace);
    let back = |part| Op::PutBack(part, Way::InPlace);
    let ops = [
        Op::Ease(lid),
        out(lid),
        out(seal),
        Op::Swap(seal),
        back(seal),
        out(fan),
        Op::Swap(fan),
        back(fan),
        back(lid),
        Op::Settle(lid),
    ];
    let Purpose::Opens { tasks, .. } = explain(&job.request(), &ops, 0).unwrap().purpose else {
        panic!("it opens");
    };
    assert_eq!(tasks, [Task::Replace(seal), Task::Replace(fan)]);
    // Each is closed again for the tasks that it was opened for.
    for (at, tasks) in [
        (4, vec![Task::Replace(seal)]),
        (7, vec![Task::Replace(fan)]),
        (8, vec![Task::Replace(seal)]),
        (9, vec![Task::Replace(seal), Task::Replace(fan)]),
    ] {
        let closes = Purpose::Closes { opened_for: tasks };
        assert_eq!(explain(&job.request(), &ops, at).unwrap().purpose, closes);
    }
}

/// The lid is closed once it is replaced, and opened again for the fan.
#[test]
fn a_part_is_not_closed_for_a_task_for_which_it_is_opened_again() {
    let mut file = unit("lid-and-fan");
    let mut fan = plain("fan", off("lid"));
    fan.swap = Some(Swap::default());
    let mut lid = plain("lid", free());
    lid.swap = Some(Swap::default());
    file.parts = vec![lid, fan];
    let on = TestUnit::new(file);
    let [lid, fan] = ["lid", "fan"].map(|part| on.part(part));
    let job = PlanningCase::on(&on, &[Task::Replace(lid), Task::Replace(fan)]);
    let out = |part| Op::TakeOff(part, Way::InPlace);
    let back = |part| Op::PutBack(part, Way::InPlace);
    let ops = [
        out(lid),
        Op::Swap(lid),
        back(lid),
        out(lid),
        out(fan),
        Op::Swap(fan),
        back(fan),
        back(lid),
    ];
    assert!(job.simulate(&ops).is_ok());
    let closed_for = |at| match explain(&job.request(), &ops, at).unwrap().purpose {
        Purpose::Closes { opened_for } => opened_for,
        purpose => panic!("{purpose:?}"),
    };
    assert_eq!(closed_for(2), [Task::Replace(lid)]);
    assert_eq!(closed_for(7), [Task::Replace(fan)]);
}

#[test]
fn a_part_that_only_a_way_back_needs_is_opened_for_that() {
    let mut file = unit("plate");
    let mut plate = plain("plate", off("cover"));
    plate.take_off.as_mut().unwrap().refit_needs = off("cover");
    file.parts = vec![plain("cover", free()), plate];
    let on = TestUnit::new(file);
    let [cover, plate] = ["cover", "plate"].map(|part| on.part(part));
    let mut job = PlanningCase::on(&on, &[]);
    job.from.parts[plate.index()] = PartState::Off;
    let ops = planned(&job).unwrap();
    let asks = NeededState {
        op: Op::PutBack(plate, Way::InPlace),
        part: cover,
        level: PartState::Off,
    };
    let purpose = explain(&job.request(), &ops, 0).unwrap().purpose;
    let (chain, tasks) = (vec![asks], Vec::new());
    assert_eq!(purpose, Purpose::Opens { chain, tasks });
}

#[test]
fn a_service_says_which_replacement_brings_it_along() {
    let mut file = unit("pump");
    let mut pump = plain("pump", free());
    pump.swap = Some(Swap {
        services: vec!["flush".into()],
        ..Swap::default()
    });
    file.parts = vec![pump];
    file.services = vec![
        builder::service("flush", free()),
        builder::service("look", free()),
    ];
    let on = TestUnit::new(file);
    let pump = on.part("pump");
    let services = ["flush", "look"].map(|id| Task::Serve(on.service(id)));
    let job = PlanningCase::on(&on, &[Task::Replace(pump), services[0], services[1]]);
    let ops = planned(&job).unwrap();
    for (task, brought_by) in services.into_iter().zip([Some(pump), None]) {
        let at = ops.iter().position(|op| *op == task.op()).unwrap();
        let purpose = explain(&job.request(), &ops, at).unwrap().purpose;
        assert_eq!(purpose, Purpose::Work { task, brought_by });
    }
}

#[test]
fn a_rider_that_is_off_does_not_come_away() {
    let on = fan();
    let [heatsink, clip] = ["heatsink", "clip"].map(|part| on.part(part));
    let mut job = PlanningCase::on(&on, &[Task::Replace(on.part("fan"))]);
    for (state, riders) in [(PartState::Fitted, vec![clip]), (PartState::Off, vec![])] {
        job.from.parts[clip.index()] = state;
        let ops = planned(&job).unwrap();
        let off = Op::TakeOff(heatsink, Way::InPlace);
        let at = ops.iter().position(|op| *op == off).unwrap();
        assert_eq!(explain(&job.request(), &ops, at).unwrap().riders, riders);
    }
}

#[test]
fn only_a_way_out_of_this_plan_has_an_alternative() {
    let on = fan();
    let job = PlanningCase::on(&on, &[Task::Replace(on.part("fan"))]);
    let ops = planned(&job).unwrap();
    let base = Op::TakeOff(on.part("base"), Way::InPlace);
    let back = Op::PutBack(on.part("heatsink"), Way::InPlace);
    assert!(!ops.contains(&base) && ops.contains(&back));
    let request = job.request();
    for op in [base, back] {
        let other = find_alternative(&request, &ops, op, async |request| plan(request));
        assert_eq!(block_on(other), None);
    }
}

#[test]
fn opening_and_closing_without_need_is_reported_as_without_need() {
    let on = fan();
    let lid = on.part("lid");
    let job = PlanningCase::on(&on, &[]);
    let mut begun = job.clone();
    begun.from.parts[lid.index()] = PartState::Eased;
    let (out, back) = (
        Op::TakeOff(lid, Way::InPlace),
        Op::PutBack(lid, Way::InPlace),
    );
    let ops = [out, back, Op::Settle(lid)];
    assert!(begun.simulate(&ops).is_ok());
    let needs: Vec<Purpose> = (0..ops.len())
        .filter_map(|at| explain(&begun.request(), &ops, at))
        .map(|explain| explain.purpose)
        .collect();
    let closes = || Purpose::Closes {
        opened_for: Vec::new(),
    };
    assert_eq!(needs, [Purpose::Nothing, closes(), closes()]);
}
