//! Small units made by hand: a test says only what it is about.

use lidoff_catalog::check::check;
use lidoff_catalog::format::{
    Answer, Asked, CatalogFile, ChangeTimes, Condition, ConditionEntry, Face, Fastener,
    FastenerKind, Fastening, FormatTag, Formula, FormulaEntry, Leg, Measured, Part, Question,
    ReuseClass, Service, StartsWait, Step, Tool, ToolClass, UnitHead, UnitOption,
};
use lidoff_catalog::model::{Catalog, PartIx, ServiceIx};
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_planner::Prices;

/// A condition as it stands in a file.
pub type FileCondition = ConditionEntry;
/// A formula as it stands in a file.
pub type FileNeeds = FormulaEntry;

/// A unit with faces `front`, `back` and `side`, tools `driver`, `lever` and
/// `pliers`, fasteners `screw` (loose), `captive` and `seal` (single-use), and
/// no parts.
pub fn unit(id: &str) -> CatalogFile {
    CatalogFile {
        schema: None,
        format: FormatTag::V2,
        unit: UnitHead {
            id: id.to_owned(),
            name: id.to_owned(),
            kind: "test unit".to_owned(),
            revision: "1".to_owned(),
            about: "Made up for a test.".to_owned(),
            safety: "None; it does not exist.".to_owned(),
            source: "Invented.".to_owned(),
        },
        changes: ChangeTimes::default(),
        faces: ["front", "back", "side"].map(face).to_vec(),
        tools: ["driver", "lever", "pliers"].map(tool).to_vec(),
        fasteners: vec![
            fastener("screw", false, false),
            fastener("captive", true, false),
            fastener("seal", false, true),
        ],
        consumables: Vec::new(),
        spares: Vec::new(),
        kit: Vec::new(),
        options: Vec::new(),
        questions: Vec::new(),
        hazards: Vec::new(),
        sources: Vec::new(),
        make_safe: vec![step("shut-down", 1.0)],
        parts: Vec::new(),
        services: Vec::new(),
        start: Vec::new(),
        prove: vec![step("switch-on", 1.0)],
        hand_over: vec![step("write-it-down", 1.0)],
    }
}

fn face(id: &str) -> Face {
    Face {
        id: id.into(),
        name: id.to_owned(),
        turn: format!("Bring the {id} up."),
        needs: FileNeeds::nothing(),
        motion: None,
        opposite: None,
        width_mm: 300.0,
        height_mm: 200.0,
        outline: Vec::new(),
        features: Vec::new(),
    }
}

fn tool(id: &str) -> Tool {
    Tool {
        id: id.into(),
        name: id.to_owned(),
        class: ToolClass::Basic,
        kind: None,
        torque: None,
        instead: Vec::new(),
    }
}

fn fastener(id: &str, captive: bool, single_use: bool) -> Fastener {
    Fastener {
        id: id.into(),
        name: id.to_owned(),
        kind: if single_use {
            FastenerKind::Seal
        } else {
            FastenerKind::Screw
        },
        drive: None,
        head: None,
        point: None,
        property_class: None,
        locking: None,
        thread_forming: false,
        thread: None,
        length_mm: None,
        torque: None,
        captive,
        single_use,
        reuse: if single_use {
            ReuseClass::Removable
        } else {
            ReuseClass::Reusable
        },
    }
}

/// A part that has no way off yet.
pub fn part(id: &str) -> Part {
    Part {
        id: id.into(),
        name: id.to_owned(),
        about: None,
        when: None,
        rides_on: None,
        mass_kg: None,
        fastenings: Vec::new(),
        connections: Vec::new(),
        ease: None,
        take_off: None,
        may_be_live: Vec::new(),
        other_ways: Vec::new(),
        bench_off: None,
        swap: None,
        like: None,
        leave_out: Vec::new(),
        reseat: None,
        inspect: None,
    }
}

/// A part that comes off in one leg of one bare-handed step each way.
pub fn plain(id: &str, needs: FileNeeds) -> Part {
    Part {
        take_off: Some(leg(&format!("{id}-off"), needs)),
        ..part(id)
    }
}

/// A leg of one bare-handed step each way: 2 s out, 3 s back.
pub fn leg(id: &str, needs: FileNeeds) -> Leg {
    Leg {
        needs,
        refit_needs: FileNeeds::nothing(),
        may_be_live: Vec::new(),
        out: vec![step(&format!("{id}-out"), 2.0)],
        back: vec![step(&format!("{id}-back"), 3.0)],
    }
}

/// A bare-handed step that can be done on any face.
pub fn step(id: &str, seconds: f64) -> Step {
    Step {
        id: id.into(),
        action: id.to_owned(),
        how: None,
        when: None,
        tool: None,
        face: None,
        undo: Vec::new(),
        redo: Vec::new(),
        unplug: Vec::new(),
        plug: Vec::new(),
        hazards: Vec::new(),
        uses: Vec::new(),
        asks: None,
        reading: None,
        on_failure: None,
        records: Vec::new(),
        before_power: false,
        confirm: None,
        people: None,
        kit: Vec::new(),
        elements: Vec::new(),
        measured: Some(Measured { seconds, cv: 0.2 }),
        starts_wait: None,
        after_wait: None,
        starts_limit: None,
        ends_limit: None,
    }
}

