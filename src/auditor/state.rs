//! The state of the unit, as far as the plan shows it.

use lidoff_catalog::format::{Formula, FormulaEntry, PartId};

use super::op::{Op, ThingNr};
use super::unit::{LegKind, Thing, Unit};

/// A part is fitted, eased or off. A source is fitted while live, off while isolated.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Position {
    Fitted,
    Eased,
    Off,
}

#[derive(Clone, Debug, PartialEq, Eq)]
pub(crate) struct State {
    /// Of each part and source; `None` where it moves without a step.
    positions: Vec<Option<Position>>,
    /// Parts that have been left out, with their riders.
    left_out: Vec<ThingNr>,
}

/// Not, and, or of what may be unknown.
fn all(of: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    let mut is_known = true;
    for one in of {
        match one {
            Some(false) => return Some(false),
            None => is_known = false,
            Some(true) => {}
        }
    }
    is_known.then_some(true)
}

fn not(of: Option<bool>) -> Option<bool> {
    of.map(|is| !is)
}

fn any(of: impl Iterator<Item = Option<bool>>) -> Option<bool> {
    not(all(of.map(not)))
}

impl State {
    /// Where the plan starts.
    pub fn at_start(unit: &Unit) -> Self {
        let start = &unit.case.start;
        let is_left_out = |nr: &ThingNr| unit.leaves_out(*nr, &start.done);
        let mut state = Self {
            positions: vec![None; unit.things.len()],
            left_out: (0..unit.things.len()).filter(is_left_out).collect(),
        };
        for (nr, thing) in unit.things.iter().enumerate() {
            let is_open = |ids: &[PartId]| ids.contains(thing.id);
            let position = if is_open(&start.off) || is_open(&start.isolated) {
                Position::Off
            } else if is_open(&start.eased) {
                Position::Eased
            } else {
                Position::Fitted
            };
            state.set(thing, nr, position);
        }
        state
    }

    /// Something has come to a position, if it does not leave it unseen.
    fn set(&mut self, thing: &Thing, nr: ThingNr, to: Position) {
        // What a source charges comes back with it, step or no step.
        let is_charged = thing.source.is_some_and(|source| !source.fed_by.is_empty());
        let moves_unseen = match to {
            Position::Off => thing.silent_back && !is_charged,
            Position::Eased => thing.silent_back || thing.silent_out,
            Position::Fitted => thing.silent_out,
        };
        self.positions[nr] = (!moves_unseen).then_some(to);
    }

    pub fn of(&self, thing: ThingNr) -> Option<Position> {
        self.positions[thing]
    }

    /// Whether the part has been left out for good.
    pub fn is_left_out(&self, thing: ThingNr) -> bool {
        self.left_out.contains(&thing)
    }

    fn is(&self, thing: ThingNr, position: Position) -> Option<bool> {
        self.of(thing).map(|is| is == position)
    }

    /// Whether the part has gone with its carrier.
    pub fn is_away(&self, unit: &Unit, thing: ThingNr) -> Option<bool> {
        let Some(carrier) = unit.things[thing].carrier else {
            return Some(false);
        };
        let off = match unit.things[carrier].is_here && !self.is_left_out(carrier) {
            true => self.is(carrier, Position::Off),
            false => Some(false),
        };
        any([off, self.is_away(unit, carrier)].into_iter())
    }

    /// Whether the part is fitted in a unit that is fitted with it.
    pub fn is_in_place(&self, unit: &Unit, thing: ThingNr) -> Option<bool> {
        let away = not(self.is_away(unit, thing));
        all([self.is(thing, Position::Fitted), away].into_iter())
    }

    /// Whether every part is fitted.
    pub fn is_closed(&self, unit: &Unit) -> Option<bool> {
        let parts = unit.things.iter().enumerate();
        let parts = parts
            .filter(|(nr, thing)| thing.part.is_some() && thing.is_here && !self.is_left_out(*nr));
        all(parts.map(|(nr, _)| self.is_in_place(unit, nr)))
    }

    /// Whether the formula holds; `None` where that depends on what is unknown.
    pub fn holds(&self, unit: &Unit, formula: &FormulaEntry) -> Option<bool> {
        let has = |nr: &ThingNr| unit.things[*nr].is_here && !self.is_left_out(*nr);
        let here = |id: &PartId| unit.number(id).filter(has);
        match formula {
            Formula::All(of) => all(of.iter().map(|one| self.holds(unit, one))),
            Formula::Any(of) => any(of.iter().map(|one| self.holds(unit, one))),
            Formula::When { condition, then } => match unit.holds(Some(condition)) {
                true => self.holds(unit, then),
                false => Some(true),
            },
            Formula::Closed => self.is_closed(unit),
            Formula::Eased(id) => here(id).map_or(Some(true), |nr| {
                let open = not(self.is(nr, Position::Fitted));
                any([open, self.is_away(unit, nr)].into_iter())
            }),
            Formula::Off(id) => here(id).map_or(Some(true), |nr| {
                any([self.is(nr, Position::Off), self.is_away(unit, nr)].into_iter())
            }),
            Formula::Clear(id) => here(id).map_or(Some(true), |nr| self.is(nr, Position::Off)),
            Formula::InPlace(id) => here(id).map_or(Some(true), |nr| self.is_in_place(unit, nr)),
        }
    }

    /// The position that a leg starts from on the way out.
    pub fn before(thing: &Thing, kind: LegKind) -> Position {
        let eases = thing.legs.iter().any(|(kind, _)| *kind == LegKind::Ease);
        match kind {
            LegKind::Off if eases => Position::Eased,
            LegKind::Ease | LegKind::Off | LegKind::Bench => Position::Fitted,
        }
    }

    /// The position that a leg leads to on the way out.
    pub const fn after(kind: LegKind) -> Position {
        match kind {
            LegKind::Ease => Position::Eased,
            LegKind::Off | LegKind::Bench => Position::Off,
        }
    }

    /// The operation is complete.
    pub fn apply(&mut self, unit: &Unit, op: Op) {
        let (thing, to) = match op {
            Op::Out { thing, leg } => (thing, Self::after(unit.things[thing].legs[leg].0)),
            Op::Back { thing, leg } => {
                let known = &unit.things[thing];
                (thing, Self::before(known, known.legs[leg].0))
            }
            Op::LeaveOut(thing) => {
                let all = 0..unit.things.len();
                let gone = all.filter(|nr| *nr == thing || unit.rides_on(*nr, thing));
                self.left_out.extend(gone);
                return;
            }
            _ => return,
        };
        let known = &unit.things[thing];
        self.set(known, thing, to);
        if known.source.is_some() && to == Position::Fitted {
            for (fed, source) in unit.sources() {
                let is_fed = source.fed_by.contains(known.id);
                if is_fed && unit.things[fed].silent_back && self.of(fed) == Some(Position::Off) {
                    self.positions[fed] = Some(Position::Fitted);
                }
            }
        }
    }
}
