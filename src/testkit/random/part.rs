//! Random parts.

use lidoff_catalog::format::{
    Condition, Formula, HandBack, Inspect, Leg, PartId, ReachedState, Reseat, Swap,
};

use super::step::LegFasteners;
use super::unit_builder::{BuiltPart, PartPosition, UnitBuilder};
use crate::builder;
use crate::byte_draw::ByteDraw;

/// The legs that a part has.
struct Legs {
    ease: bool,
    in_place: bool,
    bench: bool,
}

impl UnitBuilder {
    pub(super) fn part(&self, draw: &mut ByteDraw<'_>) -> BuiltPart {
        let name = format!("p{}", self.parts.len());
        let mut part = builder::part(&name);
        let mut able: Vec<usize> = (0..self.parts.len()).collect();
        able.retain(|at| self.parts[*at].most == PartPosition::Off);
        let carrier = if self.with.riders && draw.chance(35) {
            draw.pick(&able)
        } else {
            None
        };
        let when = self.where_there(carrier, draw);
        let legs = self.legs(carrier.is_some(), draw);
        let on = self.carriers(carrier);

        let mut held = LegFasteners::default();
        if legs.ease {
            let (leg, holds) = self.leg(&format!("{name}-ease"), &on, None, None, draw);
            part.ease = Some(leg);
            held = held.and(&holds);
        }
        if legs.in_place {
            let (leg, holds) = self.leg(&format!("{name}-off"), &on, None, None, draw);
            part.take_off = Some(leg);
            if self.with.other_ways && !legs.bench && draw.chance(40) {
                let name = format!("{name}-other");
                let (leg, _) = self.leg(&name, &on, None, Some(&holds), draw);
                part.other_ways.push(leg);
            }
            held = held.and(&holds);
        }
        if legs.bench {
            // What is undone in place is undone on the bench, too.
            let same = legs.in_place.then_some(&held);
            let (leg, holds) = self.leg(&format!("{name}-bench"), &[], carrier, same, draw);
            part.bench_off = Some(leg);
            if !legs.in_place {
                held = held.and(&holds);
            }
        }
        part.fastenings = held.fastenings;
        part.connections = held.cables;
        part.rides_on = carrier.map(|at| PartId::from(self.parts[at].id()));
        part.when = when.clone();
        let most = if legs.in_place || legs.bench {
            PartPosition::Off
        } else {
            PartPosition::Eased
        };
        self.what_is_done_with_it(&mut part, &legs, draw);
        if self.with.leave_out && most == PartPosition::Off && draw.chance(60) {
            part.leave_out = self.some_steps(&format!("{name}-left"), 1, draw);
        }
        BuiltPart {
            part,
            most,
            eases: legs.ease,
            carrier,
            when,
        }
    }

    /// A rider is fitted only where its carrier is.
    fn where_there(
        &self,
        carrier: Option<usize>,
        draw: &mut ByteDraw<'_>,
    ) -> Option<builder::FileCondition> {
        let own = self.perhaps(25, draw);
        let carriers = carrier.and_then(|at| self.parts[at].when.clone());
        match (carriers, own) {
            (Some(carriers), Some(own)) => Some(Condition::All(vec![carriers, own])),
            (one, other) => one.or(other),
        }
    }

    fn legs(&self, rides: bool, draw: &mut ByteDraw<'_>) -> Legs {
        let ease = self.with.easing && draw.chance(40);
        let shape = draw.below(8);
        let (in_place, bench) = match shape {
            0..=2 if rides => (false, true),
            3..=5 if rides => (true, true),
            7 if ease => (false, false),
            _ => (true, false),
        };
        Legs {
            ease,
            in_place,
            bench,
        }
    }

