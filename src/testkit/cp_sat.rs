//! `planner_optima.json`: jobs as `units.py` draws them, made into units that the
//! checker lets through.

use std::collections::HashMap;
use std::sync::Arc;

use lidoff_catalog::format::{
    CatalogFile, Condition, Formula, Inspect, Leg, OrderAnchor, Part, PartId, ReachedState, Reseat,
    Step, Swap,
};
use lidoff_catalog::model::{FaceIx, ToolIx};
use lidoff_planner::{PartState, Prices, Task, Tenths, UnitState};
use serde_json::Value;

use crate::builder::{self, OnBench, SaidCond, SaidNeeds};
use crate::job::Job;

/// What sort of job it is, by the model that it was solved with.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Each leg is walked once at most, which is no loss there.
    Once,
    /// Riders, what must stay, services; anything may be done again.
    Everything,
    /// The same with something to wait for.
    Waits,
}

/// What the reference says of it: least time, and fewest parts disturbed at that
/// time.
#[derive(Clone, Copy, Debug)]
pub struct Answer {
    /// Of all plans; `None` where there is no way.
    pub best: Option<(Tenths, u32)>,
    /// Of those that walk each leg once; only where there are waits.
    pub once: Option<(Tenths, u32)>,
}

/// A job, and what is known of it.
pub struct Known {
    /// What sort it is.
    pub kind: Kind,
    /// What to call it.
    pub name: String,
    /// The job.
    pub job: Job,
    /// What the reference says.
    pub answer: Answer,
}

/// All of them.
pub fn known() -> Vec<Known> {
    let lines: Vec<Value> =
        serde_json::from_str(include_str!("../../tests/reference/planner_optima.json"))
            .expect("the fixture is a list of jobs");
    lines.iter().map(one).collect()
}

fn one(line: &Value) -> Known {
    let said = text(&line["kind"]);
    let kind = match said {
        "once" | "changes" => Kind::Once,
        "everything" => Kind::Everything,
        "waits" => Kind::Waits,
        other => panic!("no kind {other}"),
    };
    let answer = |at: &str| {
        let answer = line.get(at)?.as_array()?;
        Some((number(&answer[0]), number(&answer[1])))
    };
    Known {
        kind,
        name: format!("{said} {}", line["number"]),
        job: job(&line["job"]),
        answer: Answer {
            best: answer("best"),
            once: answer("once"),
        },
    }
}

fn job(said: &Value) -> Job {
    let mut maker = Maker::default();
    let file = maker.unit(said);
    let options: Vec<String> = list(&said["fitted"])
        .enumerate()
        .filter(|(_, is)| is.as_bool().expect("yes or no"))
        .map(|(at, _)| format!("o{at}"))
        .collect();
    let options: Vec<&str> = options.iter().map(String::as_str).collect();
    let on = OnBench::with(file, &options);
    let steps = on.catalog.steps();
    let steps = steps.map(|(_, step)| *maker.times.get(step.entry.id.as_str()).unwrap_or(&0));
    let prices = Prices {
        steps: steps.collect(),
        tool_change: number(&said["tool_change"]),
        face_change: number(&said["face_change"]),
    };
    let tasks = list(&said["tasks"]).map(|task| {
        let at = &task[1];
        match text(&task[0]) {
            "replace" => Task::Replace(on.part(&part_id(at))),
            "reseat" => Task::Reseat(on.part(&part_id(at))),
            "inspect" => Task::Inspect(on.part(&part_id(at))),
            "serve" => Task::Serve(on.service(&service_id(at))),
            other => panic!("no task {other}"),
        }
    });
    let tasks = tasks.collect();
    let from = state(&on, said);
    Job {
        catalog: Arc::new(on.catalog),
        setup: on.setup,
        tasks,
        from,
        prices,
    }
}

fn state(on: &OnBench, said: &Value) -> UnitState {
    let catalog = &on.catalog;
    let tool = |at: usize| -> Option<ToolIx> { Some(catalog.tools().nth(at)?.0) };
    let face = |at: usize| -> Option<FaceIx> { Some(catalog.faces().nth(at)?.0) };
    let parts = list(&said["from"]).map(|state| match number(state) {
        0 => PartState::Fitted,
        1 => PartState::Eased,
        _ => PartState::Off,
    });
    let running = said.get("running").into_iter().flat_map(list).map(number);
    UnitState {
        parts: parts.collect(),
        tool: index(&said["tool"]).and_then(tool),
        face: index(&said["face"]).and_then(face),
        // A wait that nothing waits for is not in the catalog.
        waits: (catalog.waits().map(|(wait, _)| wait))
            .zip(running)
            .filter(|(_, left)| *left > 0)
            .collect(),
    }
}

/// Makes the file, and remembers what each step takes.
#[derive(Default)]
struct Maker {
    times: HashMap<String, Tenths>,
    /// Each wait's length in seconds, where something waits for it.
    waits: Vec<Option<u32>>,
}

