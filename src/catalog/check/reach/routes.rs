//! Which legs can be opened from the current set of open legs, and what blocks the
//! others.

use crate::check::draft::{Atom, LegName};
use crate::check::parts::carriers;
use crate::format::Formula;
use crate::model::{Catalog, Leg, Part, PartIx, ResolvedCondition, ResolvedFormula};

/// A leg of a part.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) struct Node {
    pub(super) part: PartIx,
    pub(super) leg: LegName,
}

/// Which of the three fixed points.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Mode {
    Out,
    Back,
    Held,
}

/// The legs reached so far.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Reached(Vec<[bool; 3]>);

impl Reached {
    /// All of them.
    pub(super) fn all(catalog: &Catalog) -> Self {
        Self(vec![[true; 3]; catalog.parts.len()])
    }

    pub(super) fn has(&self, Node { part, leg }: Node) -> bool {
        self.0[part.index()][slot(leg)]
    }

    fn add(&mut self, Node { part, leg }: Node) {
        self.0[part.index()][slot(leg)] = true;
    }

    fn eased(&self, part: PartIx) -> bool {
        self.0[part.index()][slot(LegName::Ease)]
    }

    /// Taken off by itself.
    fn clear(&self, part: PartIx) -> bool {
        let [_, take_off, bench_off] = self.0[part.index()];
        take_off || bench_off
    }
}

/// Where a leg is in the list of a part. All ways off in the unit count as one.
const fn slot(leg: LegName) -> usize {
    match leg {
        LegName::Ease => 0,
        LegName::TakeOff | LegName::OtherWay(_) => 1,
        LegName::BenchOff => 2,
    }
}

/// The first obstacle of a leg.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Barrier {
    /// A part that is not as it must be.
    Part(PartIx, Atom),
    /// The part is not eased yet.
    NotEased,
    /// The part's carrier is not off yet.
    CarrierOn(PartIx),
    /// A list of alternatives with none in it.
    Nothing,
}

/// The chain from a leg to the cause of its being stuck.
#[derive(Clone, Debug)]
pub(super) struct Chain {
    /// Each leg with what stands in its way, which the next one is about.
    pub(super) links: Vec<(Node, Barrier)>,
    /// Where in the links the circle begins that they end in; none where the
    /// last barrier cannot move at all.
    pub(super) circle: Option<usize>,
}

/// All routes of a catalog under these conditions. If the value of a condition is unknown,
/// the easier value is assumed.
pub(super) struct Routes<'c> {
    catalog: &'c Catalog,
    holds: &'c dyn Fn(&ResolvedCondition) -> Option<bool>,
    carriers: Vec<Vec<PartIx>>,
}

impl<'c> Routes<'c> {
    pub(super) fn new(
        catalog: &'c Catalog,
        holds: &'c dyn Fn(&ResolvedCondition) -> Option<bool>,
    ) -> Self {
        let carriers = catalog.parts().map(|(ix, _)| carriers(catalog, ix));
        Self {
            catalog,
            holds,
            carriers: carriers.collect(),
        }
    }

    /// All legs, in file order.
    pub(super) fn nodes(&self) -> Vec<Node> {
        let legs = [LegName::Ease, LegName::TakeOff, LegName::BenchOff];
        let nodes = self.catalog.parts().flat_map(|(part, checked)| {
            let legs = legs
                .into_iter()
                .filter(|leg| ways_of(checked, *leg).next().is_some());
            legs.map(move |leg| Node { part, leg })
        });
        nodes.collect()
    }

    /// The least fixed point. Legs that are not in `out` are never open, and so
    /// never need to be closed.
    pub(super) fn reach(&self, mode: Mode, out: &Reached) -> Reached {
        let mut reached = Reached(vec![[false; 3]; self.catalog.parts.len()]);
        let mut rest = self.nodes();
        if mode == Mode::Held {
            rest.retain(|node| {
                out.has(*node) || {
                    reached.add(*node);
                    false
                }
            });
        }
        loop {
            let before = rest.len();
            rest.retain(|node| {
                let closed = self.barrier(*node, mode, &reached).is_some();
                if !closed {
                    reached.add(*node);
                }
                closed
            });
            if rest.len() == before {
                return reached;
            }
        }
    }

