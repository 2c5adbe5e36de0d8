//! Walks through the plan and reports what is done in the wrong state of the unit.

use lidoff_catalog::format::{FormulaEntry, OrderAnchor, PartId, ReachedState};
use lidoff_i18n::tr;

use super::op::{Op, ThingNr};
use super::rule::Rule;
use super::runs::{Effect, Report, Run, name_step};
use super::state::{Position, State};
use super::unit::{LegKind, Unit};

/// Walks through these runs from the start of the plan to its end.
pub(crate) fn walk(unit: &Unit, runs: &[&Run], report: &mut Report) {
    let mut state = State::at_start(unit);
    let mut reclosed = Vec::new();
    for (at, run) in runs.iter().enumerate() {
        let mut step = Checker {
            unit,
            state: &state,
            run,
            later: &runs[at + 1..],
            made_live: &reclosed,
            report,
        };
        step.check();
        if run.effect == Effect::Completes {
            state.apply(unit, run.op);
            if let Op::Back { thing, .. } = run.op {
                reclosed.push(thing);
            }
        }
    }
    check_end(unit, &state, report);
}

fn check_end(unit: &Unit, state: &State, report: &mut Report) {
    let last = unit.case.steps.len().saturating_sub(1);
    for (nr, thing) in unit
        .things
        .iter()
        .enumerate()
        .filter(|(nr, one)| one.is_here && !unit.stays_off(*nr))
    {
        if !matches!(state.of(nr), Some(Position::Eased | Position::Off)) {
            continue;
        }
        if thing.part.is_some() {
            report.add(Rule::LeftOpen, last, || {
                tr!(
                    "The plan ends with “{name}” not refitted, so the unit is not complete.",
                    name = thing.name
                )
            });
        } else {
            report.add(Rule::LeftIsolated, last, || {
                tr!(
                    "The plan ends with “{name}” still isolated, so the unit cannot be used.",
                    name = thing.name
                )
            });
        }
    }
}

/// Checks one run in the state in which it begins.
struct Checker<'a, 'f> {
    unit: &'a Unit<'f>,
    state: &'a State,
    run: &'a Run<'f>,
    later: &'a [&'a Run<'f>],
    /// What was put back or made live earlier in the plan.
    made_live: &'a [ThingNr],
    report: &'a mut Report,
}

impl Checker<'_, '_> {
    fn add(&mut self, rule: Rule, sentence: impl FnOnce() -> String) {
        self.report.add(rule, self.run.first, sentence);
    }

    /// Whether this is certainly not so.
    fn fails(&mut self, is: Option<bool>) -> bool {
        self.report.is_unsure |= is.is_none();
        is == Some(false)
    }

    /// Whether it is certainly not in this position.
    fn is_not(&mut self, thing: ThingNr, position: Position) -> bool {
        self.fails(self.state.of(thing).map(|is| is == position))
    }

    fn step(&self) -> String {
        name_step(self.run.first, self.run.steps[0])
    }

    fn name(&self, thing: ThingNr) -> &str {
        &self.unit.things[thing].name
    }

    fn check(&mut self) {
        if self.run.effect == Effect::Completes {
            match self.run.op {
                Op::Out { thing, leg } => self.check_leg(thing, leg, true),
                Op::Back { thing, leg } => self.check_leg(thing, leg, false),
                Op::Swap(part) => self.check_swap(part),
                Op::Reseat(part) => self.check_reseat(part),
                Op::Inspect(part) => {
                    let part = self.unit.things[part].part;
                    if let Some(inspect) = part.and_then(|part| part.inspect.as_ref()) {
                        self.check_needs(&inspect.needs);
                    }
                }
                Op::Serve(nr) => self.check_service(nr),
                Op::LeaveOut(part) => self.check_off(part),
                Op::Start | Op::Check { .. } => self.check_check(),
                Op::MakeSafe | Op::HandOver => {}
            }
            self.check_later_services();
        } else if self.run.effect == Effect::TakesBack
            && let Op::Back { thing, leg } = self.run.op
            && self.unit.things[thing].source.is_some()
        {
            // What was half isolated is made live.
            self.check_needs(&self.unit.things[thing].legs[leg].1.refit_needs);
            self.check_intact(thing);
        }
        self.check_isolation();
    }

