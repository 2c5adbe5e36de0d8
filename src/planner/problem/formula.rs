//! Formulas as the search reads them: conditions decided, parts numbered among
//! those that matter, what is not there left out.

use crate::PartState;
use crate::bits::Bits;
use lidoff_catalog::format::Formula;
use lidoff_catalog::model::{PartIx, ResolvedFormula};
use lidoff_catalog::setup::Setup;

use super::Shape;
use super::numbering::Numbering;

/// What must hold before an operation. Parts are local numbers.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Holds {
    All(Vec<Holds>),
    Any(Vec<Holds>),
    /// At least so far open itself, or away on one of its carriers; of a rider
    /// that has two ways. It may come off in place so that its carrier can come
    /// off, and be back on the carrier while that is off: so nothing in here is
    /// certain to be needed.
    Away(Vec<Holds>),
    /// The part's own state is at least this.
    Own(usize, PartState),
    /// The part's own state is not `Off`.
    On(usize),
    /// The part is fitted. (That it is not away is said beside.)
    InPlace(usize),
    /// None of these tasks is left (bits of the task set).
    Done(u64),
}

/// What must hold together.
type Route<'a> = Vec<&'a Holds>;

/// Routes of one choice, at the most.
const MOST_ROUTES: usize = 32;

impl Holds {
    pub const ALWAYS: Self = Self::All(Vec::new());
    pub const NEVER: Self = Self::Any(Vec::new());

    /// Reads a checked formula for this unit.
    pub fn read(needs: &ResolvedFormula, setup: &Setup, numbers: &Numbering) -> Self {
        let sub = |all: &[ResolvedFormula]| {
            all.iter()
                .map(|one| Self::read(one, setup, numbers))
                .collect()
        };
        match needs {
            Formula::All(all) => Self::All(sub(all)),
            Formula::Any(any) => Self::Any(sub(any)),
            Formula::When { condition, then } => {
                if setup.holds(condition) {
                    Self::read(then, setup, numbers)
                } else {
                    Self::ALWAYS
                }
            }
            Formula::Eased(part) => Self::open(*part, PartState::Eased, numbers),
            Formula::Off(part) => Self::open(*part, PartState::Off, numbers),
            Formula::Clear(part) => match numbers.local(*part) {
                Some(at) => Self::Own(at, PartState::Off),
                None => Self::ALWAYS,
            },
            Formula::InPlace(part) => Self::stays(*part, numbers),
        }
    }

    /// At least so far open, or away.
    fn open(part: PartIx, level: PartState, numbers: &Numbering) -> Self {
        let Some(at) = numbers.local(part) else {
            return Self::ALWAYS;
        };
        let carriers = numbers.carriers(at);
        if carriers.is_empty() {
            return Self::Own(at, level);
        }
        let away = carriers
            .iter()
            .map(|carrier| Self::Own(*carrier, PartState::Off));
        let routes = std::iter::once(Self::Own(at, level)).chain(away).collect();
        if numbers.has_two_ways(at) {
            Self::Away(routes)
        } else {
            Self::Any(routes)
        }
    }

    /// Fitted and not away.
    fn stays(part: PartIx, numbers: &Numbering) -> Self {
        match numbers.local(part) {
            Some(at) => Self::All(
                std::iter::once(Self::InPlace(at))
                    .chain(Self::present(at, numbers))
                    .collect(),
            ),
            None => Self::ALWAYS,
        }
    }