    /// The obstacle of a leg, if there is one.
    fn barrier(&self, node: Node, mode: Mode, reached: &Reached) -> Option<Barrier> {
        let mut barrier = None;
        for leg in ways_of(self.catalog.part(node.part), node.leg) {
            let here = self.barrier_of_way(leg, node, mode, reached)?;
            barrier = barrier.or(Some(here));
        }
        barrier
    }

    fn barrier_of_way(
        &self,
        leg: &Leg,
        node: Node,
        mode: Mode,
        reached: &Reached,
    ) -> Option<Barrier> {
        let part = self.catalog.part(node.part);
        if mode == Mode::Held {
            // A part that needs something in place to come off may keep others
            // from being off at the same time: nothing is certain then.
            let free = keeps_something(&leg.needs);
            return if free {
                None
            } else {
                self.first(&leg.refit_needs, node, mode, reached)
            };
        }
        if node.leg == LegName::TakeOff && part.ease.is_some() && !reached.eased(node.part) {
            return Some(Barrier::NotEased);
        }
        if node.leg == LegName::BenchOff
            && let Some(carrier) = part.rides_on
            && !self.is_off(carrier, &[], reached)
        {
            return Some(Barrier::CarrierOn(carrier));
        }
        let in_the_way = self.first(&leg.needs, node, mode, reached);
        match mode {
            Mode::Out | Mode::Held => in_the_way,
            Mode::Back => in_the_way.or_else(|| self.first(&leg.refit_needs, node, mode, reached)),
        }
    }

    /// The first atom of a formula that is not true.
    fn first(
        &self,
        formula: &ResolvedFormula,
        node: Node,
        mode: Mode,
        reached: &Reached,
    ) -> Option<Barrier> {
        let held = mode == Mode::Held;
        match formula {
            Formula::All(all) => all
                .iter()
                .find_map(|one| self.first(one, node, mode, reached)),
            Formula::Any(any) => {
                let mut barrier = Some(Barrier::Nothing);
                for one in any {
                    let here = self.first(one, node, mode, reached)?;
                    if barrier == Some(Barrier::Nothing) {
                        barrier = Some(here);
                    }
                }
                barrier
            }
            Formula::When { condition, then } => match (self.holds)(condition) {
                Some(true) => self.first(then, node, mode, reached),
                Some(false) | None => None,
            },
            Formula::Closed if held => {
                let parts = self.catalog.parts().map(|(part, _)| part);
                let mut others = parts.filter(|part| !self.catalog.part(*part).is_source());
                let open = others.find(|part| {
                    *part != node.part
                        && (self.holds)(&self.catalog.part(*part).when) == Some(true)
                        && !self.is_back(*part, reached)
                });
                open.map(|part| Barrier::Part(part, Atom::InPlace))
            }
            Formula::InPlace(part) if held => {
                let back = self.may_be_absent(*part) || self.is_back(*part, reached);
                (!back).then_some(Barrier::Part(*part, Atom::InPlace))
            }
            _ if held => None,
            Formula::InPlace(_) | Formula::Closed => None,
            Formula::Eased(part) => {
                let eased = reached.eased(*part) || self.is_off_for(*part, node, reached);
                (!eased).then_some(Barrier::Part(*part, Atom::Eased))
            }
            Formula::Off(part) => {
                let off = self.is_off_for(*part, node, reached);
                (!off).then_some(Barrier::Part(*part, Atom::Off))
            }
            Formula::Clear(part) => {
                let off = self.may_be_absent(*part)
                    || reached.clear(*part) && !self.stands(node).contains(part);
                (!off).then_some(Barrier::Part(*part, Atom::Clear))
            }
        }
    }

    fn may_be_absent(&self, part: PartIx) -> bool {
        (self.holds)(&self.catalog.part(part).when) != Some(true)
    }

    /// The parts that are certainly in place during this leg: a part that is moved in
    /// place, and its carriers.
    fn stands(&self, Node { part, leg }: Node) -> Vec<PartIx> {
        match leg {
            LegName::Ease | LegName::TakeOff | LegName::OtherWay(_) => std::iter::once(part)
                .chain(self.carriers[part.index()].iter().copied())
                .collect(),
            LegName::BenchOff => vec![part],
        }
    }

    fn is_off_for(&self, part: PartIx, node: Node, reached: &Reached) -> bool {
        self.is_off(part, &self.stands(node), reached)
    }

