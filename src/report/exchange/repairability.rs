//! Repairability of a unit, for its catalog author and buyers, in the terms of EN
//! 45554:2020 (from memory): disassembly depth and fastest access of each part, tools
//! by class, fasteners by reusability.
//!
//! As text and as JSON. Times are those of the catalog's steps, from a closed
//! unit that has been made safe, with no tool in hand; see [`access`]
//! for what counts as a step.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use serde::Serialize;

use lidoff_catalog::format::{PartId, ReuseClass, Text, ToolClass};
use lidoff_catalog::model::{Catalog, FasteningIx, StepIx};
use lidoff_catalog::setup::{Configuration, Setup, SetupError};
use lidoff_estimate::estimate::prices;
use lidoff_planner::access;
use lidoff_planner::{Limits, Op};

/// What the figures mean; part of every report.
pub const TERMS: &str = "Depth: number of disassembly steps in the sense of EN 45554:2020. A step \
                         ends when a part is off or eased aside, when the tool is changed, or \
                         both. Access: time of the fastest way in, with tool changes and turns, \
                         from a closed unit that has been made safe. Tools and fasteners are \
                         classed as in EN 45554:2020.";

/// A unit in these terms.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Repairability {
    /// Id of the unit.
    pub unit: String,
    /// Revision of its catalog.
    pub revision: Text,
    /// The options that it is fitted with.
    pub fitted: Vec<String>,
    /// What the figures mean.
    pub terms: &'static str,
    /// Each part that is there, in catalog order.
    pub parts: Vec<PartLine>,
    /// The tools that some step needs, by class.
    pub tools: BTreeMap<ToolClass, Vec<Text>>,
    /// The kinds of fasteners that it has, by whether they can be used again.
    pub fasteners: BTreeMap<ReuseClass, Vec<FastenerCount>>,
}

/// A part.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct PartLine {
    /// Its id.
    pub part: PartId,
    /// Its name for the technician.
    pub name: Text,
    /// Whether the catalog says how it is replaced.
    pub replaceable: bool,
    /// How it is reached; `None` if the catalog has no route, or none was found within the
    /// limit.
    pub access: Option<AccessLine>,
}

/// How a part is reached.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct AccessLine {
    /// Steps to take it off, by the route with the fewest.
    pub depth: u32,
    /// Time of the fastest route, s.
    pub seconds: f64,
    /// Whether both are proven optimal.
    pub proven: bool,
    /// On the fastest route: the parts that come off or are eased, in order, this one last.
    pub through: Vec<PartId>,
    /// On the fastest route: the tool that is hardest to obtain; `None` for bare hands.
    pub tool_class: Option<ToolClass>,
    /// On the fastest route: fasteners undone, by reusability.
    pub undone: BTreeMap<ReuseClass, u32>,
}

/// A kind of fastener and the number of them.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FastenerCount {
    /// What it looks like.
    pub name: Text,
    /// How many the unit has.
    pub count: u32,
}

/// The report on a unit with this configuration.
///
/// # Errors
/// When the catalog has no such options, or they do not fit together.
pub fn repairability(
    catalog: &Catalog,
    configuration: &Configuration,
    limits: Limits,
) -> Result<Repairability, SetupError> {
    let setup = Setup::new(catalog, configuration)?;
    let prices = prices(catalog);
    let parts = catalog.parts().filter(|(_, part)| setup.holds(&part.when));
    let parts = parts.map(|(at, part)| {
        let way = access(catalog, &setup, &prices, at, limits);
        PartLine {
            part: part.id.clone(),
            name: part.name.clone(),
            replaceable: part.swap.is_some(),
            access: way.map(|way| {
                let steps: Vec<StepIx> = way
                    .ops
                    .iter()
                    .flat_map(|op| op.steps(catalog, &setup))
                    .collect();
                AccessLine {
                    depth: way.depth,
                    seconds: f64::from(way.time) / 10.0,
                    proven: way.proven,
                    through: through(catalog, &way.ops),
                    tool_class: hardest(catalog, &steps),
                    undone: undone(catalog, &setup, &steps),
                }
            }),
        }
    });
    Ok(Repairability {
        unit: catalog.unit().id.clone(),
        revision: catalog.unit().revision.clone(),
        fitted: configuration.fitted.iter().map(|id| id.0.clone()).collect(),
        terms: TERMS,
        parts: parts.collect(),
        tools: tools(catalog),
        fasteners: fasteners(catalog, &setup),
    })
}

fn through(catalog: &Catalog, ops: &[Op]) -> Vec<PartId> {
    let mut through: Vec<PartId> = Vec::new();
    for part in ops.iter().filter_map(|op| op.part()) {
        let id = catalog.part(part).id.clone();
        through.retain(|known| *known != id);
        through.push(id);
    }
    through
}