    /// No carrier is off.
    pub fn present(at: usize, numbers: &Numbering) -> impl Iterator<Item = Self> + '_ {
        numbers
            .carriers(at)
            .iter()
            .map(|carrier| Self::On(*carrier))
    }

    /// Every part that an opening atom names, on any route.
    pub fn mentions(&self, into: &mut Bits) {
        match self {
            Self::All(some) | Self::Any(some) | Self::Away(some) => {
                for one in some {
                    one.mentions(into);
                }
            }
            Self::Own(part, _) => into.insert(*part),
            Self::On(_) | Self::InPlace(_) | Self::Done(_) => {}
        }
    }

    /// Parts that an atom wants to stay.
    pub fn stayers(&self, into: &mut Bits) {
        match self {
            Self::All(some) | Self::Any(some) | Self::Away(some) => {
                for one in some {
                    one.stayers(into);
                }
            }
            Self::On(part) | Self::InPlace(part) => into.insert(*part),
            Self::Own(..) | Self::Done(_) => {}
        }
    }

    /// What must stay wherever the formula holds: for each part the legs that must
    /// not be walked, of so many in all.
    pub fn keeps(&self, legs: usize, into: &mut Vec<Bits>) {
        let mut set = Bits::none(legs);
        match self {
            Self::All(all) => all.iter().for_each(|one| one.keeps(legs, into)),
            Self::InPlace(part) => {
                set.insert(2 * part);
                set.insert(2 * part + 1);
                into.push(set);
            }
            Self::On(part) => {
                set.insert(2 * part + 1);
                into.push(set);
            }
            _ => {}
        }
    }

    /// The legs that the opening atoms name on every route, see [`super::leg`].
    /// `None` where the formula can never hold. A part that can be eased or come
    /// off on the bench at once names neither for certain.
    pub fn certain(&self, shapes: &[Shape]) -> Option<Bits> {
        let legs = 2 * shapes.len();
        self.fold(legs, &|part, level| {
            let mut set = Bits::none(legs);
            let Shape { eases, benches } = shapes[part];
            if !(level == PartState::Eased && eases && benches) {
                set.insert(super::leg(part, level, shapes));
            }
            Some(set)
        })
    }

    /// The choices that must be made for the formula to hold, each with its
    /// routes: every *any* that stands under nothing but *all*.
    fn choices<'a>(&'a self, into: &mut Vec<Vec<Route<'a>>>) {
        match self {
            Self::All(all) => all.iter().for_each(|one| one.choices(into)),
            Self::Any(any) | Self::Away(any) if any.len() > 1 => into.push(self.routes()),
            _ => {}
        }
    }

    /// The choices, with the legs of each route, so many in all, by what `of` has for
    /// each part of it. Routes for which it has none are left out; so is a choice of
    /// which some route asks for no leg: that leaves nothing to choose.
    pub fn choices_of(&self, legs: usize, of: impl Fn(&Self) -> Option<Bits>) -> Vec<Vec<Bits>> {
        let mut found = Vec::new();
        self.choices(&mut found);
        let united = |route: &Route| {
            route.iter().try_fold(Bits::none(legs), |mut set, one| {
                set.unite(&of(one)?);
                Some(set)
            })
        };
        let choices = found
            .iter()
            .map(|routes| routes.iter().filter_map(united).collect());
        choices
            .filter(|routes: &Vec<Bits>| !routes.is_empty())
            .filter(|routes| routes.iter().all(|route| !route.is_empty()))
            .collect()
    }

    /// Every route through the formula: what must hold together. Where there are
    /// too many, what stands under *all* is left whole.
    fn routes(&self) -> Vec<Route<'_>> {
        match self {
            Self::Any(any) | Self::Away(any) => any.iter().flat_map(Self::routes).collect(),
            Self::All(all) => {
                let parts: Vec<_> = all.iter().map(Self::routes).collect();
                let many = parts.iter().try_fold(1, |many: usize, one| {
                    let many = many.checked_mul(one.len())?;
                    (many <= MOST_ROUTES).then_some(many)
                });
                if many.is_none() {
                    return vec![vec![self]];
                }
                let mut routes = vec![Route::new()];
                for one in &parts {
                    let mut longer = Vec::with_capacity(routes.len() * one.len());
                    for route in &routes {
                        longer.extend(one.iter().map(|more| [route.as_slice(), more].concat()));
                    }
                    routes = longer;
                }
                routes
            }
            _ => vec![vec![self]],
        }
    }

    /// Folds sets of legs over the formula: united under *all*, met under *any*;
    /// `None` is "never".
    pub fn fold(
        &self,
        legs: usize,
        atom: &impl Fn(usize, PartState) -> Option<Bits>,
    ) -> Option<Bits> {
        match self {
            Self::All(all) => all.iter().try_fold(Bits::none(legs), |mut set, one| {
                set.unite(&one.fold(legs, atom)?);
                Some(set)
            }),
            Self::Any(any) => {
                any.iter()
                    .filter_map(|one| one.fold(legs, atom))
                    .reduce(|mut set, one| {
                        set.meet(&one);
                        set
                    })
            }
            Self::Own(part, level) => atom(*part, *level),
            Self::Away(_) | Self::On(_) | Self::InPlace(_) | Self::Done(_) => {
                Some(Bits::none(legs))
            }
        }
    }
}
