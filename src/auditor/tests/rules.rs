//! Each rule is broken by one plan and kept by its sound twin.

use std::collections::BTreeSet;

use lidoff_auditor::{Auditor, Case, Rule, Start, Task};
use lidoff_catalog::format::{CatalogFile, StepId};
use serde_json::{Value, json};

/// A unit, perhaps edited, a job, and its plan.
#[derive(Clone)]
struct Situation {
    edits: Vec<(&'static str, Value)>,
    tasks: Vec<Task>,
    start: Start,
    plan: Vec<StepId>,
}

const ISOLATE: &str = "lock-on dead discharged";
const END: &str = "earth lock-off go air sign";

fn steps(words: &str) -> Vec<StepId> {
    words.split_whitespace().map(Into::into).collect()
}

/// The fan is replaced.
fn fan() -> Situation {
    Situation {
        edits: Vec::new(),
        tasks: vec![Task::Replace("fan".into())],
        start: Start::default(),
        plan: steps(
            "stop lock-on dead discharged cover-out fan-unplug fan-out grille-out fan-swap \
             grille-back fan-back fan-plug-in cover-back earth lock-off go fan-runs air sign",
        ),
    }
}

/// The board is reseated.
fn board() -> Situation {
    Situation {
        tasks: vec![Task::Reseat("board".into())],
        ..fan()
    }
    .plan(&format!(
        "stop {ISOLATE} cover-out board-out board-reseat board-back strap-off cover-back {END}"
    ))
}

/// The unit is closed without the filter.
fn without_filter(end: &str) -> Situation {
    Situation {
        tasks: vec![Task::LeaveOut("filter".into())],
        ..fan()
    }
    .plan(&format!(
        "stop {ISOLATE} cover-out filter-out filter-label cover-back {end}"
    ))
}

/// The fan is tuned on the open unit, under power.
fn tuning() -> Situation {
    Situation {
        tasks: vec![Task::Serve("tune".into())],
        ..fan()
    }
    .plan(&format!(
        "stop {ISOLATE} cover-out lock-off tune-run {ISOLATE} cover-back {END}"
    ))
}

impl Situation {
    fn plan(mut self, words: &str) -> Self {
        self.plan = steps(words);
        self
    }

    /// The same without these steps.
    fn without(mut self, words: &str) -> Self {
        let left_out = steps(words);
        self.plan.retain(|step| !left_out.contains(step));
        self
    }

    /// The same with these steps moved to before this one.
    fn moving(self, words: &str, before: &str) -> Self {
        let mut moved = self.without(words);
        let at = moved.plan.iter().position(|step| step.as_str() == before);
        let at = at.expect("the step before which others are to be");
        moved.plan.splice(at..at, steps(words));
        moved
    }

    fn editing(mut self, pointer: &'static str, value: Value) -> Self {
        self.edits.push((pointer, value));
        self
    }