    /// Whether the part is off, or away with a carrier that does not have to be in place.
    fn is_off(&self, part: PartIx, stands: &[PartIx], reached: &Reached) -> bool {
        let chain = std::iter::once(part).chain(self.carriers[part.index()].iter().copied());
        let mut chain = chain.take_while(|one| !stands.contains(one));
        self.may_be_absent(part) || chain.any(|one| reached.clear(one))
    }

    fn is_back(&self, part: PartIx, reached: &Reached) -> bool {
        self.open_leg(part, reached).is_none()
    }

    /// A leg of this part that still has to be closed. A part that can come off in two ways
    /// can go back either way.
    fn open_leg(&self, part: PartIx, reached: &Reached) -> Option<Node> {
        let checked = self.catalog.part(part);
        let off = [LegName::TakeOff, LegName::BenchOff];
        let mut off = off
            .into_iter()
            .filter(|leg| ways_of(checked, *leg).next().is_some());
        if !reached.clear(part)
            && let Some(leg) = off.next()
        {
            return Some(Node { part, leg });
        }
        let ease = checked.ease.is_some() && !reached.eased(part);
        let leg = LegName::Ease;
        ease.then_some(Node { part, leg })
    }

    /// The chain from a stuck leg to its cause.
    pub(super) fn chain(&self, from: Node, mode: Mode, reached: &Reached) -> Chain {
        let mut links: Vec<(Node, Barrier)> = Vec::new();
        let mut next = Some(from);
        while let Some(node) = next {
            if let Some(circle) = links.iter().position(|(seen, _)| *seen == node) {
                return Chain {
                    links,
                    circle: Some(circle),
                };
            }
            let Some(barrier) = self.barrier(node, mode, reached) else {
                break;
            };
            links.push((node, barrier));
            next = self.behind(node, barrier, mode, reached);
            next = next.filter(|next| !reached.has(*next));
        }
        Chain {
            links,
            circle: None,
        }
    }

    /// The leg that would remove an obstacle.
    fn behind(&self, node: Node, barrier: Barrier, mode: Mode, reached: &Reached) -> Option<Node> {
        match barrier {
            Barrier::Nothing => None,
            Barrier::NotEased => Some(Node {
                leg: LegName::Ease,
                ..node
            }),
            Barrier::Part(part, Atom::InPlace) if mode == Mode::Held => {
                self.open_leg(part, reached)
            }
            Barrier::Part(part, Atom::Eased) if self.catalog.part(part).ease.is_some() => {
                let leg = LegName::Ease;
                Some(Node { part, leg })
            }
            Barrier::CarrierOn(part) | Barrier::Part(part, _) => {
                let stands = match barrier {
                    Barrier::CarrierOn(_) => Vec::new(),
                    _ => self.stands(node),
                };
                let chain = std::iter::once(part);
                let mut chain = chain.chain(self.carriers[part.index()].iter().copied());
                chain.find_map(|part| {
                    let leg = self.way_off(part, reached)?;
                    (!stands.contains(&part) || part == node.part).then_some(Node { part, leg })
                })
            }
        }
    }

    /// The next leg on this part's way off.
    fn way_off(&self, part: PartIx, reached: &Reached) -> Option<LegName> {
        let checked = self.catalog.part(part);
        if checked.take_off.is_none() {
            return checked.bench_off.is_some().then_some(LegName::BenchOff);
        }
        let first = checked.ease.is_some() && !reached.eased(part);
        Some(if first {
            LegName::Ease
        } else {
            LegName::TakeOff
        })
    }
}

/// The ways that a leg can be done.
fn ways_of(part: &Part, leg: LegName) -> impl Iterator<Item = &Leg> {
    let (only, others) = match leg {
        LegName::Ease => (&part.ease, [].as_slice()),
        LegName::TakeOff | LegName::OtherWay(_) => (&part.take_off, part.other_ways.as_slice()),
        LegName::BenchOff => (&part.bench_off, [].as_slice()),
    };
    only.iter().chain(others)
}

fn keeps_something(formula: &ResolvedFormula) -> bool {
    match formula {
        Formula::All(list) | Formula::Any(list) => list.iter().any(keeps_something),
        Formula::When { then, .. } => keeps_something(then),
        Formula::InPlace(_) | Formula::Closed => true,
        Formula::Eased(_) | Formula::Off(_) | Formula::Clear(_) => false,
    }
}
