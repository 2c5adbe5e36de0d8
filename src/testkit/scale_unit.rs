//! Synthetic units of any size, shaped like real ones: bays behind nested covers, most parts
//! two to four deep and some twelve, a few kinds of screws, several faces, parts that only
//! have to be eased, and some places with two ways in. They are deterministic: one unit for
//! each size.

use lidoff_catalog::format::{
    CatalogFile, Face, Formula, Leg, Part, PartId, Step, Swap, Tool, ToolClass,
};
use lidoff_catalog::model::{Catalog, PartIx};
use lidoff_planner::Task;

use crate::builder::{self, FileNeeds};
use crate::split_mix::SplitMix64;

const TOOLS: [&str; 6] = [
    "driver",
    "lever",
    "pliers",
    "hexalobular-t10",
    "hexalobular-t20",
    "nut-driver",
];
const FACES: [&str; 4] = ["front", "back", "side", "base"];

/// The depth of the deepest part.
const DEEPEST: usize = 12;

/// The file of a unit with this many parts.
pub fn file(parts: usize) -> CatalogFile {
    let mut file = builder::unit(&format!("scale-{parts}"));
    for id in &TOOLS[3..] {
        file.tools.push(Tool {
            torque: None,
            instead: Vec::new(),
            id: (*id).into(),
            name: (*id).to_owned(),
            class: ToolClass::Basic,
            kind: None,
        });
    }
    file.faces.push(Face {
        id: "base".into(),
        name: "base".to_owned(),
        turn: "Bring the base up.".to_owned(),
        motion: None,
        opposite: None,
        ..file.faces[0].clone()
    });
    let mut unit = ScaleUnitBuilder::new(parts);
    for at in 0..parts {
        unit.part(at);
    }
    file.parts = unit.parts;
    file
}

/// This many replacements, spread over the deeper half of the parts.
pub fn tasks(catalog: &Catalog, count: usize) -> Vec<Task> {
    let depths = depths(catalog);
    let least = depths.iter().max().map_or(0, |most| most / 2);
    let deep: Vec<PartIx> = catalog
        .parts()
        .filter(|(at, part)| part.swap.is_some() && depths[at.index()] >= least)
        .map(|(at, _)| at)
        .collect();
    let count = count.min(deep.len());
    let spread = (0..count).map(|nth| deep[(2 * nth + 1) * deep.len() / (2 * count)]);
    spread.map(Task::Replace).collect()
}

/// For each part the number of covers that it lies behind, read off its name.
pub fn depths(catalog: &Catalog) -> Vec<usize> {
    let depth = |(_, part): (PartIx, &lidoff_catalog::model::Part)| {
        let name = part.id.as_str().rsplit_once("-d");
        name.and_then(|(_, depth)| depth.parse().ok()).unwrap_or(0)
    };
    catalog.parts().map(depth).collect()
}

/// What must be known of a part to put others behind it.
#[derive(Clone, Copy)]
struct PartLayout {
    depth: usize,
    behind: Option<usize>,
    tool: usize,
    face: usize,
    eases: bool,
}

struct ScaleUnitBuilder {
    parts: Vec<Part>,
    layouts: Vec<PartLayout>,
    numbers: SplitMix64,
}

impl ScaleUnitBuilder {
    fn new(parts: usize) -> Self {
        Self {
            parts: Vec::with_capacity(parts),
            layouts: Vec::with_capacity(parts),
            numbers: SplitMix64(parts as u64),
        }
    }

    /// The next number below `n`.
    fn below(&mut self, n: usize) -> usize {
        (self.numbers.draw() % n as u64) as usize
    }

    fn chance(&mut self, percent: usize) -> bool {
        self.below(100) < percent
    }

