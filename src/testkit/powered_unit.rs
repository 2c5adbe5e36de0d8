//! A small unit with energy sources, for tests of isolation.
//!
//! Mains are isolated outside and feed a stored charge. Behind a cover lie a board and a fan;
//! the strap is worn while the cover is off. Taking the board out begins with a reading that
//! tells whether the mains are really off. A board that turns out to be glued cannot be taken out.

use lidoff_catalog::format::{
    Asked, CatalogFile, Condition, Demand, Formula, Hazard, HazardClass, Leg, OnFailure, Part,
    PartId, Question, Reading, Scope, SignalWord, Source, SourceKind, Step, Swap,
};
use lidoff_catalog::model::Catalog;

use crate::builder::{all, fastening, leg, off, part, plain, question, step, unit};

/// The checked unit.
pub fn powered_unit() -> Catalog {
    lidoff_catalog::check::check(powered_file()).unwrap_or_else(|faults| panic!("{faults}"))
}

/// Its file.
pub fn powered_file() -> CatalogFile {
    CatalogFile {
        hazards: vec![
            hazard(
                "strap",
                HazardClass::Static,
                Scope::WhileOpen("cover".into()),
            ),
            hazard("edge", HazardClass::Sharp, Scope::Step),
        ],
        sources: vec![charge(), mains()],
        questions: vec![Question {
            asked: Asked::InView,
            ..question("board-state", &["loose", "glued"])
        }],
        parts: vec![
            cover(),
            board(),
            behind_cover("fan"),
            plain("frame", off("board")),
        ],
        start: vec![step("start-it", 1.0)],
        prove: vec![reading_step("runs", Reading::Seen("It runs.".to_owned()))],
        ..unit("powered-unit")
    }
}

fn hazard(id: &str, class: HazardClass, lasts: Scope) -> Hazard {
    Hazard {
        id: id.into(),
        class,
        signal: if class.hurts_people() {
            SignalWord::Caution
        } else {
            SignalWord::Notice
        },
        text: id.to_owned(),
        demands: vec![Demand::Wear(id.to_owned())],
        kit: Vec::new(),
        lasts,
        ended_by: Vec::new(),
        replaces: Vec::new(),
        short: None,
        when: None,
    }
}

fn source(id: &str, kind: SourceKind, fed_by: &[&str], isolation: Leg) -> Source {
    Source {
        condemned: None,
        id: id.into(),
        name: id.to_owned(),
        about: None,
        kind,
        when: None,
        fed_by: fed_by.iter().map(|id| PartId::from(*id)).collect(),
        reach: None,
        isolated: format!("{id} isolated"),
        live: format!("{id} live"),
        verify_after_minutes: None,
        connections: Vec::new(),
        isolation,
        other_isolations: Vec::new(),
    }
}

fn mains() -> Source {
    let isolation = Leg {
        refit_needs: Formula::Closed,
        out: vec![
            step("mains-lock", 20.0),
            reading_step("mains-dead", volts("At the terminals")),
        ],
        back: vec![step("mains-unlock", 10.0)],
        ..leg("mains", Formula::nothing())
    };
    Source {
        verify_after_minutes: Some(60),
        ..source("mains", SourceKind::Mains, &[], isolation)
    }
}

/// Listed before the mains that feed it: it is isolated after them all the same.
fn charge() -> Source {
    let isolation = Leg {
        out: vec![step("charge-drain", 30.0)],
        back: Vec::new(),
        ..leg("charge", Formula::nothing())
    };
    source("charge", SourceKind::StoredCharge, &["mains"], isolation)
}

fn cover() -> Part {
    let mut leg = leg("cover", Formula::nothing());
    leg.out = vec![
        Step {
            undo: vec!["cover-screws".into()],
            hazards: vec!["strap".into()],
            ..step("cover-screws-out", 8.0)
        },
        step("cover-lift", 2.0),
    ];
    leg.back = vec![Step {
        redo: vec!["cover-screws".into()],
        ..step("cover-on", 10.0)
    }];
    Part {
        fastenings: vec![fastening("cover-screws", "screw", 4, Some(1))],
        take_off: Some(leg),
        ..part("cover")
    }
}

fn behind_cover(id: &str) -> Part {
    let mut leg = leg(id, off("cover"));
    leg.out[0].hazards = vec!["strap".into(), "edge".into()];
    Part {
        take_off: Some(leg),
        swap: Some(Swap {
            steps: vec![step(&format!("{id}-new"), 5.0)],
            ..Swap::default()
        }),
        ..part(id)
    }
}

fn board() -> Part {
    let mut board = behind_cover("board");
    if let Some(leg) = &mut board.take_off {
        let check = Step {
            on_failure: Some(OnFailure::Isolate("mains".into())),
            ..reading_step("board-dead", volts("At the board"))
        };
        leg.out.insert(0, check);
        leg.out.insert(
            0,
            Step {
                asks: Some("board-state".into()),
                ..step("board-clips", 4.0)
            },
        );
        // A glued board comes off with the frame, and the frame lies behind it.
        let is_glued = Condition::Answer {
            question: "board-state".into(),
            is: "glued".into(),
        };
        leg.needs = all([
            off("cover"),
            Formula::When {
                condition: is_glued,
                then: Box::new(off("frame")),
            },
        ]);
    }
    board
}

fn reading_step(id: &str, reading: Reading) -> Step {
    Step {
        reading: Some(reading),
        ..step(id, 6.0)
    }
}

fn volts(what: &str) -> Reading {
    Reading::Value {
        what: what.to_owned(),
        unit: "V".to_owned(),
        low: Some(0.0),
        high: Some(1.0),
    }
}
