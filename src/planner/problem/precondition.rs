//! Preconditions: the catalog's formulas with conditions decided, relevant parts numbered
//! and absent parts left out.

use crate::bit_set::BitSet;
use crate::state::PartState;
use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{PartIx, ResolvedFormula};
use lidoff_catalog::setup::Setup;

use super::part_legs::{PartLegs, leg_of};
use super::part_numbering::PartNumbering;

/// What must hold before an operation. Parts are local numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Precondition {
    All(Vec<Precondition>),
    Any(Vec<Precondition>),
    /// A rider with two ways off is open this far, or one of its carriers is off. It may
    /// come off in place so that its carrier can come off, and be back on the carrier
    /// while that is off. So nothing in here is a landmark.
    OpenOrAway(Vec<Precondition>),
    /// The part's own state is at least this.
    AtLeast(usize, PartState),
    /// The part's own state is not `Off`.
    NotOff(usize),
    /// The part's own state is `Fitted`. That no carrier is off is said separately.
    Fitted(usize),
    /// The part's own state is `Fitted`, before a source is made live that all its legs need
    /// isolated. Nothing has to make way for this: see
    /// [`PreconditionReader`](super::preconditions_of_ops::PreconditionReader).
    FittedBeforeLive(usize),
    /// None of these tasks is left (bits of the task set).
    TasksDone(u64),
}

/// Atoms that must hold together: one disjunct of a disjunctive normal form.
type Conjunction<'a> = Vec<&'a Precondition>;

/// Beyond this many disjuncts, what stands under *all* is not expanded.
const MAX_DISJUNCTS: usize = 32;

impl Precondition {
    pub const ALWAYS: Self = Self::All(Vec::new());
    pub const NEVER: Self = Self::Any(Vec::new());

    /// Reads a checked formula for this unit. `unbound` are the parts that go under
    /// [`FittedBeforeLive`](Self::FittedBeforeLive) where they must be in place.
    pub fn read(
        needs: &ResolvedFormula,
        setup: &Setup,
        numbering: &PartNumbering,
        unbound: &[usize],
    ) -> Self {
        let read_each = |all: &[ResolvedFormula]| {
            all.iter()
                .map(|one| Self::read(one, setup, numbering, unbound))
                .collect()
        };
        match needs {
            Formula::All(all) => Self::All(read_each(all)),
            Formula::Any(any) => Self::Any(read_each(any)),
            Formula::When { condition, then } => {
                if setup.holds(condition) {
                    Self::read(then, setup, numbering, unbound)
                } else {
                    Self::ALWAYS
                }
            }
            Formula::Eased(part) => Self::atom(*part, numbering, |part| {
                Self::open_or_away(part, PartState::Eased, numbering)
            }),
            Formula::Off(part) => Self::atom(*part, numbering, |part| {
                Self::open_or_away(part, PartState::Off, numbering)
            }),
            Formula::Clear(part) => {
                Self::atom(*part, numbering, |part| Self::AtLeast(part, PartState::Off))
            }
            Formula::InPlace(part) => Self::atom(*part, numbering, |part| {
                Self::in_place(part, numbering, unbound)
            }),
            Formula::Closed => {
                let parts = numbering.real_parts().map(|local| numbering.part(local));
                let in_place = |part| {
                    Self::atom(part, numbering, |part| {
                        Self::in_place(part, numbering, unbound)
                    })
                };
                Self::All(parts.map(in_place).collect())
            }
        }
    }

    /// An atom on a part. It always holds on a part that the unit does not have, and on one
    /// that has been left out.
    pub fn atom(part: PartIx, numbering: &PartNumbering, read: impl FnOnce(usize) -> Self) -> Self {
        let Some(part) = numbering.local(part) else {
            return Self::ALWAYS;
        };
        match numbering.leaving(part) {
            0 => read(part),
            tasks => Self::Any(vec![read(part), Self::TasksDone(tasks)]),
        }
    }

    fn open_or_away(part: usize, state: PartState, numbering: &PartNumbering) -> Self {
        let carriers = numbering.carriers(part);
        if carriers.is_empty() {
            return Self::AtLeast(part, state);
        }
        let away = carriers
            .iter()
            .map(|carrier| Self::AtLeast(*carrier, PartState::Off));
        let any = std::iter::once(Self::AtLeast(part, state))
            .chain(away)
            .collect();
        if numbering.has_two_ways(part) {
            Self::OpenOrAway(any)
        } else {
            Self::Any(any)
        }
    }

    /// Fitted and not away.
    fn in_place(part: usize, numbering: &PartNumbering, unbound: &[usize]) -> Self {
        if numbering.is_out_of_use() && numbering.is_source(part) {
            return Self::NEVER;
        }
        if unbound.contains(&part) {
            return Self::FittedBeforeLive(part);
        }
        Self::All(
            std::iter::once(Self::Fitted(part))
                .chain(Self::no_carrier_off(part, numbering))
                .collect(),
        )
    }