    fn check_leg(&mut self, thing: ThingNr, nr: usize, is_out: bool) {
        let unit = self.unit;
        let known = &unit.things[thing];
        let (kind, leg) = known.legs[nr];
        let (before, after) = (State::before(known, kind), State::after(kind));
        let from = if is_out { before } else { after };
        if !is_out && known.source.is_some() && unit.is_out_of_use() {
            let (step, name) = (self.step(), known.name.clone());
            self.add(Rule::LiveOutOfUse, || {
                tr!(
                    "Step {step} makes “{name}” live, but the unit is closed without a part and \
                     goes out of use.",
                    step = step,
                    name = name
                )
            });
        }
        let away = self.state.is_away(unit, thing);
        let is_in_right_place = away.map(|away| away == (kind == LegKind::Bench));
        let is_gone = self.state.is_left_out(thing);
        if is_gone || self.is_not(thing, from) || self.fails(is_in_right_place) {
            let (step, name) = (self.step(), known.name.clone());
            self.add(Rule::WrongState, || {
                tr!(
                    "Step {step} moves “{name}”, which is not where this step takes it from.",
                    step = step,
                    name = name
                )
            });
        }
        self.check_needs(&leg.needs);
        if !is_out {
            self.check_needs(&leg.refit_needs);
        }
        if let Some(source) = known.source {
            self.check_feeds(thing, &source.fed_by, is_out);
            if !is_out {
                self.check_intact(thing);
            }
        }
    }

    fn check_needs(&mut self, needs: &FormulaEntry) {
        if !self.fails(self.state.holds(self.unit, needs)) {
            return;
        }
        let named = self.unit.named_in(needs);
        let names: Vec<&str> = named.iter().map(|nr| self.name(*nr)).collect();
        let (step, names) = (self.step(), names.join(", "));
        self.add(Rule::NeedsUnmet, || match names.is_empty() {
            true => tr!(
                "Step {step} needs the unit closed, but it is open.",
                step = step
            ),
            false => tr!(
                "Step {step} comes at a time when what it needs does not hold: {names}.",
                step = step,
                names = names
            ),
        });
    }

    /// A charged source is isolated after what charges it, and live again before it.
    fn check_feeds(&mut self, thing: ThingNr, fed_by: &[PartId], is_out: bool) {
        let unit = self.unit;
        let wrong = unit.sources().find(|(other, source)| match is_out {
            true => fed_by.contains(&source.id) && self.state.of(*other) == Some(Position::Fitted),
            false => {
                source.fed_by.contains(unit.things[thing].id)
                    && !unit.things[*other].silent_back
                    && self.state.of(*other) == Some(Position::Off)
            }
        });
        let Some((other, _)) = wrong else { return };
        let (step, name) = (self.step(), self.name(thing).to_owned());
        let other = self.name(other).to_owned();
        self.add(Rule::StoredEnergy, || match is_out {
            true => tr!(
                "Step {step} isolates “{name}” while “{other}” still charges it.",
                step = step,
                name = name,
                other = other
            ),
            false => tr!(
                "Step {step} makes “{name}” live, which charges “{other}”, noted as isolated.",
                step = step,
                name = name,
                other = other
            ),
        });
    }

    /// What a source reaches is back before it is live.
    fn check_intact(&mut self, source: ThingNr) {
        let unit = self.unit;
        let Some(known) = unit.things[source].source else {
            return;
        };
        let is_tested_live = |run: &&&Run| match run.op {
            Op::Serve(nr) => unit.service(nr).live.contains(&known.id),
            _ => false,
        };
        let isolates = |run: &&Run| matches!(run.op, Op::Out { thing, .. } if thing == source);
        let mut until_isolated = self.later.iter().take_while(|run| !isolates(run));
        if until_isolated.any(|run| is_tested_live(&run)) {
            return;
        }
        let is_open = |(nr, thing): &(ThingNr, &super::unit::Thing)| {
            let Some(part) = thing.part else { return false };
            let reached = known
                .reach
                .as_ref()
                .is_none_or(|reach| reach.contains(&part.id));
            let mut legs = thing.legs.iter();
            let is_excepted = part.may_be_live.contains(&known.id)
                || legs.any(|(_, leg)| leg.may_be_live.contains(&known.id));
            let open = matches!(self.state.of(*nr), Some(Position::Eased | Position::Off));
            thing.is_here && reached && !is_excepted && open
        };
        let mut all = unit.things.iter().enumerate();
        let Some((open, _)) = all.find(is_open) else {
            return;
        };
        let (step, open) = (self.step(), self.name(open).to_owned());
        let name = known.name.clone();
        self.add(Rule::UnitIntact, || {
            tr!(
                "Step {step} makes “{name}” live while “{open}” is open, and no test under power \
                 is planned.",
                step = step,
                name = lidoff_i18n::localize(&name),
                open = open
            )
        });
    }

