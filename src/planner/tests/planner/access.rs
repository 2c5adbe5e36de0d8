//! The way in to one part: on random units no way is faster or has fewer steps, and on units
//! made by hand the figures are worked out on paper.

use std::cmp::Reverse;
use std::collections::{BTreeMap, BinaryHeap};

use lidoff_catalog::format::{Leg, Part};
use lidoff_catalog::model::PartIx;
use lidoff_planner::{Access, access};
use lidoff_planner::{Limits, Op, PartState, Phase, Way};
use lidoff_testkit::baseline::at_most;
use lidoff_testkit::builder::{
    self, FileNeeds, TestUnit, eased, fitted, free, leg, off, option, part, plain,
};
use lidoff_testkit::builder::{step_with, unit};
use lidoff_testkit::cp_sat::{ReferenceKind, reference_cases};
use lidoff_testkit::planning_case::PlanningCase;
use lidoff_testkit::random::UnitFeatures;
use lidoff_testkit::random_cases::{PriceModel, random_cases};
use lidoff_testkit::random_walk::{all_ops, legal_successors};
use proptest::prelude::*;
use proptest::test_runner::TestCaseResult;

/// Small enough for brute force.
const SMALL: UnitFeatures = UnitFeatures::ALL.sized(3, 6);
/// Larger cases are rejected.
const MAX_BRUTE_FORCE_STATES: usize = 6_000;

/// How far open the part is at the end of the way in.
fn wanted(job: &PlanningCase, part: PartIx) -> PartState {
    let reference_cases = job.catalog.part(part);
    if reference_cases.take_off.is_some() || reference_cases.bench_off.is_some() {
        PartState::Off
    } else {
        PartState::Eased
    }
}

/// The steps of one operation: its end is one, and so is each tool change within it.
fn steps(job: &PlanningCase, op: Op) -> u32 {
    let tools = op.steps(&job.catalog, &job.setup);
    let tools = tools.iter().filter_map(|at| job.catalog.step(*at).tool);
    let tools: Vec<_> = tools.collect();
    let changes = tools.windows(2).filter(|two| two[0] != two[1]);
    1 + changes.count() as u32
}

/// The least time of a way in or, by the other metric, the fewest steps, by trying every way
/// out. `None` where that takes too long.
fn least(job: &PlanningCase, part: PartIx, in_steps: bool) -> Option<Option<u32>> {
    let mut ops = all_ops(&job.catalog, &[]);
    ops.retain(|op| op.phase() == Phase::StripDown);
    let mut best = BTreeMap::new();
    let mut simulations = vec![job.simulation()];
    let mut heap = BinaryHeap::from([Reverse((0, 0_usize))]);
    while let Some(Reverse((cost, at))) = heap.pop() {
        let here = simulations[at].clone();
        if here.current_state().state.of(part) >= wanted(job, part) {
            return Some(Some(cost));
        }
        for (op, next) in legal_successors(&here, &ops) {
            let cost = match in_steps {
                true => cost + steps(job, op),
                false => next.cost().total,
            };
            let state = next.current_state().state;
            let key = (state.parts, state.tool, state.face, state.waits);
            if best.get(&key).is_none_or(|known| cost < *known) {
                best.insert(key, cost);
                heap.push(Reverse((cost, simulations.len())));
                simulations.push(next);
            }
        }
        if simulations.len() > MAX_BRUTE_FORCE_STATES {
            return None;
        }
    }
    Some(None)
}

fn check_least(job: &PlanningCase) -> TestCaseResult {
    let there = job
        .catalog
        .parts()
        .filter(|(_, part)| job.setup.holds(&part.when));
    for (part, _) in there {
        let (fastest, fewest) = (least(job, part, false), least(job, part, true));
        let (Some(fastest), Some(fewest)) = (fastest, fewest) else {
            return Err(TestCaseError::reject("too many states for brute force"));
        };
        let way = access(
            &job.catalog,
            &job.setup,
            &job.prices,
            part,
            Limits::default(),
        );
        prop_assert_eq!(way.as_ref().map(|way| way.time), fastest);
        prop_assert_eq!(way.as_ref().map(|way| way.depth), fewest);
        let Some(way) = way else { continue };
        prop_assert!(way.proven);
        let mut simulation = job.simulation();
        for op in &way.ops {
            let walked = simulation.perform(*op);
            prop_assert!(walked.is_ok(), "{walked:?}");
        }
        prop_assert_eq!(simulation.cost().total, way.time);
        prop_assert_eq!(way.ops.last().and_then(|op| op.part()), Some(part));
    }
    Ok(())
}