pub fn step_with(id: &str, seconds: f64, tool: &str, face: &str) -> Step {
    Step {
        tool: Some(tool.into()),
        face: Some(face.into()),
        ..step(id, seconds)
    }
}

/// A wait that begins at the end of a step.
pub fn wait(id: &str, seconds: u32) -> StartsWait {
    StartsWait {
        id: id.into(),
        text: format!("{id} is over"),
        seconds,
    }
}

/// A set of fasteners; loose ones lie in this well.
pub fn fastening(id: &str, fastener: &str, count: u16, well: Option<u16>) -> Fastening {
    Fastening {
        id: id.into(),
        fastener: fastener.into(),
        count,
        well,
        face: None,
        points: Vec::new(),
        tighten: Vec::new(),
        torque: None,
        when: None,
    }
}

/// A service operation of one bare-handed step of 5 s.
pub fn service(id: &str, needs: FileNeeds) -> Service {
    Service {
        id: id.into(),
        name: id.to_owned(),
        when: None,
        needs,
        may_be_live: Vec::new(),
        live: Vec::new(),
        before: Vec::new(),
        after: Vec::new(),
        steps: vec![step(&format!("{id}-run"), 5.0)],
    }
}

/// An option that is usually not fitted.
pub fn option(id: &str, group: Option<&str>, usual: bool) -> UnitOption {
    UnitOption {
        id: id.into(),
        name: id.to_owned(),
        group: group.map(str::to_owned),
        usual,
    }
}

/// A question that is asked before the job; the first answer is assumed.
pub fn question(id: &str, answers: &[&str]) -> Question {
    Question {
        id: id.into(),
        text: format!("{id}?"),
        asked: Asked::Before,
        answers: answers
            .iter()
            .map(|answer| Answer {
                id: (*answer).into(),
                text: (*answer).to_owned(),
            })
            .collect(),
        assumed: answers[0].into(),
    }
}

/// A formula that always holds.
pub fn free() -> FileNeeds {
    FileNeeds::nothing()
}

pub fn all<const N: usize>(of: [FileNeeds; N]) -> FileNeeds {
    Formula::All(of.into())
}

pub fn any<const N: usize>(of: [FileNeeds; N]) -> FileNeeds {
    Formula::Any(of.into())
}

pub fn off(part: &str) -> FileNeeds {
    Formula::Off(part.into())
}

pub fn eased(part: &str) -> FileNeeds {
    Formula::Eased(part.into())
}

pub fn clear(part: &str) -> FileNeeds {
    Formula::Clear(part.into())
}

pub fn in_place(part: &str) -> FileNeeds {
    Formula::InPlace(part.into())
}

pub fn fitted(option: &str) -> FileCondition {
    Condition::Fitted(option.into())
}

/// A checked unit with its options, and its author's times as prices.
pub struct TestUnit {
    pub catalog: Catalog,
    pub setup: Setup,
    /// 5 s for a tool change, 8 s for a turn.
    pub prices: Prices,
}

impl TestUnit {
    /// Checks the unit and fits the usual options.
    pub fn new(file: CatalogFile) -> Self {
        Self::fitted(file, None)
    }

    /// Checks the unit and fits these options.
    pub fn with(file: CatalogFile, options: &[&str]) -> Self {
        Self::fitted(file, Some(options))
    }

    fn fitted(file: CatalogFile, options: Option<&[&str]>) -> Self {
        let catalog = check(file).unwrap_or_else(|faults| panic!("{faults}"));
        let mut said = Configuration::usual(&catalog);
        if let Some(options) = options {
            said.fitted = options.iter().map(|id| (*id).into()).collect();
        }
        let setup = Setup::new(&catalog, &said).unwrap_or_else(|error| panic!("{error}"));
        let prices = Prices {
            steps: measured(&catalog),
            tool_change: 50,
            face_change: 80,
        };
        Self {
            catalog,
            setup,
            prices,
        }
    }

    pub fn part(&self, id: &str) -> PartIx {
        let found = self.catalog.find_part(id);
        found.unwrap_or_else(|| panic!("no part {id}"))
    }

    pub fn service(&self, id: &str) -> ServiceIx {
        let found = self.catalog.find_service(id);
        found.unwrap_or_else(|| panic!("no service {id}"))
    }
}

/// The measured time of every step, in tenths of a second.
pub fn measured(catalog: &Catalog) -> Vec<u32> {
    let steps = catalog.steps();
    steps
        .map(|(_, step)| {
            let time = step.entry.measured.map_or(0.0, |measured| measured.seconds);
            (time * 10.0).round() as u32
        })
        .collect()
}