    fn leg(
        &self,
        name: &str,
        on: &[usize],
        off: Option<usize>,
        same: Option<&LegFasteners>,
        draw: &mut ByteDraw<'_>,
    ) -> (Leg, LegFasteners) {
        let witness = self.witness(on, off, draw);
        let needs = self.formula(&witness, on, draw);
        let refit_needs = if self.with.refit_needs && draw.chance(20) {
            self.formula(&witness, on, draw)
        } else {
            Formula::nothing()
        };
        let holds = match same {
            Some(holds) => holds.clone(),
            None => self.holds(name, draw),
        };
        let (out, back) = self.there_and_back(name, &holds, draw);
        let leg = Leg {
            needs,
            refit_needs,
            may_be_live: Vec::new(),
            out,
            back,
        };
        (leg, holds)
    }

    fn what_is_done_with_it(
        &self,
        part: &mut lidoff_catalog::format::Part,
        legs: &Legs,
        draw: &mut ByteDraw<'_>,
    ) {
        let name = part.id.to_string();
        let comes_off = legs.in_place || legs.bench;
        if comes_off && draw.chance(60) {
            let mut swap = Swap {
                steps: self.some_steps(&format!("{name}-swap"), 0, draw),
                ..Swap::default()
            };
            if draw.chance(30) {
                swap.hand_backs.push(HandBack {
                    id: format!("{name}-piece").as_str().into(),
                    name: format!("piece of {name}"),
                    when: self.perhaps(50, draw),
                    steps: self.some_steps(&format!("{name}-piece"), 1, draw),
                });
            }
            part.swap = Some(swap);
        }
        if draw.chance(30) {
            part.reseat = Some(Reseat {
                at: if legs.ease && (draw.chance(50) || !comes_off) {
                    ReachedState::Eased
                } else {
                    ReachedState::Off
                },
                steps: self.some_steps(&format!("{name}-reseat"), 1, draw),
                prove: Vec::new(),
            });
        }
        if draw.chance(30) {
            let witness = self.witness(&[], None, draw);
            part.inspect = Some(Inspect {
                needs: self.formula(&witness, &[], draw),
                steps: self.some_steps(&format!("{name}-inspect"), 1, draw),
            });
        }
    }

    /// Chooses riders that move over to the new part.
    pub(super) fn move_over(&mut self, draw: &mut ByteDraw<'_>) {
        for rider in 0..self.parts.len() {
            let id = self.parts[rider].part.id.clone();
            let Some(carrier) = self.parts[rider].carrier else {
                continue;
            };
            let moves = self.parts[rider].most == PartPosition::Off && draw.chance(40);
            if moves && let Some(swap) = &mut self.parts[carrier].part.swap {
                swap.moves_over.push(id);
            }
        }
    }

    /// Adds formulas that name any part: there may be no plan any more.
    pub(super) fn tangle(&mut self, draw: &mut ByteDraw<'_>) {
        for at in 0..self.parts.len() {
            let more: Vec<_> = (0..6).map(|_| self.more(at, draw)).collect();
            let part = &mut self.parts[at].part;
            let legs = [&mut part.ease, &mut part.take_off, &mut part.bench_off];
            let legs = legs.into_iter().flatten().chain(&mut part.other_ways);
            let needs = legs.flat_map(|leg| [&mut leg.needs, &mut leg.refit_needs]);
            for (needs, more) in needs.zip(more) {
                if let Some(more) = more {
                    let asked = std::mem::take(needs);
                    *needs = Formula::All(vec![asked, more]);
                }
            }
        }
    }

    fn more(&self, at: usize, draw: &mut ByteDraw<'_>) -> Option<builder::FileNeeds> {
        let about = |atom: &builder::FileNeeds| match atom {
            Formula::Off(id) | Formula::Eased(id) | Formula::Clear(id) | Formula::InPlace(id) => {
                id.as_str() != self.parts[at].id()
            }
            Formula::All(_) | Formula::Any(_) | Formula::When { .. } | Formula::Closed => true,
        };
        draw.chance(20)
            .then(|| self.atom(&[], draw))
            .flatten()
            .filter(about)
    }
}
