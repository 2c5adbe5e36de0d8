//! The cases of `planner_optima.json`, as `units.py` draws them, made into units that the
//! checker accepts.

use std::collections::HashMap;
use std::sync::Arc;

use lidoff_catalog::format::{
    CatalogFile, Condition, Formula, Inspect, Leg, OrderAnchor, Part, PartId, ReachedState, Reseat,
    Source, SourceKind, Step, Swap,
};
use lidoff_catalog::model::{FaceIx, PartIx, ToolIx};
use lidoff_planner::{PartState, Prices, Task, Tenths, UnitState};
use serde_json::Value;

use crate::builder::{self, FileCondition, FileNeeds, TestUnit};
use crate::planning_case::PlanningCase;

/// Which model solved the case.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReferenceKind {
    /// Each leg is used once at most, which is no loss in these cases.
    Once,
    /// Riders, parts that must remain, services; anything may be done again.
    Everything,
    /// The same with waits.
    Waits,
    /// Energy sources, and parts with two ways off.
    Power,
    /// The same with riders, on a unit that is closed without some part.
    LeftOut,
}

/// The proven optimum: the least time, and the fewest disturbed parts at that time.
#[derive(Clone, Copy, Debug)]
pub struct ReferenceAnswer {
    /// Over all plans; `None` where there is none.
    pub best: Option<(Tenths, u32)>,
    /// Over the plans that use each leg once; only where there are waits.
    pub once: Option<(Tenths, u32)>,
}

/// A case with its proven optimum.
pub struct ReferenceCase {
    pub kind: ReferenceKind,
    pub name: String,
    pub job: PlanningCase,
    pub answer: ReferenceAnswer,
}

pub fn reference_cases() -> Vec<ReferenceCase> {
    let lines: Vec<Value> =
        serde_json::from_str(include_str!("../../tests/reference/planner_optima.json"))
            .expect("the fixture is a list of jobs");
    lines.iter().map(reference_case).collect()
}

fn reference_case(line: &Value) -> ReferenceCase {
    let json = text(&line["kind"]);
    let kind = match json {
        "once" | "changes" => ReferenceKind::Once,
        "everything" => ReferenceKind::Everything,
        "waits" => ReferenceKind::Waits,
        "power" => ReferenceKind::Power,
        "left-out" => ReferenceKind::LeftOut,
        other => panic!("no kind {other}"),
    };
    let answer = |at: &str| {
        let answer = line.get(at)?.as_array()?;
        Some((number(&answer[0]), number(&answer[1])))
    };
    ReferenceCase {
        kind,
        name: format!("{json} {}", line["number"]),
        job: job(&line["job"]),
        answer: ReferenceAnswer {
            best: answer("best"),
            once: answer("once"),
        },
    }
}

fn job(json: &Value) -> PlanningCase {
    let mut unit_builder = ReferenceUnitBuilder::default();
    let file = unit_builder.unit(json);
    let options: Vec<String> = list(&json["fitted"])
        .enumerate()
        .filter(|(_, is)| is.as_bool().expect("yes or no"))
        .map(|(at, _)| format!("o{at}"))
        .collect();
    let options: Vec<&str> = options.iter().map(String::as_str).collect();
    let on = TestUnit::with(file, &options);
    let steps = on.catalog.steps();
    let steps =
        steps.map(|(_, step)| *unit_builder.times.get(step.entry.id.as_str()).unwrap_or(&0));
    let prices = Prices {
        steps: steps.collect(),
        tool_change: number(&json["tool_change"]),
        face_change: number(&json["face_change"]),
    };
    let tasks = list(&json["tasks"]).map(|task| {
        let at = &task[1];
        match text(&task[0]) {
            "replace" => Task::Replace(on.part(&part_id(at))),
            "reseat" => Task::Reseat(on.part(&part_id(at))),
            "inspect" => Task::Inspect(on.part(&part_id(at))),
            "serve" => Task::Serve(on.service(&service_id(at))),
            "leave-out" => Task::LeaveOut(on.part(&part_id(at))),
            other => panic!("no task {other}"),
        }
    });
    let tasks = tasks.collect();
    let from = state(&on, json);
    let left_out: Vec<PartIx> = (member(json, "without"))
        .map(|part| on.part(&part_id(part)))
        .collect();
    PlanningCase {
        setup: on.setup.without(&on.catalog, left_out),
        catalog: Arc::new(on.catalog),
        tasks,
        from,
        prices,
    }
}