const WITHOUT_WAITS: UnitFeatures = UnitFeatures {
    waits: false,
    ..SMALL
};

proptest! {
    #![proptest_config(lidoff_testkit::strict_config(256))]

    #[test]
    fn no_way_in_is_faster_and_none_has_fewer_steps(
        job in random_cases(WITHOUT_WAITS, 0, PriceModel::Any)
    ) {
        check_least(&job)?;
    }

    /// Taking off a part that is in no way turns the unit over during a wait. No plan does
    /// that, so changes are free here.
    #[test]
    fn no_way_in_is_faster_with_waits(
        job in random_cases(SMALL, 0, PriceModel::FreeChanges)
    ) {
        check_least(&job)?;
    }
}

/// The way in to this part.
fn into(on: &TestUnit, part: &str) -> Option<Access> {
    let part = on.part(part);
    access(&on.catalog, &on.setup, &on.prices, part, Limits::default())
}

/// A leg whose steps out take 2 s each, with these tools.
fn with_tools(id: &str, tools: &[&str], needs: FileNeeds) -> Leg {
    let out = tools.iter().enumerate();
    let out = out.map(|(nth, tool)| step_with(&format!("{id}-{nth}"), 2.0, tool, "front"));
    Leg {
        out: out.collect(),
        ..leg(id, needs)
    }
}

#[test]
fn a_part_that_only_swings_open_is_reached_when_it_is_eased() {
    let mut file = unit("door");
    let door = Part {
        ease: Some(leg("door-ease", off("cap"))),
        ..part("door")
    };
    file.parts = vec![plain("cap", free()), door];
    let on = TestUnit::new(file);
    let (cap, door) = (on.part("cap"), on.part("door"));
    let way = into(&on, "door").unwrap();
    assert_eq!(way.ops, [Op::TakeOff(cap, Way::InPlace), Op::Ease(door)]);
    assert_eq!((way.time, way.depth, way.proven), (40, 2, true));
}

#[test]
fn there_is_no_way_in_to_an_absent_part() {
    let mut file = unit("option");
    file.options = vec![option("heater", None, false)];
    let coil = Part {
        when: Some(fitted("heater")),
        ..plain("coil", free())
    };
    file.parts = vec![coil];
    assert_eq!(into(&TestUnit::with(file.clone(), &[]), "coil"), None);
    assert!(into(&TestUnit::with(file, &["heater"]), "coil").is_some());
}

/// Past two covers with one tool, or past one cover with several tools: one way has fewer
/// steps, the other is faster.
#[test]
fn the_fastest_way_and_the_one_with_the_fewest_steps_are_reported_separately() {
    let mut file = unit("two-ways-in");
    let by = |id: &str, tools: &[&str], needs| Part {
        take_off: Some(with_tools(&format!("{id}-off"), tools, needs)),
        ..part(id)
    };
    file.parts = vec![
        by("lid", &["driver"], free()),
        by("shield", &["driver"], off("lid")),
        by("base", &["driver", "lever", "driver", "pliers"], free()),
        plain("fan", builder::any([off("shield"), off("base")])),
    ];
    let on = TestUnit::new(file);
    let way = into(&on, "fan").unwrap();
    let out = |part| Op::TakeOff(on.part(part), Way::InPlace);
    assert_eq!(way.ops, [out("lid"), out("shield"), out("fan")]);
    // The driver once, and three times 2 s.
    assert_eq!(way.time, 50 + 3 * 20);
    assert_eq!(
        way.depth, 3,
        "lid, shield, fan; by the base it is four and one"
    );
    let base = into(&on, "base").unwrap();
    assert_eq!(base.depth, 4, "three changes of tool, and off");
    assert_eq!(base.time, 4 * 50 + 4 * 20);
}