    /// A part is left out only once it is off.
    fn check_off(&mut self, part: ThingNr) {
        if self.is_not(part, Position::Off) {
            let (step, name) = (self.step(), self.name(part).to_owned());
            self.add(Rule::WrongState, || {
                tr!(
                    "Step {step} leaves out “{name}”, which is not off.",
                    step = step,
                    name = name
                )
            });
        }
    }

    fn check_swap(&mut self, part: ThingNr) {
        let unit = self.unit;
        let (step, name) = (self.step(), self.name(part).to_owned());
        if self.is_not(part, Position::Off) {
            self.add(Rule::UnpackedEarly, || {
                tr!(
                    "Step {step} gets the new “{name}” ready before the old one is off.",
                    step = step,
                    name = name
                )
            });
        }
        let swap = unit.things[part].part.and_then(|part| part.swap.as_ref());
        let riders = swap.into_iter().flat_map(|swap| &swap.moves_over);
        let mut riders = riders.filter_map(|id| unit.number(id));
        let on =
            riders.find(|rider| unit.things[*rider].is_here && self.is_not(*rider, Position::Off));
        if let Some(rider) = on {
            let rider = self.name(rider).to_owned();
            let (step, name) = (self.step(), self.name(part).to_owned());
            self.add(Rule::WrongState, || {
                tr!(
                    "Step {step} replaces “{name}” while “{rider}”, which moves to the new part, \
                     is still on the old one.",
                    step = step,
                    name = name,
                    rider = rider
                )
            });
        }
    }

    fn check_reseat(&mut self, part: ThingNr) {
        let reseat = self.unit.things[part]
            .part
            .and_then(|part| part.reseat.as_ref());
        let Some(reseat) = reseat else { return };
        let is_enough = self.state.of(part).map(|is| match reseat.at {
            ReachedState::Eased => is != Position::Fitted,
            ReachedState::Off => is == Position::Off,
        });
        if self.fails(is_enough) {
            let (step, name) = (self.step(), self.name(part).to_owned());
            self.add(Rule::WrongState, || {
                tr!(
                    "Step {step} reseats “{name}”, which is not far enough out.",
                    step = step,
                    name = name
                )
            });
        }
    }

    fn check_service(&mut self, nr: usize) {
        let service = self.unit.service(nr);
        self.check_needs(&service.needs);
        let live = service.live.iter().filter_map(|id| self.unit.number(id));
        let dead = live.filter(|source| self.unit.things[*source].is_here);
        let dead: Vec<ThingNr> = dead
            .filter(|source| self.is_not(*source, Position::Fitted))
            .collect();
        self.check_live(&dead);
        if let Some(anchor) = service
            .after
            .iter()
            .find(|anchor| self.is_too_early(anchor))
        {
            let (step, anchor) = (self.step(), self.name_anchor(anchor));
            self.add(Rule::ServiceOrder, || {
                tr!(
                    "Step {step} must come after work on “{name}” that is still to come.",
                    step = step,
                    name = anchor
                )
            });
        }
    }

    fn name_anchor(&self, anchor: &OrderAnchor) -> String {
        match anchor {
            OrderAnchor::TakeOff(id) | OrderAnchor::PutBack(id) | OrderAnchor::Swap(id) => {
                let found = self.unit.number(id);
                found.map_or_else(|| id.to_string(), |nr| self.name(nr).to_owned())
            }
            OrderAnchor::Service(id) => id.to_string(),
        }
    }

