//! Random conditions, and random formulas drawn round a witness.

use lidoff_catalog::format::{Condition, Formula, PartId};

use super::super::builder::{SaidCond, SaidNeeds};
use super::super::draw::Draw;
use super::{Lie, Maker};

impl Maker {
    /// A condition on options and answers.
    pub(super) fn condition(&self, draw: &mut Draw<'_>) -> SaidCond {
        let options: &[&str] = if self.with.negation {
            &["o0", "o1", "g0", "g1"]
        } else {
            &["o0", "o1"]
        };
        let one = |draw: &mut Draw<'_>| {
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

    /// A condition, in so many per cent of cases.
    pub(super) fn perhaps(&self, percent: usize, draw: &mut Draw<'_>) -> Option<SaidCond> {
        (self.with.conditions && draw.chance(percent)).then(|| self.condition(draw))
    }

    /// A way for all the parts so far to lie: mostly as far out as they go, with
    /// these carriers on, and this one off.
    pub(super) fn witness(
        &self,
        on: &[usize],
        off: Option<usize>,
        draw: &mut Draw<'_>,
    ) -> Vec<Lie> {
        let mut lies: Vec<Lie> = Vec::new();
        for made in &self.made {
            let stays = self.with.staying && draw.chance(15);
            lies.push(if stays { Lie::Fitted } else { made.most });
        }
        for at in on {
            lies[*at] = Lie::Fitted;
        }
        if let Some(at) = off {
            lies[at] = Lie::Off;
        }
        lies
    }

    /// A formula that the witness makes true, and that does not ask what must
    /// stay on to be off.
    pub(super) fn formula(&self, lies: &[Lie], on: &[usize], draw: &mut Draw<'_>) -> SaidNeeds {
        let mut asked = Vec::new();
        for _ in 0..[0, 1, 1, 2, 3][draw.below(5)] {
            asked.extend(self.conjunct(lies, on, draw));
        }
        match asked.len() {
            1 => asked.remove(0),
            _ => Formula::All(asked),
        }
    }

    fn conjunct(&self, lies: &[Lie], on: &[usize], draw: &mut Draw<'_>) -> Option<SaidNeeds> {
        let sure = self.true_atom(lies, draw)?;
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

    /// An atom that the witness makes true.
    fn true_atom(&self, lies: &[Lie], draw: &mut Draw<'_>) -> Option<SaidNeeds> {
        let mut atoms = Vec::new();
        for (at, lie) in lies.iter().enumerate() {
            let id = || PartId::from(self.made[at].id());
            let carriers = self.carriers(self.made[at].carrier);
            let away = carriers.iter().any(|carrier| lies[*carrier] == Lie::Off);
            if *lie == Lie::Off || away {
                atoms.push(Formula::Off(id()));
            }
            if *lie != Lie::Fitted && self.made[at].eases {
                atoms.push(Formula::Eased(id()));
            }
            if *lie == Lie::Off && draw.chance(25) {
                atoms.push(Formula::Clear(id()));
            }
            if *lie == Lie::Fitted && !away && self.with.staying {
                atoms.push(Formula::InPlace(id()));
            }
        }
        if atoms.is_empty() {
            return None;
        }
        Some(atoms.swap_remove(draw.below(atoms.len())))
    }

    /// An atom that can come true, about any part so far.
    pub(super) fn atom(&self, on: &[usize], draw: &mut Draw<'_>) -> Option<SaidNeeds> {
        let at = draw.below(self.made.len().max(1));
        let made = self.made.get(at)?;
        let comes_off = made.most == Lie::Off && !on.contains(&at);
        let id = || PartId::from(made.id());
        let mut atoms = Vec::new();
        if comes_off {
            atoms.extend([Formula::Off(id()), Formula::Off(id()), Formula::Clear(id())]);
        }
        if made.eases {
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
