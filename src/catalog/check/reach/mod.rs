//! Reach: every part can be reached by some route, and goes back again.
//!
//! On each configuration of the unit (see [`configurations`](super::configurations)) three
//! least fixed points are computed over the legs of all parts:
//!
//! - **out**: starting from the closed unit, a leg is open once its formula is
//!   true of what has been opened;
//! - **the way in is the way out**: the same, asking besides for what the way
//!   back asks for. Read backwards, this is the unit being closed: a leg that is
//!   open on the way out and not here can be opened and never closed;
//! - **held**: starting from everything open, a leg closes once what must be in
//!   place for it is.
//!
//! Each leaves out some of what a plan must respect (above all what has to stay in
//! place on the way out), so a leg that is not reached can certainly not be
//! done, while one that is reached may still not be. Legs that are never reached
//! on any unit are errors; on some units only, warnings, for an author may mean
//! that.

mod routes;
mod stuck;
mod stuck_legs;

use super::configurations::{Configurations, Variables, evaluate_unfitted};
use super::draft::Draft;
use super::fault::Report;
use crate::format::Formula;
use crate::model::{Catalog, ResolvedCondition, ResolvedFormula};
use routes::{Mode, Reached, Routes};
use stuck::Stuck;
use stuck_legs::StuckLegs;

pub(super) async fn check(
    draft: &Draft,
    variables: &Variables,
    report: &mut Report,
    rest: &mut impl AsyncFnMut(),
) {
    let catalog = &draft.catalog;
    let configurations = Configurations::varying(variables, &conditions(catalog));
    let mut findings = StuckLegs::new(draft);
    for configuration in &configurations.all {
        let holds = |condition: &ResolvedCondition| Some(configuration.holds(variables, condition));
        for stuck in stuck(catalog, &holds) {
            findings.add(stuck, Some(configuration), variables);
        }
        rest().await;
    }
    for (ix, part) in catalog.parts() {
        let there = |one: &ResolvedCondition| {
            configurations
                .all
                .iter()
                .filter(|configuration| configuration.holds(variables, one))
                .count()
        };
        findings.there(ix, there(&part.when));
    }
    if !configurations.complete {
        // Not every way to fit the unit was tried: only what no way can open is
        // said never to be reached.
        findings.none_is_certain();
        for stuck in stuck(catalog, &evaluate_unfitted) {
            findings.add(stuck, None, variables);
        }
    }
    findings.report(variables, report);
}

/// The legs that are stuck if these conditions hold.
fn stuck(catalog: &Catalog, holds: &dyn Fn(&ResolvedCondition) -> Option<bool>) -> Vec<Stuck> {
    let mut stuck = Vec::new();
    let routes = Routes::new(catalog, holds);
    let out = routes.reach(Mode::Out, &Reached::all(catalog));
    for mode in [Mode::Out, Mode::Back, Mode::Held] {
        let reached = match mode {
            Mode::Out => out.clone(),
            Mode::Back | Mode::Held => routes.reach(mode, &out),
        };
        for node in routes.nodes() {
            let judged = mode == Mode::Out || out.has(node);
            if judged && !reached.has(node) && holds(&catalog.part(node.part).when) != Some(false) {
                let chain = routes.chain(node, mode, &reached);
                stuck.push(Stuck { node, mode, chain });
            }
        }
    }
    stuck
}

/// The conditions on which reach depends.
fn conditions(catalog: &Catalog) -> Vec<&ResolvedCondition> {
    let mut found = Vec::new();
    for part in &catalog.parts {
        found.push(&part.when);
        for leg in part.legs() {
            in_formula(&leg.needs, &mut found);
            in_formula(&leg.refit_needs, &mut found);
        }
    }
    found
}

fn in_formula<'c>(formula: &'c ResolvedFormula, found: &mut Vec<&'c ResolvedCondition>) {
    match formula {
        Formula::All(list) | Formula::Any(list) => {
            for one in list {
                in_formula(one, found);
            }
        }
        Formula::When { condition, then } => {
            found.push(condition);
            in_formula(then, found);
        }
        Formula::Eased(_)
        | Formula::Off(_)
        | Formula::Clear(_)
        | Formula::InPlace(_)
        | Formula::Closed => {}
    }
}