fn hardest(catalog: &Catalog, steps: &[StepIx]) -> Option<ToolClass> {
    let tools = steps.iter().filter_map(|step| catalog.step(*step).tool);
    tools.map(|tool| catalog.tool(tool).class).max()
}

fn undone(catalog: &Catalog, setup: &Setup, steps: &[StepIx]) -> BTreeMap<ReuseClass, u32> {
    let mut undone = BTreeMap::new();
    let sets = steps.iter().flat_map(|step| &catalog.step(*step).undo);
    for (class, count) in sets.filter_map(|set| counted(catalog, setup, *set)) {
        *undone.entry(class).or_insert(0) += count;
    }
    undone
}

/// A set that is there: its class and its number.
fn counted(catalog: &Catalog, setup: &Setup, set: FasteningIx) -> Option<(ReuseClass, u32)> {
    let set = catalog.fastening(set);
    let class = catalog.fastener(set.fastener).reuse;
    setup
        .holds(&set.when)
        .then(|| (class, u32::from(set.entry.count)))
}

fn tools(catalog: &Catalog) -> BTreeMap<ToolClass, Vec<Text>> {
    let mut tools: BTreeMap<ToolClass, Vec<Text>> = BTreeMap::new();
    for (_, tool) in catalog.tools() {
        tools.entry(tool.class).or_default().push(tool.name.clone());
    }
    tools
}

fn fasteners(catalog: &Catalog, setup: &Setup) -> BTreeMap<ReuseClass, Vec<FastenerCount>> {
    let mut all: BTreeMap<ReuseClass, Vec<FastenerCount>> = BTreeMap::new();
    for (at, kind) in catalog.fasteners() {
        let sets = catalog.fastenings().filter(|(_, set)| {
            let part = catalog.part(set.part);
            set.fastener == at && setup.holds(&set.when) && setup.holds(&part.when)
        });
        let count: u32 = sets.map(|(_, set)| u32::from(set.entry.count)).sum();
        if count == 0 {
            continue;
        }
        all.entry(kind.reuse).or_default().push(FastenerCount {
            name: kind.name.clone(),
            count,
        });
    }
    all
}

/// The class of a tool in words.
pub const fn tool_class(class: ToolClass) -> &'static str {
    match class {
        ToolClass::Basic => "basic",
        ToolClass::ProductGroup => "product group",
        ToolClass::Commercial => "commercial",
        ToolClass::Proprietary => "proprietary",
    }
}

/// The class of a fastener in words.
pub const fn reuse_class(class: ReuseClass) -> &'static str {
    match class {
        ReuseClass::Reusable => "reusable",
        ReuseClass::Removable => "removable",
        ReuseClass::Neither => "neither reusable nor removable",
    }
}

/// The report as text.
pub fn text(unit: &Repairability) -> String {
    let mut out = String::new();
    // Writing to a string does not fail.
    let _ = writeln!(
        out,
        "{} (revision {}), fitted with {}\n",
        unit.unit,
        unit.revision,
        if unit.fitted.is_empty() {
            "no options".to_owned()
        } else {
            unit.fitted.join(", ")
        }
    );
    let width = unit.parts.iter().map(|part| part.name.chars().count());
    let width = width.max().unwrap_or(0);
    let _ = writeln!(
        out,
        "{:<width$}  depth   access  tools          fasteners undone",
        "part"
    );
    for part in &unit.parts {
        let Some(way) = &part.access else {
            let _ = writeln!(out, "{:<width$}  cannot be taken off by itself", part.name);
            continue;
        };
        let undone: Vec<String> = way
            .undone
            .iter()
            .map(|(class, count)| format!("{count} {}", reuse_class(*class)))
            .collect();
        let mark = if way.proven { ' ' } else { '≤' };
        let _ = writeln!(
            out,
            "{:<width$}  {mark}{:>4} {:>6.1} s  {:<13}  {}",
            part.name,
            way.depth,
            way.seconds,
            way.tool_class.map_or("bare hands", tool_class),
            if undone.is_empty() {
                "–".to_owned()
            } else {
                undone.join(", ")
            }
        );
    }
    let _ = writeln!(out, "\nTools");
    for (class, names) in &unit.tools {
        let _ = writeln!(out, "  {}: {}", tool_class(*class), names.join("; "));
    }
    let _ = writeln!(out, "\nFasteners");
    for (class, kinds) in &unit.fasteners {
        let kinds: Vec<String> = kinds
            .iter()
            .map(|kind| format!("{} × {}", kind.count, kind.name))
            .collect();
        let _ = writeln!(out, "  {}: {}", reuse_class(*class), kinds.join("; "));
    }
    let _ = writeln!(out, "\n{}", unit.terms);
    out
}