    fn broken(&self) -> Vec<(Rule, String)> {
        let mut json: Value = serde_json::from_str(include_str!("blower.json")).expect("JSON");
        for (pointer, value) in &self.edits {
            let (above, name) = pointer.rsplit_once('/').expect("a pointer");
            match json.pointer_mut(above).expect("a value") {
                Value::Object(fields) => drop(fields.insert(name.to_owned(), value.clone())),
                Value::Array(all) => all[name.parse::<usize>().expect("a number")] = value.clone(),
                other => panic!("{pointer}: {other}"),
            }
        }
        let file: CatalogFile = serde_json::from_value(json).expect("a catalog");
        let case = Case {
            tasks: self.tasks.clone(),
            start: self.start.clone(),
            steps: self.plan.clone(),
            ..Case::default()
        };
        let broken = Auditor::new(file).audit(&case).into_iter();
        broken.map(|one| (one.rule, one.sentence)).collect()
    }
}

/// Each rule, a plan that keeps it, and one that breaks it.
fn twins() -> Vec<(Rule, Situation, Situation)> {
    const MAINS_OUT: &str = "/sources/0/isolation/out";
    let text = |signal: &str, class: &str, text: &str| {
        let demands = json!([{"do": "Stand clear."}]);
        let hazard = json!({"id": "moving", "class": class, "signal": signal, "text": text, "demands": demands});
        fan().editing("/hazards/1", hazard)
    };
    let mut half_done = fan().without("stop lock-on dead discharged cover-out fan-unplug");
    half_done.start = Start {
        isolated: vec!["mains".into(), "charge".into()],
        off: vec!["cover".into()],
        begun: steps("fan-unplug"),
        made_safe: steps("stop"),
        ..Start::default()
    };
    let verify_again = |words: &str| {
        let mut open = fan().plan(&format!("{words} cover-back {END}"));
        open.tasks.clear();
        open.start = half_done.start.clone();
        open.start.begun.clear();
        open
    };
    let with_note = |plan: Situation| {
        let mut plan = plan;
        plan.tasks.push(Task::Serve("note".into()));
        plan
    };
    let noted = with_note(fan());
    let plan_with = |words: &str, before: &str| with_note(fan()).moving(words, before);
    let note_alone = |words: &str| {
        let mut plan = fan().plan(words);
        plan.tasks = vec![Task::Serve("note".into())];
        plan
    };
    let doubtful = |at: &'static str| fan().editing(at, json!({"isolate": "mains"}));
    // The ways in and out may be live, leaving out may not.
    let left_out_live = || {
        let sources = json!(["mains", "charge"]);
        without_filter("earth sign")
            .editing("/parts/0/may_be_live", sources.clone())
            .editing("/parts/3/take_off/may_be_live", sources)
    };
    let clean = json!([{"element": "clean"}]);
    vec![
        (
            Rule::UnknownStep,
            fan(),
            fan().moving("fan-paint", "fan-swap"),
        ),
        (
            Rule::SplitOperation,
            half_done.clone(),
            half_done.clone().moving("fan-plug-in", "fan-back"),
        ),
        (
            Rule::WrongState,
            fan(),
            fan().moving("grille-out", "fan-unplug"),
        ),
        (
            Rule::NeedsUnmet,
            fan(),
            fan().moving("cover-out", "grille-out"),
        ),
        (
            Rule::ServiceOrder,
            plan_with("note-run", "fan-swap"),
            plan_with("note-run", "fan-back"),
        ),
        (Rule::TaskUndone, plan_with("note-run", "cover-out"), noted),
        (Rule::StepLeftOut, half_done.clone(), fan().without("stop")),
        (
            Rule::PreparationFirst,
            fan(),
            fan().moving("stop", "cover-out"),
        ),
        (Rule::CheckBeforePower, fan(), fan().moving("earth", "go")),
        (Rule::OrderOfChecks, fan(), fan().moving("air", "fan-runs")),
        (
            Rule::WorkWhileLive,
            fan(),
            fan().moving(ISOLATE, "fan-unplug"),
        ),
        (
            Rule::WorkWhileLive,
            left_out_live(),
            left_out_live().without(ISOLATE),
        ),
        (
            Rule::IsolateAgain,
            tuning(),
            tuning().plan(&format!(
                "stop {ISOLATE} cover-out lock-off tune-run cover-back {END}"
            )),
        ),
        (
            Rule::StoredEnergy,
            fan(),
            fan().moving("discharged", "lock-on"),
        ),
        (
            Rule::UnitIntact,
            tuning(),
            fan().moving("lock-off", "cover-back"),
        ),
        (Rule::DeadCheck, fan(), fan().moving("lock-off", "sign")),
        (
            Rule::OpenedForNothing,
            fan(),
            fan().moving("filter-out filter-back", "fan-unplug"),
        ),
        (
            Rule::IsolatedForNothing,
            note_alone("stop note-run earth go air sign"),
            note_alone(&format!("stop {ISOLATE} note-run {END}")),
        ),
        (
            Rule::NotPutBack,
            fan(),
            fan().editing("/parts/1/take_off/back/1/plug", json!([])),
        ),
        (Rule::LeftOpen, fan(), fan().without("cover-back")),
        (
            Rule::LeftIsolated,
            fan(),
            fan().without("lock-off go fan-runs air"),
        ),
        (
            Rule::LiveOutOfUse,
            without_filter("earth sign"),
            without_filter("earth lock-off sign"),
        ),
        (
            Rule::WrongState,
            without_filter("earth sign"),
            without_filter("earth sign").moving("filter-label", "filter-out"),
        ),
        (
            Rule::LeftOpen,
            without_filter("earth sign"),
            without_filter("earth sign").without("cover-back"),
        ),
        (
            Rule::UnpackedEarly,
            fan(),
            fan().moving("fan-swap", "fan-unplug"),
        ),
        (
            Rule::CleanedForTheBin,
            fan().editing("/parts/1/take_off/back/0/elements", clean.clone()),
            fan().editing("/parts/1/take_off/out/1/elements", clean),
        ),
        (
            Rule::ConsumableWasted,
            fan(),
            fan().moving("grille-back", "fan-swap"),
        ),
        (
            Rule::TurnedOpen,
            board()
                .editing("/parts/6/reseat/steps/0/face", json!("under"))
                .editing("/parts/6/take_off/out/0/face", json!("under")),
            board()
                .editing("/parts/6/take_off/out/0/face", json!("under"))
                .editing("/faces/1/turn", json!("Lay it down.")),
        ),
        (
            Rule::SingleUse,
            fan(),
            fan().editing("/parts/1/take_off/back/0/uses", json!([])),
        ),
        (
            Rule::IsolationUnproven,
            fan(),
            fan().editing("/sources/0/isolation/out/1/reading", Value::Null),
        ),
        (
            Rule::ProofTooEarly,
            fan(),
            fan()
                .editing(
                    MAINS_OUT,
                    json!([
                {"id": "dead", "do": "Press start", "reading": {"seen": "Nothing starts"}},
                {"id": "lock-on", "do": "Lock it off", "tool": "lock"}]),
                )
                .moving("dead", "lock-on"),
        ),
        (
            Rule::NotSecured,
            fan(),
            fan()
                .editing("/sources/0/isolation/out/0/tool", Value::Null)
                .editing("/sources/0/isolation/out/0/hazards", json!([])),
        ),
        (
            Rule::LockLeftOn,
            fan(),
            fan()
                .editing("/sources/0/isolation/back/0/tool", Value::Null)
                .editing("/sources/0/isolation/back/0/do", json!("Switch it on")),
        ),
        (
            Rule::PeopleClear,
            fan(),
            fan().editing("/sources/0/isolation/back/0/confirm", Value::Null),
        ),
        (
            Rule::IsolationToEnergise,
            fan(),
            fan().editing("/start/0/hazards", json!(["shock"])),
        ),
        (
            Rule::StopTooLate,
            doubtful("/parts/0/take_off/back/0/on_failure"),
            doubtful("/prove/1/on_failure"),
        ),
        (
            Rule::ControlNeverEnds,
            board(),
            board().editing("/hazards/2/lasts", json!({"until": "stop"})),
        ),
        (
            Rule::DangerUndeserved,
            text("danger", "moving", "The fan crushes fingers."),
            text("danger", "moving", "The fan pinches fingers."),
        ),
        (
            Rule::CautionPlaysDown,
            text("caution", "moving", "The fan cuts fingers."),
            text("caution", "moving", "The fan can kill."),
        ),
        (
            Rule::NoticeForThings,
            text("notice", "property", "Dust damages the fan."),
            text("notice", "moving", "The fan cuts fingers."),
        ),
        (
            Rule::NoConsequence,
            text("caution", "moving", "The fan moves and can cut."),
            text("caution", "moving", "The fan moves."),
        ),
        (
            Rule::NoAvoidance,
            fan(),
            fan().editing("/hazards/1/demands", json!([])),
        ),
        (
            Rule::SplitOperation,
            verify_again("dead discharged"),
            verify_again("lock-on"),
        ),
    ]
}

#[test]
fn each_rule_is_broken_by_one_plan_and_kept_by_its_twin() {
    let mut wrong = Vec::new();
    for (rule, sound, broken) in twins() {
        let found = sound.broken();
        if !found.is_empty() {
            wrong.push(format!("{}: the sound plan breaks {found:?}", rule.id()));
        }
        let found = broken.broken();
        if !found.iter().any(|(of, _)| *of == rule) {
            wrong.push(format!("{}: the bad plan breaks only {found:?}", rule.id()));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_rule_is_tried() {
    let tried: BTreeSet<Rule> = twins().into_iter().map(|(rule, _, _)| rule).collect();
    assert_eq!(tried, Rule::ALL.iter().copied().collect());
}

#[test]
fn every_rule_is_in_the_table_with_its_source() {
    let table = include_str!("../docs/rules.md");
    for rule in Rule::ALL {
        let row = format!("| `{}` |", rule.id());
        let line = table.lines().find(|line| line.starts_with(&row));
        let source = line.and_then(|line| line.rsplit('|').nth(1));
        assert!(
            source.is_some_and(|text| text.trim().len() > 3),
            "{}",
            rule.id()
        );
    }
}

#[test]
fn a_part_that_moves_without_a_step_is_not_judged() {
    let unseen = fan()
        .editing("/parts/0/take_off/out", json!([]))
        .editing("/parts/0/take_off/back", json!([]))
        .without("cover-out cover-back");
    assert_eq!(unseen.broken(), []);
}

#[test]
fn parts_that_ride_on_each_other_in_a_circle_do_no_harm() {
    let circle = fan().editing("/parts/1/rides_on", json!("grille"));
    assert_eq!(circle.broken(), []);
}
