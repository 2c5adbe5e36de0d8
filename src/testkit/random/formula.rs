//! Random conditions, and random formulas drawn around a witness.

use lidoff_catalog::format::{Condition, Formula, PartId};

use super::unit_builder::{PartPosition, UnitBuilder};
use crate::builder::{FileCondition, FileNeeds};
use crate::byte_draw::ByteDraw;

impl UnitBuilder {
    /// A condition on options and answers.
    pub(super) fn condition(&self, draw: &mut ByteDraw<'_>) -> FileCondition {
        let options: &[&str] = if self.with.negation {
            &["o0", "o1", "g0", "g1"]
        } else {
            &["o0", "o1"]
        };
        let one = |draw: &mut ByteDraw<'_>| {
            let said = if draw.chance(25) {
                Condition::Answer {
                    question: "q0".into(),
                    is: ["a0", "a1"][draw.below(2)].into(),
                }
            } else {
                Condition::Fitted(options[draw.below(options.len())].into())
            };
            if self.with.negation && draw.chance(30) {
                Condition::Not(Box::new(said))
            } else {
                said
            }
        };
        match draw.below(6) {
            0..=3 => one(draw),
            4 => Condition::All(vec![one(draw), one(draw)]),
            _ => Condition::Any(vec![one(draw), one(draw)]),
        }
    }

    /// A condition, in this percentage of cases.
    pub(super) fn perhaps(&self, percent: usize, draw: &mut ByteDraw<'_>) -> Option<FileCondition> {
        (self.with.conditions && draw.chance(percent)).then(|| self.condition(draw))
    }

    /// A position for each part so far: mostly as far open as it goes, with the parts `on`
    /// fitted and the part `off` off.
    pub(super) fn witness(
        &self,
        on: &[usize],
        off: Option<usize>,
        draw: &mut ByteDraw<'_>,
    ) -> Vec<PartPosition> {
        let mut positions: Vec<PartPosition> = Vec::new();
        for built in &self.parts {
            let stays = self.with.staying && draw.chance(15);
            positions.push(if stays {
                PartPosition::Fitted
            } else {
                built.most
            });
        }
        for at in on {
            positions[*at] = PartPosition::Fitted;
        }
        if let Some(at) = off {
            positions[at] = PartPosition::Off;
        }
        positions
    }

    /// A formula that holds for the witness and never wants a part of `on` off.
    pub(super) fn formula(
        &self,
        positions: &[PartPosition],
        on: &[usize],
        draw: &mut ByteDraw<'_>,
    ) -> FileNeeds {
        let mut asked = Vec::new();
        for _ in 0..[0, 1, 1, 2, 3][draw.below(5)] {
            asked.extend(self.conjunct(positions, on, draw));
        }
        match asked.len() {
            1 => asked.remove(0),
            _ => Formula::All(asked),
        }
    }

    fn conjunct(
        &self,
        positions: &[PartPosition],
        on: &[usize],
        draw: &mut ByteDraw<'_>,
    ) -> Option<FileNeeds> {
        let sure = self.true_atom(positions, draw)?;
        let routes = self.with.routes && draw.chance(35);
        if routes {
            let mut ways = vec![sure];
            for _ in 0..1 + draw.below(2) {
                let one = self.atom(on, draw)?;
                let way = if draw.chance(30) {
                    Formula::All(vec![one, self.atom(on, draw)?])
                } else {
                    one
                };
                ways.insert(draw.below(ways.len() + 1), way);
            }
            return Some(Formula::Any(ways));
        }
        Some(match self.perhaps(15, draw) {
            Some(condition) => Formula::When {
                condition,
                then: Box::new(sure),
            },
            None => sure,
        })
    }

    /// An atom that holds for the witness.
    fn true_atom(&self, positions: &[PartPosition], draw: &mut ByteDraw<'_>) -> Option<FileNeeds> {
        let mut atoms = Vec::new();
        for (at, position) in positions.iter().enumerate() {
            let id = || PartId::from(self.parts[at].id());
            let carriers = self.carriers(self.parts[at].carrier);
            let away = carriers
                .iter()
                .any(|carrier| positions[*carrier] == PartPosition::Off);
            if *position == PartPosition::Off || away {
                atoms.push(Formula::Off(id()));
            }
            if *position != PartPosition::Fitted && self.parts[at].eases {
                atoms.push(Formula::Eased(id()));
            }
            if *position == PartPosition::Off && draw.chance(25) {
                atoms.push(Formula::Clear(id()));
            }
            if *position == PartPosition::Fitted && !away && self.with.staying {
                atoms.push(Formula::InPlace(id()));
            }
        }
        if atoms.is_empty() {
            return None;
        }
        Some(atoms.swap_remove(draw.below(atoms.len())))
    }

    /// An atom on any part so far that can come to hold.
    pub(super) fn atom(&self, on: &[usize], draw: &mut ByteDraw<'_>) -> Option<FileNeeds> {
        let at = draw.below(self.parts.len().max(1));
        let built = self.parts.get(at)?;
        let comes_off = built.most == PartPosition::Off && !on.contains(&at);
        let id = || PartId::from(built.id());
        let mut atoms = Vec::new();
        if comes_off {
            atoms.extend([Formula::Off(id()), Formula::Off(id()), Formula::Clear(id())]);
        }
        if built.eases {
            atoms.extend([Formula::Eased(id()), Formula::Eased(id())]);
        }
        if self.with.staying {
            atoms.push(Formula::InPlace(id()));
        }
        if atoms.is_empty() {
            return None;
        }
        Some(atoms.swap_remove(draw.below(atoms.len())))
    }
}