fn state(on: &TestUnit, json: &Value) -> UnitState {
    let catalog = &on.catalog;
    let tool = |at: usize| -> Option<ToolIx> { Some(catalog.tools().nth(at)?.0) };
    let face = |at: usize| -> Option<FaceIx> { Some(catalog.faces().nth(at)?.0) };
    let parts = list(&json["from"]).map(|state| match number(state) {
        0 => PartState::Fitted,
        1 => PartState::Eased,
        _ => PartState::Off,
    });
    // In the model the sources come after the parts, and a live one is fitted.
    let sources = member(json, "power").map(|live| match live.as_bool() {
        Some(true) => PartState::Fitted,
        Some(false) => PartState::Off,
        None => panic!("{live}: neither live nor isolated"),
    });
    let running = member(json, "running").map(number);
    UnitState {
        parts: parts.chain(sources).collect(),
        tool: index(&json["tool"]).and_then(tool),
        face: index(&json["face"]).and_then(face),
        // A wait that no step comes after is not in the catalog.
        waits: (catalog.waits().map(|(wait, _)| wait))
            .zip(running)
            .filter(|(_, left)| *left > 0)
            .collect(),
    }
}

/// Builds the file, and keeps the time of each step.
#[derive(Default)]
struct ReferenceUnitBuilder {
    times: HashMap<String, Tenths>,
    /// The length of each wait in seconds, where some step comes after it.
    waits: Vec<Option<u32>>,
}

impl ReferenceUnitBuilder {
    fn unit(&mut self, json: &Value) -> CatalogFile {
        let mut file = builder::unit("reference");
        let options = list(&json["fitted"]).enumerate();
        file.options = options
            .map(|(at, _)| builder::option(&format!("o{at}"), None, true))
            .collect();
        self.waits = member(json, "waits")
            .enumerate()
            .map(|(wait, seconds)| is_awaited(json, wait).then(|| number(seconds)))
            .collect();
        // Such a wait must also start in making safe, which no planner sees.
        for (at, seconds) in self.waits.iter().enumerate() {
            if let Some(seconds) = seconds {
                let mut step = builder::step(&format!("begin-w{at}"), 1.0);
                step.starts_wait = Some(builder::wait(&format!("w{at}"), *seconds));
                file.make_safe.push(step);
            }
        }
        let parts = list(&json["parts"]).enumerate();
        file.parts = parts.map(|(at, part)| self.part(at, part)).collect();
        let sources = member(json, "sources").enumerate();
        file.sources = sources
            .map(|(at, source)| self.source(at, source))
            .collect();
        for (at, service) in member(json, "services").enumerate() {
            let id = format!("s{at}");
            let mut made = builder::service(&id, needs(service));
            made.before = member(service, "before").map(order_anchor).collect();
            made.after = member(service, "after").map(order_anchor).collect();
            made.may_be_live = sources_of(service, "may_be_live");
            made.live = sources_of(service, "live");
            made.steps = self.steps(&id, &service["steps"]);
            file.services.push(made);
        }
        file
    }

    fn part(&mut self, at: usize, json: &Value) -> Part {
        let id = format!("p{at}");
        Part {
            when: json.get("when").map(condition),
            rides_on: json.get("on").map(|on| PartId::from(part_id(on).as_str())),
            may_be_live: sources_of(json, "may_be_live"),
            ease: json.get("ease").map(|leg| self.leg(&id, "ease", leg)),
            take_off: json.get("off").map(|leg| self.leg(&id, "off", leg)),
            other_ways: (member(json, "others").enumerate())
                .map(|(nth, leg)| self.leg(&id, &format!("other-{nth}"), leg))
                .collect(),
            bench_off: json.get("bench").map(|leg| self.leg(&id, "bench", leg)),
            swap: json.get("replace").map(|how| Swap {
                steps: self.steps(&format!("{id}-swap"), &how["steps"]),
                moves_over: (member(how, "moves"))
                    .map(|rider| PartId::from(part_id(rider).as_str()))
                    .collect(),
                ..Swap::default()
            }),
            leave_out: (json.get("leave-out"))
                .map(|how| self.steps(&format!("{id}-left"), &how["steps"]))
                .unwrap_or_default(),
            reseat: json.get("reseat").map(|how| Reseat {
                at: match text(&how["at"]) {
                    "off" => ReachedState::Off,
                    _ => ReachedState::Eased,
                },
                steps: self.steps(&format!("{id}-reseat"), &how["steps"]),
                prove: Vec::new(),
            }),
            inspect: json.get("inspect").map(|how| Inspect {
                needs: needs(how),
                steps: self.steps(&format!("{id}-inspect"), &how["steps"]),
            }),
            ..builder::part(&id)
        }
    }

    fn source(&mut self, at: usize, json: &Value) -> Source {
        let id = source_id(&Value::from(at));
        let ways = member(json, "ways").enumerate();
        let mut ways = ways.map(|(nth, way)| self.leg(&id, &format!("way-{nth}"), way));
        Source {
            condemned: None,
            id: id.as_str().into(),
            name: id.clone(),
            about: None,
            kind: SourceKind::Mains,
            when: json.get("when").map(condition),
            fed_by: sources_of(json, "fed_by"),
            reach: json.get("reach").map(|reach| {
                let reached = list(reach).map(|part| PartId::from(part_id(part).as_str()));
                reached.collect()
            }),
            isolated: format!("{id} isolated"),
            live: format!("{id} live"),
            verify_after_minutes: None,
            connections: Vec::new(),
            isolation: ways.next().expect("a way to isolate it"),
            other_isolations: ways.collect(),
        }
    }

