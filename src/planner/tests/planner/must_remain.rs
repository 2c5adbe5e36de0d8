//! A part that must remain in place for something may be closed for that, and opened again for
//! what comes after.

use lidoff_catalog::format::{CatalogFile, Leg, Step};
use lidoff_planner::{Limits, Op, PartState, Request, Task, UnitState, Way, plan};
use lidoff_testkit::builder::{
    TestUnit, any, eased, free, in_place, leg, off, part, plain, step, unit,
};
use lidoff_testkit::planning_case::PlanningCase;

fn back(id: &str, seconds: f64, tool: Option<&str>, face: Option<&str>) -> Step {
    Step {
        tool: tool.map(Into::into),
        face: face.map(Into::into),
        ..step(id, seconds)
    }
}

/// A cover that opens and closes in no time. Under it an arm that settles only with the cover
/// closed, a plate that goes back only with it open, and a fan that rides on the plate and
/// goes back before the arm settles.
fn covered() -> CatalogFile {
    let mut cover = part("cover");
    cover.take_off = Some(Leg {
        out: vec![step("cover-out", 0.1)],
        back: vec![step("cover-back", 0.1)],
        ..leg("cover", free())
    });
    let mut arm = part("arm");
    arm.ease = Some(Leg {
        back: vec![
            back("arm-in", 8.0, Some("lever"), Some("side")),
            back("arm-shut", 8.0, Some("driver"), Some("front")),
        ],
        ..leg("arm-eased", in_place("cover"))
    });
    arm.take_off = Some(Leg {
        back: vec![back("arm-back", 20.0, Some("lever"), None)],
        ..leg("arm-off", off("cover"))
    });
    let mut fan = part("fan");
    fan.rides_on = Some("cover".into());
    fan.bench_off = Some(Leg {
        back: vec![back("fan-back", 20.0, None, Some("back"))],
        ..leg("fan", eased("arm"))
    });
    let mut plate = part("plate");
    plate.take_off = Some(Leg {
        refit_needs: any([in_place("arm"), off("fan")]),
        back: vec![back("plate-back", 20.0, Some("pliers"), Some("front"))],
        ..leg("plate", off("cover"))
    });
    let mut file = unit("covered");
    file.parts = vec![cover, arm, fan, plate];
    file
}

/// The plate first takes the pliers and the front, then the lever, the back, the side, and the
/// front again with the driver. The plate last saves the lever and one turn for two tenths of
/// a second of the cover.
#[test]
fn a_cover_that_must_stay_for_the_arm_is_opened_again_for_the_plate() {
    let on = TestUnit::new(covered());
    let [cover, arm, plate] = ["cover", "arm", "plate"].map(|id| on.part(id));
    let mut tools = on.catalog.tools();
    let mut faces = on.catalog.faces();
    let job = PlanningCase {
        from: UnitState {
            parts: vec![PartState::Off; 4],
            tool: tools
                .find(|(_, tool)| tool.id.as_str() == "lever")
                .map(|(at, _)| at),
            face: faces
                .find(|(_, face)| face.id.as_str() == "side")
                .map(|(at, _)| at),
            waits: Vec::new(),
        },
        ..PlanningCase::on(&on, &[])
    };
    let plan = plan(&job.request()).unwrap_or_else(|refusal| panic!("{refusal:?}"));
    let ops: Vec<Op> = plan.ops.iter().map(|planned| planned.op).collect();
    assert_eq!(
        ops[2..],
        [
            Op::PutBack(cover, Way::InPlace),
            Op::Settle(arm),
            Op::TakeOff(cover, Way::InPlace),
            Op::PutBack(plate, Way::InPlace),
            Op::PutBack(cover, Way::InPlace),
        ]
    );
    assert_eq!(job.simulate(&ops).map(|walk| walk.cost), Ok(plan.cost));
    let work = 200 + 200 + 1 + 160 + 1 + 200 + 1;
    assert_eq!(plan.cost.total, work + 2 * 50 + 3 * 80);
}

/// Common practice, no source: a unit is not laid on its side while its tank is full.
#[test]
fn what_a_face_needs_is_needed_by_every_operation_on_it() {
    let mut file = unit("tank");
    file.faces[1].needs = off("tank");
    let mut plate = plain("plate", free());
    if let Some(leg) = &mut plate.take_off {
        leg.out[0].face = Some("back".into());
    }
    plate.inspect = Some(lidoff_catalog::format::Inspect {
        needs: off("plate"),
        steps: vec![step("look", 1.0)],
    });
    file.parts = vec![plain("tank", free()), plate];
    let on = TestUnit::new(file);
    let task = [Task::Inspect(on.part("plate"))];
    let plan = plan(&Request {
        catalog: &on.catalog,
        setup: &on.setup,
        tasks: &task,
        from: &UnitState::closed(&on.catalog),
        prices: &on.prices,
        blocked: &[],
        limits: Limits::default(),
    })
    .expect("a plan");
    let first = Op::TakeOff(on.part("tank"), Way::InPlace);
    assert_eq!(plan.ops[0].op, first, "the tank first");
    let last = plan.ops.last().map(|planned| planned.op);
    assert_eq!(
        last,
        Some(Op::PutBack(on.part("tank"), Way::InPlace)),
        "and back last"
    );
}
