//! Fasteners out and back in, cables unplugged and plugged in.

use lidoff_catalog::model::{Catalog, FasteningIx, PartIx, StepIx};
use lidoff_catalog::setup::Setup;

use super::violation::Violation;

/// The tally of one fastening.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct TallyLine {
    pub fastening: FasteningIx,
    /// Fasteners that came out.
    pub out: u32,
    /// The same ones that went back in.
    pub back: u32,
    /// Single-use ones that were thrown away.
    pub discarded: u32,
    /// New ones that went in instead.
    pub drawn: u32,
    /// Loose ones that lie in the tray now; captive ones never do.
    pub in_tray: u32,
}

impl TallyLine {
    pub const fn is_undone(&self) -> bool {
        self.out > self.back + self.drawn
    }

    /// Whether every fastener that came out is accounted for.
    pub const fn is_settled(&self) -> bool {
        self.out == self.back + self.discarded && self.drawn == self.discarded && self.in_tray == 0
    }
}

/// The account of fasteners and of cables.
#[derive(Clone, Debug)]
pub(super) struct Ledger {
    pub fastenings: Vec<TallyLine>,
    /// Whether each cable is unplugged, by connection.
    pub unplugged: Vec<bool>,
}

impl Ledger {
    /// Everything is fastened and plugged in.
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
            unplugged: vec![false; catalog.connections().len()],
        }
    }

    /// Enters what one step undoes, unplugs, redoes and plugs in.
    pub fn enter(&mut self, catalog: &Catalog, setup: &Setup, at: StepIx) -> Result<(), Violation> {
        let step = catalog.step(at);
        for fastening in is_fitted(catalog, setup, &step.undo) {
            if self.fastenings[fastening.index()].is_undone() {
                return Err(Violation::AlreadyUndone(fastening));
            }
            self.undo(catalog, fastening);
        }
        for connection in &step.unplug {
            if std::mem::replace(&mut self.unplugged[connection.index()], true) {
                return Err(Violation::AlreadyUnplugged(*connection));
            }
        }
        for fastening in is_fitted(catalog, setup, &step.redo) {
            if !self.fastenings[fastening.index()].is_undone() {
                return Err(Violation::NotUndone(fastening));
            }
            self.redo(catalog, fastening);
        }
        for connection in &step.plug {
            if !std::mem::replace(&mut self.unplugged[connection.index()], false) {
                return Err(Violation::NotUnplugged(*connection));
            }
        }
        Ok(())
    }

    /// Enters a step that was done before the simulation began. Two legs that undo the same
    /// fastening (in place and on the bench) leave it undone once.
    pub fn carry_in(&mut self, catalog: &Catalog, setup: &Setup, at: StepIx) {
        let step = catalog.step(at);
        for fastening in is_fitted(catalog, setup, &step.undo) {
            if !self.fastenings[fastening.index()].is_undone() {
                self.undo(catalog, fastening);
            }
        }
        for fastening in is_fitted(catalog, setup, &step.redo) {
            if self.fastenings[fastening.index()].is_undone() {
                self.redo(catalog, fastening);
            }
        }
        for connection in &step.unplug {
            self.unplugged[connection.index()] = true;
        }
        for connection in &step.plug {
            self.unplugged[connection.index()] = false;
        }
    }

    /// The first thing that is still undone or unplugged.
    pub fn first_open_end(
        &self,
        catalog: &Catalog,
        must_be_back: impl Fn(PartIx) -> bool,
    ) -> Option<Violation> {
        let mut lines = self.fastenings.iter();
        let line = lines.find(|line| {
            !line.is_settled() && must_be_back(catalog.fastening(line.fastening).part)
        });
        let cable = || {
            let back = catalog.parts().filter(|(part, _)| must_be_back(*part));
            let mut all = back.flat_map(|(_, part)| &part.connections);
            all.find(|at| self.unplugged[at.index()]).copied()
        };
        line.map(|line| Violation::TallyOpen(line.fastening))
            .or_else(|| cable().map(Violation::CableOpen))
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

fn is_fitted<'a>(
    catalog: &'a Catalog,
    setup: &'a Setup,
    named: &'a [FasteningIx],
) -> impl Iterator<Item = FasteningIx> + 'a {
    named
        .iter()
        .copied()
        .filter(|at| setup.holds(&catalog.fastening(*at).when))
}