/// The clamp comes off with the lever and then the driver, the cover with the driver. Starting
/// with the cover, which takes less time, fetches the driver twice.
#[test]
fn the_order_that_saves_a_change_of_tool_is_found() {
    let by = |id: &str, tools: &[&str], needs| Part {
        take_off: Some(with_tools(&format!("{id}-off"), tools, needs)),
        ..part(id)
    };
    let mut file = unit("clamped");
    file.parts = vec![
        by("cover", &["driver"], free()),
        by("clamp", &["lever", "driver"], free()),
        plain("fan", builder::all([off("cover"), off("clamp")])),
    ];
    let on = TestUnit::new(file);
    let way = into(&on, "fan").unwrap();
    let out = |part| Op::TakeOff(on.part(part), Way::InPlace);
    assert_eq!(way.ops, [out("clamp"), out("cover"), out("fan")]);
    assert_eq!(way.time, 2 * 50 + 4 * 20);
    assert_eq!(way.depth, 4, "the change from lever to driver is one");
}

/// Behind a shell the fan lies past a lid and a shield, or past a base. At first the lid looks
/// nearest, then the base.
#[test]
fn a_way_in_that_met_the_limit_is_not_called_proven() {
    let taking = |id: &str, seconds, needs| Part {
        take_off: Some(Leg {
            out: vec![builder::step(&format!("{id}-out"), seconds)],
            ..leg(&format!("{id}-off"), needs)
        }),
        ..part(id)
    };
    let mut file = unit("two-ways-in");
    file.parts = vec![
        taking("shell", 50.0, free()),
        taking("lid", 2.0, off("shell")),
        taking("shield", 20.0, off("lid")),
        taking("base", 15.0, off("shell")),
        taking("fan", 2.0, builder::any([off("shield"), off("base")])),
    ];
    let on = TestUnit::new(file);
    let fan = on.part("fan");
    let within = |states| {
        let limits = Limits { states };
        access(&on.catalog, &on.setup, &on.prices, fan, limits).unwrap()
    };
    let whole = within(1_000);
    assert!(whole.proven);
    assert_eq!((whole.time, whole.depth), (500 + 150 + 20, 3));
    let hasty = within(1);
    assert!(!hasty.proven, "{hasty:?}");
    assert!(hasty.time >= whole.time && hasty.depth >= whole.depth);
}

/// To every part of the reference units: the time and the depth of all ways in, and how many of
/// them are not proven within so many states. A weaker heuristic shows here.
#[test]
fn the_ways_into_the_reference_units_take_no_more_work_than_the_baseline() {
    let all = |states| {
        let (mut time, mut depth, mut unproven) = (0, 0, 0);
        let cases = reference_cases().into_iter();
        // Energy is isolated before any way in.
        let has_sources = |kind| matches!(kind, ReferenceKind::Power | ReferenceKind::LeftOut);
        for one in cases.filter(|one| !has_sources(one.kind)) {
            let job = &one.job;
            for (part, _) in job.catalog.parts() {
                let limits = Limits { states };
                let way = access(&job.catalog, &job.setup, &job.prices, part, limits);
                time += way.as_ref().map_or(0, |way| way.time);
                depth += way.as_ref().map_or(0, |way| way.depth);
                unproven += u32::from(way.is_some_and(|way| !way.proven));
            }
        }
        (time, depth, unproven)
    };
    assert_eq!(all(1_000), (1_388_462, 7_363, 0), "the proven optima");
    let (time, depth, unproven) = all(16);
    at_most("time of all ways in with 16 states", time.into(), 1_399_505);
    at_most("depth of all ways in with 16 states", depth.into(), 7_378);
    at_most("unproven ways in with 16 states", unproven.into(), 125);
}

/// A part that is only eased on the way counts as one step, and is not taken off.
#[test]
fn a_flap_on_the_way_is_only_eased() {
    let mut file = unit("flap");
    let flap = Part {
        ease: Some(leg("flap-ease", free())),
        take_off: Some(leg("flap-off", free())),
        ..part("flap")
    };
    file.parts = vec![flap, plain("card", eased("flap"))];
    let on = TestUnit::new(file);
    let way = into(&on, "card").unwrap();
    let (flap, card) = (on.part("flap"), on.part("card"));
    assert_eq!(way.ops, [Op::Ease(flap), Op::TakeOff(card, Way::InPlace)]);
    let off = into(&on, "flap").unwrap();
    assert_eq!(off.ops, [Op::Ease(flap), Op::TakeOff(flap, Way::InPlace)]);
    assert_eq!((off.time, off.depth), (40, 2));
}