    fn leg(&mut self, id: &str, name: &str, json: &Value) -> Leg {
        Leg {
            may_be_live: sources_of(json, "may_be_live"),
            needs: needs(json),
            refit_needs: json.get("refit").map_or_else(builder::free, formula),
            out: self.steps(&format!("{id}-{name}-out"), &json["out"]),
            back: self.steps(&format!("{id}-{name}-back"), &json["back"]),
        }
    }

    fn steps(&mut self, name: &str, json: &Value) -> Vec<Step> {
        let steps = list(json).enumerate();
        steps
            .map(|(nth, step)| self.step(format!("{name}-{nth}"), step))
            .collect()
    }

    /// `[time, tool, face, condition, starts, after]`.
    fn step(&mut self, id: String, json: &Value) -> Step {
        let mut step = builder::step(&id, 1.0);
        let at = |nth: usize| json.get(nth).filter(|one| !one.is_null());
        let tools = ["driver", "lever", "pliers"];
        let faces = ["front", "back", "side"];
        step.tool = at(1).and_then(index).map(|at| tools[at].into());
        step.face = at(2).and_then(index).map(|at| faces[at].into());
        step.when = at(3).map(condition);
        step.starts_wait = at(4).and_then(index).and_then(|wait| {
            let seconds = self.waits[wait]?;
            Some(builder::wait(&format!("w{wait}"), seconds))
        });
        step.after_wait = at(5)
            .and_then(index)
            .map(|wait| format!("w{wait}").as_str().into());
        self.times.insert(id, number(&json[0]));
        step
    }
}

/// Whether any step comes after this wait.
fn is_awaited(json: &Value, wait: usize) -> bool {
    match json {
        Value::Array(all) => {
            // A step is the only list of six that begins with a number.
            let is = all.len() == 6 && all[0].is_number() && index(&all[5]) == Some(wait);
            is || all.iter().any(|one| is_awaited(one, wait))
        }
        Value::Object(all) => all.values().any(|one| is_awaited(one, wait)),
        _ => false,
    }
}

fn needs(json: &Value) -> FileNeeds {
    json.get("needs").map_or_else(builder::free, formula)
}

fn formula(json: &Value) -> FileNeeds {
    let rest = || list(json).skip(1);
    let part = || part_id(&json[1]);
    match text(&json[0]) {
        "all" => Formula::All(rest().map(formula).collect()),
        "any" => Formula::Any(rest().map(formula).collect()),
        "when" => Formula::When {
            condition: condition(&json[1]),
            then: Box::new(formula(&json[2])),
        },
        "off" => builder::off(&part()),
        "eased" => builder::eased(&part()),
        "clear" => builder::clear(&part()),
        "stay" => builder::in_place(&part()),
        "isolated" => builder::off(&source_id(&json[1])),
        "live" => builder::in_place(&source_id(&json[1])),
        "closed" => Formula::Closed,
        other => panic!("no formula {other}"),
    }
}

fn condition(json: &Value) -> FileCondition {
    let rest = || list(json).skip(1).map(condition).collect();
    match text(&json[0]) {
        "fitted" => builder::fitted(&format!("o{}", json[1])),
        "not" => Condition::Not(Box::new(condition(&json[1]))),
        "all" => Condition::All(rest()),
        "any" => Condition::Any(rest()),
        other => panic!("no condition {other}"),
    }
}

fn order_anchor(json: &Value) -> OrderAnchor {
    match text(&json[0]) {
        "take-off" => OrderAnchor::TakeOff(part_id(&json[1]).as_str().into()),
        "put-back" => OrderAnchor::PutBack(part_id(&json[1]).as_str().into()),
        "swap" => OrderAnchor::Swap(part_id(&json[1]).as_str().into()),
        "service" => OrderAnchor::Service(service_id(&json[1]).as_str().into()),
        other => panic!("no operation {other}"),
    }
}

fn part_id(at: &Value) -> String {
    format!("p{at}")
}

fn source_id(at: &Value) -> String {
    format!("e{at}")
}

fn sources_of(json: &Value, member_name: &str) -> Vec<PartId> {
    let sources = member(json, member_name).map(source_id);
    sources.map(|id| PartId::from(id.as_str())).collect()
}

fn service_id(at: &Value) -> String {
    format!("s{at}")
}

/// The list of this name; empty where it is absent.
fn member<'v>(json: &'v Value, name: &str) -> impl Iterator<Item = &'v Value> {
    json.get(name).into_iter().flat_map(list)
}

fn list(json: &Value) -> impl Iterator<Item = &Value> {
    json.as_array().expect("a list").iter()
}

fn text(json: &Value) -> &str {
    json.as_str().expect("a word")
}

fn number(json: &Value) -> u32 {
    let number = json.as_u64().expect("a whole number");
    u32::try_from(number).expect("a small number")
}

fn index(json: &Value) -> Option<usize> {
    json.as_u64().map(|at| at as usize)
}