impl Maker {
    fn unit(&mut self, said: &Value) -> CatalogFile {
        let mut file = builder::unit("reference");
        let options = list(&said["fitted"]).enumerate();
        file.options = options
            .map(|(at, _)| builder::option(&format!("o{at}"), None, true))
            .collect();
        self.waits = said
            .get("waits")
            .into_iter()
            .flat_map(list)
            .enumerate()
            .map(|(wait, seconds)| is_awaited(said, wait).then(|| number(seconds)))
            .collect();
        // What is waited for is begun in making safe, too, which no planner sees.
        for (at, seconds) in self.waits.iter().enumerate() {
            if let Some(seconds) = seconds {
                let mut step = builder::step(&format!("begin-w{at}"), 1.0);
                step.starts_wait = Some(builder::wait(&format!("w{at}"), *seconds));
                file.make_safe.push(step);
            }
        }
        let parts = list(&said["parts"]).enumerate();
        file.parts = parts.map(|(at, part)| self.part(at, part)).collect();
        let services = said.get("services").into_iter().flat_map(list).enumerate();
        for (at, service) in services {
            let id = format!("s{at}");
            let mut made = builder::service(&id, needs(service));
            made.before = service
                .get("before")
                .into_iter()
                .flat_map(list)
                .map(op)
                .collect();
            made.after = service
                .get("after")
                .into_iter()
                .flat_map(list)
                .map(op)
                .collect();
            made.steps = self.steps(&id, &service["steps"]);
            file.services.push(made);
        }
        file
    }

    fn part(&mut self, at: usize, said: &Value) -> Part {
        let id = format!("p{at}");
        Part {
            when: said.get("when").map(condition),
            rides_on: said.get("on").map(|on| PartId::from(part_id(on).as_str())),
            ease: self.leg(&id, "ease", said),
            take_off: self.leg(&id, "off", said),
            bench_off: self.leg(&id, "bench", said),
            swap: said.get("replace").map(|how| Swap {
                steps: self.steps(&format!("{id}-swap"), &how["steps"]),
                moves_over: (how.get("moves").into_iter().flat_map(list))
                    .map(|rider| PartId::from(part_id(rider).as_str()))
                    .collect(),
                ..Swap::default()
            }),
            reseat: said.get("reseat").map(|how| Reseat {
                at: match text(&how["at"]) {
                    "off" => ReachedState::Off,
                    _ => ReachedState::Eased,
                },
                steps: self.steps(&format!("{id}-reseat"), &how["steps"]),
                prove: Vec::new(),
            }),
            inspect: said.get("inspect").map(|how| Inspect {
                needs: needs(how),
                steps: self.steps(&format!("{id}-inspect"), &how["steps"]),
            }),
            ..builder::part(&id)
        }
    }

    fn leg(&mut self, id: &str, name: &str, said: &Value) -> Option<Leg> {
        let said = said.get(name)?;
        Some(Leg {
            needs: needs(said),
            refit_needs: said.get("refit").map_or_else(builder::free, formula),
            out: self.steps(&format!("{id}-{name}-out"), &said["out"]),
            back: self.steps(&format!("{id}-{name}-back"), &said["back"]),
        })
    }

    fn steps(&mut self, name: &str, said: &Value) -> Vec<Step> {
        let steps = list(said).enumerate();
        steps
            .map(|(nth, step)| self.step(format!("{name}-{nth}"), step))
            .collect()
    }

    /// `[time, tool, face, condition, starts, after]`.
    fn step(&mut self, id: String, said: &Value) -> Step {
        let mut step = builder::step(&id, 1.0);
        let at = |nth: usize| said.get(nth).filter(|one| !one.is_null());
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
        self.times.insert(id, number(&said[0]));
        step
    }
}

/// Whether any step comes after it.
fn is_awaited(said: &Value, wait: usize) -> bool {
    match said {
        Value::Array(all) => {
            // A step is the one list of six that begins with a number.
            let is = all.len() == 6 && all[0].is_number() && index(&all[5]) == Some(wait);
            is || all.iter().any(|one| is_awaited(one, wait))
        }
        Value::Object(all) => all.values().any(|one| is_awaited(one, wait)),
        _ => false,
    }
}

fn needs(said: &Value) -> SaidNeeds {
    said.get("needs").map_or_else(builder::free, formula)
}

fn formula(said: &Value) -> SaidNeeds {
    let rest = || list(said).skip(1);
    let part = || part_id(&said[1]);
    match text(&said[0]) {
        "all" => Formula::All(rest().map(formula).collect()),
        "any" => Formula::Any(rest().map(formula).collect()),
        "when" => Formula::When {
            condition: condition(&said[1]),
            then: Box::new(formula(&said[2])),
        },
        "off" => builder::off(&part()),
        "eased" => builder::eased(&part()),
        "clear" => builder::clear(&part()),
        "stay" => builder::in_place(&part()),
        other => panic!("no formula {other}"),
    }
}

fn condition(said: &Value) -> SaidCond {
    let rest = || list(said).skip(1).map(condition).collect();
    match text(&said[0]) {
        "fitted" => builder::fitted(&format!("o{}", said[1])),
        "not" => Condition::Not(Box::new(condition(&said[1]))),
        "all" => Condition::All(rest()),
        "any" => Condition::Any(rest()),
        other => panic!("no condition {other}"),
    }
}

fn op(said: &Value) -> OrderAnchor {
    match text(&said[0]) {
        "take-off" => OrderAnchor::TakeOff(part_id(&said[1]).as_str().into()),
        "put-back" => OrderAnchor::PutBack(part_id(&said[1]).as_str().into()),
        "swap" => OrderAnchor::Swap(part_id(&said[1]).as_str().into()),
        "service" => OrderAnchor::Service(service_id(&said[1]).as_str().into()),
        other => panic!("no operation {other}"),
    }
}

fn part_id(at: &Value) -> String {
    format!("p{at}")
}

fn service_id(at: &Value) -> String {
    format!("s{at}")
}

fn list(said: &Value) -> impl Iterator<Item = &Value> {
    said.as_array().expect("a list").iter()
}

fn text(said: &Value) -> &str {
    said.as_str().expect("a word")
}

fn number(said: &Value) -> u32 {
    let number = said.as_u64().expect("a whole number");
    u32::try_from(number).expect("a small number")
}

fn index(said: &Value) -> Option<usize> {
    said.as_u64().map(|at| at as usize)
}
