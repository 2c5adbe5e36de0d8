//! Units made at random, that a checker accepts and that can always be closed.
//!
//! Part *n* is asked for nothing but parts before it in the list, and every
//! formula is drawn round a *witness*: a way for those parts to lie that makes
//! it true. Then the first *n* parts can be brought to lie in any way without
//! moving the others (by induction on *n*), whatever a formula asks to be off
//! and whatever it asks to stay. So each task can be done and each state closed,
//! and a planner that says otherwise is wrong. With [`Ingredients::tangled`]
//! that promise is given up: formulas may be about any part.

mod formula;
mod part;
mod service;
mod step;

use lidoff_catalog::check::{Fault, FaultKind, check};
use lidoff_catalog::format::{CatalogFile, Step};
use lidoff_catalog::model::Catalog;
use proptest::collection::vec;
use proptest::prelude::*;

use super::builder::{self, SaidCond};
use super::draw::Draw;

/// What a random unit may have.
#[derive(Clone, Copy, Debug)]
pub struct Ingredients {
    /// Fewest and most parts.
    pub parts: (usize, usize),
    /// Parts that come off in two legs, or are only ever eased.
    pub easing: bool,
    /// Parts that come away with others, which gives a choice of ways.
    pub riders: bool,
    /// *Any* in formulas.
    pub routes: bool,
    /// *In place* in formulas.
    pub staying: bool,
    /// What must hold besides for the way back.
    pub refit_needs: bool,
    /// Options, answers, and what hangs on them.
    pub conditions: bool,
    /// *Not* in conditions, and groups of options.
    pub negation: bool,
    /// Waits.
    pub waits: bool,
    /// Service operations that come before and after other things.
    pub services: bool,
    /// Formulas about any part, so that there may be no way.
    pub tangled: bool,
}

impl Ingredients {
    /// Everything, from three to ten parts; always a way.
    pub const ALL: Self = Self {
        parts: (3, 10),
        easing: true,
        riders: true,
        routes: true,
        staying: true,
        refit_needs: true,
        conditions: true,
        negation: true,
        waits: true,
        services: true,
        tangled: false,
    };

    /// Everything but waits.
    pub const NO_WAITS: Self = Self {
        waits: false,
        ..Self::ALL
    };

    /// The same with so many parts.
    pub const fn sized(self, fewest: usize, most: usize) -> Self {
        Self {
            parts: (fewest, most),
            ..self
        }
    }
}

/// The waits that there may be.
const WAITS: [&str; 2] = ["w0", "w1"];

/// Bytes that one part is drawn from.
const GENES: usize = 96;

/// Random units.
pub fn units(with: Ingredients) -> impl Strategy<Value = Catalog> {
    files(with).prop_filter_map("the checker refuses it", move |file| match check(file) {
        Ok(catalog) => Some(catalog),
        Err(faults) if with.tangled || faults.errors().all(is_an_idle_condition) => None,
        Err(faults) => panic!("a random unit that should be sound is refused:\n{faults}"),
    })
}

/// "Wall and floor" now and then, where one excludes the other.
fn is_an_idle_condition(fault: &Fault) -> bool {
    fault.kind == FaultKind::NeverHolds
}

/// Random catalog files.
pub fn files(with: Ingredients) -> impl Strategy<Value = CatalogFile> {
    let (fewest, most) = with.parts;
    let parts = vec(vec(any::<u8>(), GENES), fewest..=most);
    (vec(any::<u8>(), GENES), parts).prop_map(move |(head, parts)| make(with, &head, &parts))
}

/// How a part lies, by its own legs; the order is the order of opening.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Lie {
    Fitted,
    Eased,
    Off,
}

/// A part that is made, with what later ones must know of it.
struct Made {
    part: lidoff_catalog::format::Part,
    /// As far out as it goes.
    most: Lie,
    /// Whether it has an easing leg.
    eases: bool,
    /// What it rides on.
    carrier: Option<usize>,
    /// Where it is there at all.
    when: Option<SaidCond>,
}

impl Made {
    fn id(&self) -> &str {
        self.part.id.as_str()
    }
}

/// A unit under way.
struct Maker {
    with: Ingredients,
    made: Vec<Made>,
    /// How long each wait is, s.
    waits: [u32; 2],
}

fn make(with: Ingredients, head: &[u8], genes: &[Vec<u8>]) -> CatalogFile {
    let mut draw = Draw::new(head);
    let mut file = builder::unit("random");
    if with.conditions {
        file.options = ["o0", "o1"]
            .map(|id| builder::option(id, None, true))
            .into();
        file.questions = vec![builder::question("q0", &["a0", "a1"])];
        if with.negation {
            file.options
                .push(builder::option("g0", Some("group"), true));
            file.options
                .push(builder::option("g1", Some("group"), false));
        }
    }
    let waits = WAITS.map(|_| 1 + draw.below(60) as u32);
    let mut maker = Maker {
        with,
        made: Vec::new(),
        waits,
    };
    for genes in genes {
        let next = maker.part(&mut Draw::new(genes));
        maker.made.push(next);
    }
    maker.move_over(&mut draw);
    file.services = maker.services(&mut draw);
    if with.tangled {
        maker.tangle(&mut draw);
    }
    file.parts = maker.made.into_iter().map(|made| made.part).collect();
    settle_waits(&mut file, waits);
    file
}

impl Maker {
    /// This carrier, and what it rides on in its turn.
    fn carriers(&self, of: Option<usize>) -> Vec<usize> {
        let mut carriers = Vec::new();
        let mut next = of;
        while let Some(carrier) = next {
            carriers.push(carrier);
            next = self.made[carrier].carrier;
        }
        carriers
    }
}

/// A catalog must not begin what nothing waits for, nor wait for what is only
/// begun later: so whatever is waited for is begun in making safe, too, which no
/// planner sees.
fn settle_waits(file: &mut CatalogFile, seconds: [u32; 2]) {
    let mut awaited = Vec::new();
    each_step(file, |step| awaited.extend(step.after_wait.clone()));
    each_step(file, |step| {
        step.starts_wait.take_if(|wait| !awaited.contains(&wait.id));
    });
    for (wait, seconds) in WAITS.into_iter().zip(seconds) {
        if awaited.contains(&wait.into()) {
            let mut step = builder::step(&format!("begin-{wait}"), 1.0);
            step.starts_wait = Some(builder::wait(wait, seconds));
            file.make_safe.push(step);
        }
    }
}

fn each_step(file: &mut CatalogFile, mut see: impl FnMut(&mut Step)) {
    for part in &mut file.parts {
        let legs = [&mut part.ease, &mut part.take_off, &mut part.bench_off];
        for leg in legs.into_iter().flatten() {
            leg.out.iter_mut().chain(&mut leg.back).for_each(&mut see);
        }
        if let Some(swap) = &mut part.swap {
            let pieces = swap.hand_backs.iter_mut();
            let pieces = pieces.flat_map(|piece| &mut piece.steps);
            swap.steps.iter_mut().chain(pieces).for_each(&mut see);
        }
        if let Some(how) = &mut part.reseat {
            how.steps.iter_mut().for_each(&mut see);
        }
        if let Some(how) = &mut part.inspect {
            how.steps.iter_mut().for_each(&mut see);
        }
    }
    let services = file.services.iter_mut();
    services
        .flat_map(|service| &mut service.steps)
        .for_each(&mut see);
}