    /// The part that this one lies behind. One in twenty lies open, most lie shallow, and
    /// sometimes a chain of parts goes deep into the unit.
    fn cover(&mut self, at: usize) -> Option<usize> {
        if at == 0 || self.chance(5) {
            return None;
        }
        let before = self.layouts[at - 1].depth;
        if self.chance(if before > 3 { 60 } else { 20 }) && before < DEEPEST {
            return Some(at - 1);
        }
        for _ in 0..8 {
            let one = self.below(at);
            if self.layouts[one].depth < 3 {
                return Some(one);
            }
        }
        Some(self.below(at)).filter(|one| self.layouts[*one].depth < DEEPEST)
    }

    fn part(&mut self, at: usize) {
        let cover = self.cover(at);
        let layout = match cover {
            None => PartLayout {
                depth: 1,
                behind: None,
                tool: self.below(TOOLS.len()),
                face: self.below(FACES.len()),
                eases: self.chance(25),
            },
            // The parts of a bay mostly share its tool and its face.
            Some(cover) => PartLayout {
                depth: self.layouts[cover].depth + 1,
                behind: Some(cover),
                tool: if self.chance(70) {
                    self.layouts[cover].tool
                } else {
                    self.below(TOOLS.len())
                },
                face: if self.chance(75) {
                    self.layouts[cover].face
                } else {
                    self.below(FACES.len())
                },
                eases: self.chance(25),
            },
        };
        let needs = self.needs(at, cover);
        let id = format!("p{at}-d{}", layout.depth);
        let mut part = builder::part(&id);
        if layout.eases {
            part.ease = Some(self.leg(&format!("{id}-ease"), needs, layout));
            part.take_off = Some(self.leg(&format!("{id}-off"), builder::free(), layout));
        } else {
            part.take_off = Some(self.leg(&format!("{id}-off"), needs, layout));
        }
        part.swap = Some(Swap {
            steps: vec![self.step(&format!("{id}-swap"), None, None)],
            ..Swap::default()
        });
        self.parts.push(part);
        self.layouts.push(layout);
    }

    /// The cover must be open. One part in eight can also be reached past another cover of the
    /// same depth, and one in five needs a neighbour open as well.
    fn needs(&mut self, at: usize, cover: Option<usize>) -> FileNeeds {
        let Some(cover) = cover else {
            return builder::free();
        };
        let through = self.opened(cover);
        let beside = |unit: &Self, one: usize| {
            one != cover && unit.layouts[one].behind == unit.layouts[cover].behind
        };
        let neighbours: Vec<usize> = (at.saturating_sub(60)..at)
            .filter(|one| beside(self, *one))
            .collect();
        if neighbours.is_empty() {
            return through;
        }
        let neighbour = neighbours[self.below(neighbours.len())];
        if self.chance(12) {
            let other = self.opened(neighbour);
            builder::any([through, other])
        } else if self.chance(20) {
            let other = self.opened(neighbour);
            builder::all([through, other])
        } else {
            through
        }
    }

    /// Off, or only eased where that is possible.
    fn opened(&mut self, part: usize) -> FileNeeds {
        let id = PartId::from(self.parts[part].id.as_str());
        if self.layouts[part].eases && self.chance(60) {
            Formula::Eased(id)
        } else {
            Formula::Off(id)
        }
    }

    fn leg(&mut self, id: &str, needs: FileNeeds, layout: PartLayout) -> Leg {
        let (tool, face) = (TOOLS[layout.tool], FACES[layout.face]);
        let bare = self.chance(20);
        let tool = (!bare).then_some(tool);
        let mut out = vec![self.step(&format!("{id}-out"), tool, Some(face))];
        let mut back = vec![self.step(&format!("{id}-back"), tool, Some(face))];
        if self.chance(50) {
            out.push(self.step(&format!("{id}-lift"), None, None));
            back.insert(0, self.step(&format!("{id}-seat"), None, None));
        }
        Leg {
            may_be_live: Vec::new(),
            needs,
            refit_needs: builder::free(),
            out,
            back,
        }
    }

    fn step(&mut self, id: &str, tool: Option<&str>, face: Option<&str>) -> Step {
        let seconds = 2.0 + self.below(600) as f64 / 10.0;
        Step {
            tool: tool.map(Into::into),
            face: face.map(Into::into),
            ..builder::step(id, seconds)
        }
    }
}
