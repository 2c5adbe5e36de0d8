//! Fasteners out against fasteners in, and cables parted against cables joined.

use lidoff_catalog::model::{Catalog, FasteningIx, StepIx};
use lidoff_catalog::setup::Setup;

use super::Why;

/// The tally of one fastening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TallyLine {
    /// Which fastening.
    pub fastening: FasteningIx,
    /// Fasteners that came out.
    pub out: u32,
    /// The same ones that went back in.
    pub back: u32,
    /// Single-use ones that were thrown away.
    pub discarded: u32,
    /// New ones that went in for those.
    pub drawn: u32,
    /// Loose ones that lie in the tray now; captive ones never do.
    pub in_tray: u32,
}

impl TallyLine {
    /// Whether the fastening is undone now.
    pub const fn is_undone(&self) -> bool {
        self.out > self.back + self.drawn
    }

    /// Whether every fastener that came out is accounted for.
    pub const fn is_settled(&self) -> bool {
        self.out == self.back + self.discarded && self.drawn == self.discarded && self.in_tray == 0
    }
}

/// Both books.
#[derive(Clone, Debug)]
pub(super) struct Books {
    pub fastenings: Vec<TallyLine>,
    /// Whether each cable is parted, by connection.
    pub parted: Vec<bool>,
}

impl Books {
    /// Everything done up.
    pub fn new(catalog: &Catalog) -> Self {
        let line = |fastening| TallyLine {
            fastening,
            out: 0,
            back: 0,
            discarded: 0,
            drawn: 0,
            in_tray: 0,
        };
        Self {
            fastenings: catalog.fastenings().map(|(at, _)| line(at)).collect(),
            parted: vec![false; catalog.connections().len()],
        }
    }

    /// Enters what one step undoes, parts, does up and joins.
    pub fn enter(&mut self, catalog: &Catalog, setup: &Setup, at: StepIx) -> Result<(), Why> {
        let step = catalog.step(at);
        for fastening in there(catalog, setup, &step.undo) {
            if self.fastenings[fastening.index()].is_undone() {
                return Err(Why::AlreadyUndone(fastening));
            }
            self.undo(catalog, fastening);
        }
        for connection in &step.unplug {
            if std::mem::replace(&mut self.parted[connection.index()], true) {
                return Err(Why::AlreadyParted(*connection));
            }
        }
        for fastening in there(catalog, setup, &step.redo) {
            if !self.fastenings[fastening.index()].is_undone() {
                return Err(Why::NotUndone(fastening));
            }
            self.redo(catalog, fastening);
        }
        for connection in &step.plug {
            if !std::mem::replace(&mut self.parted[connection.index()], false) {
                return Err(Why::NotParted(*connection));
            }
        }
        Ok(())
    }

    /// Enters a step that was done before the walk began. Two legs that undo the
    /// same fastening (in place and on the bench) leave it undone once.
    pub fn carry_in(&mut self, catalog: &Catalog, setup: &Setup, at: StepIx) {
        let step = catalog.step(at);
        for fastening in there(catalog, setup, &step.undo) {
            if !self.fastenings[fastening.index()].is_undone() {
                self.undo(catalog, fastening);
            }
        }
        for fastening in there(catalog, setup, &step.redo) {
            if self.fastenings[fastening.index()].is_undone() {
                self.redo(catalog, fastening);
            }
        }
        for connection in &step.unplug {
            self.parted[connection.index()] = true;
        }
        for connection in &step.plug {
            self.parted[connection.index()] = false;
        }
    }

    /// The first thing that is still undone or parted.
    pub fn open_end(&self, catalog: &Catalog) -> Option<Why> {
        let line = self.fastenings.iter().find(|line| !line.is_settled());
        let cable = || {
            let mut all = catalog.connections().map(|(at, _)| at);
            all.find(|at| self.parted[at.index()])
        };
        line.map(|line| Why::TallyOpen(line.fastening))
            .or_else(|| cable().map(Why::CableOpen))
    }

    fn undo(&mut self, catalog: &Catalog, fastening: FasteningIx) {
        let (count, captive, single_use) = kind(catalog, fastening);
        let line = &mut self.fastenings[fastening.index()];
        line.out += count;
        if single_use {
            line.discarded += count;
        } else if !captive {
            line.in_tray += count;
        }
    }

    fn redo(&mut self, catalog: &Catalog, fastening: FasteningIx) {
        let (count, captive, single_use) = kind(catalog, fastening);
        let line = &mut self.fastenings[fastening.index()];
        if single_use {
            line.drawn += count;
        } else {
            line.back += count;
            if !captive {
                line.in_tray -= count;
            }
        }
    }
}

fn kind(catalog: &Catalog, fastening: FasteningIx) -> (u32, bool, bool) {
    let placed = catalog.fastening(fastening);
    let kind = catalog.fastener(placed.fastener);
    (u32::from(placed.entry.count), kind.captive, kind.single_use)
}

fn there<'a>(
    catalog: &'a Catalog,
    setup: &'a Setup,
    named: &'a [FasteningIx],
) -> impl Iterator<Item = FasteningIx> + 'a {
    named
        .iter()
        .copied()
        .filter(|at| setup.holds(&catalog.fastening(*at).when))
}