    fn is_too_early(&self, anchor: &OrderAnchor) -> bool {
        let unit = self.unit;
        let has = |nr: &ThingNr| unit.things[*nr].is_here && !self.state.is_left_out(*nr);
        let here = |id: &PartId| unit.number(id).filter(has);
        let off = |nr| self.state.of(nr).map(|is| is == Position::Off);
        match anchor {
            OrderAnchor::Swap(id) => {
                here(id).is_some_and(|nr| self.later.iter().any(|run| run.op == Op::Swap(nr)))
            }
            OrderAnchor::Service(id) => self.later.iter().any(|run| match run.op {
                Op::Serve(nr) => unit.service(nr).id == *id,
                _ => false,
            }),
            OrderAnchor::PutBack(id) => {
                here(id).is_some_and(|nr| off(nr) == Some(true) || self.is_needed_off(nr))
            }
            OrderAnchor::TakeOff(id) => {
                here(id).is_some_and(|nr| off(nr) == Some(false) && self.is_needed_off(nr))
            }
        }
    }

    /// Whether later task work needs the part off.
    fn is_needed_off(&self, nr: ThingNr) -> bool {
        let id = self.unit.things[nr].id;
        self.later.iter().any(|run| match run.op {
            Op::LeaveOut(of) => of == nr,
            Op::Swap(of) => {
                let swap = self.unit.things[of]
                    .part
                    .and_then(|part| part.swap.as_ref());
                of == nr || swap.is_some_and(|swap| swap.moves_over.contains(id))
            }
            Op::Reseat(of) => {
                let part = self.unit.things[of].part;
                let reseat = part.and_then(|part| part.reseat.as_ref());
                of == nr && reseat.is_some_and(|how| how.at == ReachedState::Off)
            }
            _ => false,
        })
    }

    /// A service that must come before this operation is not still to come.
    fn check_later_services(&mut self) {
        let unit = self.unit;
        let is_this = |anchor: &OrderAnchor| match (anchor, self.run.op) {
            (OrderAnchor::TakeOff(id), Op::Out { thing, leg })
            | (OrderAnchor::PutBack(id), Op::Back { thing, leg }) => {
                let known = &unit.things[thing];
                known.id == id && known.legs[leg].0 != LegKind::Ease
            }
            (OrderAnchor::Swap(id), Op::Swap(thing)) => unit.things[thing].id == id,
            (OrderAnchor::Service(id), Op::Serve(nr)) => unit.service(nr).id == *id,
            _ => false,
        };
        let late = self.later.iter().find_map(|run| match run.op {
            Op::Serve(nr) => {
                let service = unit.service(nr);
                service.before.iter().any(is_this).then_some(service)
            }
            _ => None,
        });
        if let Some(service) = late {
            let step = self.step();
            self.add(Rule::ServiceOrder, || {
                tr!(
                    "Step {step} comes before “{name}”, which must be done first.",
                    step = step,
                    name = lidoff_i18n::localize(&service.name)
                )
            });
        }
    }

    fn check_check(&mut self) {
        if self.fails(self.state.is_closed(self.unit)) {
            let step = self.step();
            self.add(Rule::DeadCheck, || {
                tr!("Step {step} checks the unit while it is open, which says nothing about the closed unit.", step = step)
            });
        }
        if matches!(self.run.op, Op::Check { dead: true, .. }) {
            return;
        }
        let sources = self.unit.sources().map(|(nr, _)| nr);
        let dead: Vec<ThingNr> = sources
            .filter(|nr| self.is_not(*nr, Position::Fitted))
            .collect();
        self.check_live(&dead);
    }

    fn check_live(&mut self, dead: &[ThingNr]) {
        for source in dead {
            let (step, name) = (self.step(), self.name(*source).to_owned());
            self.add(Rule::DeadCheck, || {
                tr!(
                    "Step {step} needs the unit live, but “{name}” is isolated.",
                    step = step,
                    name = name
                )
            });
        }
    }

    fn check_isolation(&mut self) {
        for source in self.unit.isolated_for(self.run.op) {
            if !self.is_not(source, Position::Off) {
                continue;
            }
            let (step, name) = (self.step(), self.name(source).to_owned());
            if self.made_live.contains(&source) {
                self.add(Rule::IsolateAgain, || {
                    tr!(
                        "Step {step} is done after “{name}” was made live, which was not isolated \
                         again.",
                        step = step,
                        name = name
                    )
                });
            } else {
                self.add(Rule::WorkWhileLive, || {
                    tr!(
                        "Step {step} is done within reach of “{name}”, which is live, and the \
                         catalog does not say that it may be.",
                        step = step,
                        name = name
                    )
                });
            }
        }
    }
}