    pub fn no_carrier_off(
        part: usize,
        numbering: &PartNumbering,
    ) -> impl Iterator<Item = Self> + '_ {
        numbering
            .carriers(part)
            .iter()
            .map(|carrier| Self::NotOff(*carrier))
    }

    /// Adds every part that an atom wants open, on any route.
    pub fn collect_opened(&self, into: &mut BitSet) {
        match self {
            Self::All(several) | Self::Any(several) | Self::OpenOrAway(several) => {
                for one in several {
                    one.collect_opened(into);
                }
            }
            Self::AtLeast(part, _) => into.insert(*part),
            Self::NotOff(_) | Self::Fitted(_) | Self::FittedBeforeLive(_) | Self::TasksDone(_) => {}
        }
    }

    /// Adds every part that an atom wants to stay in place.
    pub fn collect_must_remain(&self, into: &mut BitSet) {
        match self {
            Self::All(several) | Self::Any(several) | Self::OpenOrAway(several) => {
                for one in several {
                    one.collect_must_remain(into);
                }
            }
            Self::NotOff(part) | Self::Fitted(part) => into.insert(*part),
            Self::AtLeast(..) | Self::FittedBeforeLive(_) | Self::TasksDone(_) => {}
        }
    }

    /// For each part that must stay wherever this holds: the legs that must not be open.
    /// Each set is over `legs` legs.
    pub fn collect_closed_legs(&self, legs: usize, into: &mut Vec<BitSet>) {
        let mut set = BitSet::empty(legs);
        match self {
            Self::All(all) => all
                .iter()
                .for_each(|one| one.collect_closed_legs(legs, into)),
            Self::Fitted(part) => {
                set.insert(2 * part);
                set.insert(2 * part + 1);
                into.push(set);
            }
            Self::NotOff(part) => {
                set.insert(2 * part + 1);
                into.push(set);
            }
            _ => {}
        }
    }

    /// The legs that the atoms name on every route, without following their own
    /// preconditions; `None` where this can never hold. A part that can be eased or come
    /// off directly on the bench names neither leg for certain.
    pub fn named_legs(&self, part_legs: &[PartLegs]) -> Option<BitSet> {
        let legs = 2 * part_legs.len();
        self.fold_legs(legs, &|part, state| {
            let mut set = BitSet::empty(legs);
            let PartLegs {
                eases,
                comes_off_on_bench,
            } = part_legs[part];
            if !(state == PartState::Eased && eases && comes_off_on_bench) {
                set.insert(leg_of(part, state, part_legs));
            }
            Some(set)
        })
    }

    /// The choices that must be made for this to hold: every *any* under nothing but
    /// *all*, each with the sets of legs of its routes. `legs_of` gives the legs of an
    /// atom. A route with an atom for which it gives none is left out; so is a choice
    /// with a route that needs no leg, because that leaves nothing to choose.
    pub fn route_choices(
        &self,
        legs: usize,
        legs_of: impl Fn(&Self) -> Option<BitSet>,
    ) -> Vec<Vec<BitSet>> {
        let mut choices = Vec::new();
        self.collect_choices(&mut choices);
        let united = |route: &Conjunction| {
            route.iter().try_fold(BitSet::empty(legs), |mut set, one| {
                set.union_with(&legs_of(one)?);
                Some(set)
            })
        };
        let choices = choices
            .iter()
            .map(|routes| routes.iter().filter_map(united).collect());
        choices
            .filter(|routes: &Vec<BitSet>| !routes.is_empty())
            .filter(|routes| routes.iter().all(|route| !route.is_empty()))
            .collect()
    }

    fn collect_choices<'a>(&'a self, into: &mut Vec<Vec<Conjunction<'a>>>) {
        match self {
            Self::All(all) => all.iter().for_each(|one| one.collect_choices(into)),
            Self::Any(any) | Self::OpenOrAway(any) if any.len() > 1 => into.push(self.disjuncts()),
            _ => {}
        }
    }

    /// The disjunctive normal form. Where it would have more than [`MAX_DISJUNCTS`], what
    /// stands under *all* is left whole.
    fn disjuncts(&self) -> Vec<Conjunction<'_>> {
        match self {
            Self::Any(any) | Self::OpenOrAway(any) => {
                any.iter().flat_map(Self::disjuncts).collect()
            }
            Self::All(all) => {
                let parts: Vec<_> = all.iter().map(Self::disjuncts).collect();
                let count = parts.iter().try_fold(1, |count: usize, one| {
                    let count = count.checked_mul(one.len())?;
                    (count <= MAX_DISJUNCTS).then_some(count)
                });
                if count.is_none() {
                    return vec![vec![self]];
                }
                let mut products = vec![Conjunction::new()];
                for one in &parts {
                    let mut longer = Vec::with_capacity(products.len() * one.len());
                    for product in &products {
                        longer.extend(one.iter().map(|more| [product.as_slice(), more].concat()));
                    }
                    products = longer;
                }
                products
            }
            _ => vec![vec![self]],
        }
    }

    /// Folds sets of legs over the formula: united under *all*, intersected under *any*;
    /// `None` is "never".
    pub fn fold_legs(
        &self,
        legs: usize,
        atom: &impl Fn(usize, PartState) -> Option<BitSet>,
    ) -> Option<BitSet> {
        match self {
            Self::All(all) => all.iter().try_fold(BitSet::empty(legs), |mut set, one| {
                set.union_with(&one.fold_legs(legs, atom)?);
                Some(set)
            }),
            Self::Any(any) => any
                .iter()
                .filter_map(|one| one.fold_legs(legs, atom))
                .reduce(|mut set, one| {
                    set.intersect_with(&one);
                    set
                }),
            Self::AtLeast(part, state) => atom(*part, *state),
            Self::OpenOrAway(_)
            | Self::NotOff(_)
            | Self::Fitted(_)
            | Self::FittedBeforeLive(_)
            | Self::TasksDone(_) => Some(BitSet::empty(legs)),
        }
    }
}
