//! What is legal, rule by rule, as said in the docs of the planner.

use lidoff_catalog::format::{Formula, ReachedState};
use lidoff_catalog::model::{Catalog, OpIx, PartIx, ResolvedFormula, ServiceIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Op, PartState, Task, Way};

use super::Why;
use super::steps::way_off;

/// How things stand when an operation is about to begin.
pub(super) struct Stand<'a> {
    pub catalog: &'a Catalog,
    pub setup: &'a Setup,
    /// Each part's own state.
    pub parts: &'a [PartState],
    /// Tasks still to be done.
    pub left: &'a [Task],
}

impl Stand<'_> {
    /// Whether the operation may begin now.
    pub fn check(&self, op: Op) -> Result<(), Why> {
        self.exists(op)?;
        match op {
            Op::Ease(part) => {
                let leg = self.catalog.part(part).ease.as_ref();
                let leg = leg.ok_or(Why::NotOffered)?;
                self.own_state(part, PartState::Fitted)?;
                self.in_the_unit(part)?;
                self.open_enough(&leg.needs)?;
            }
            Op::Settle(part) => {
                let leg = self.catalog.part(part).ease.as_ref();
                let leg = leg.ok_or(Why::NotOffered)?;
                self.own_state(part, PartState::Eased)?;
                self.in_the_unit(part)?;
                self.open_enough(&leg.needs)?;
                self.ready_to_close(&leg.refit_needs)?;
            }
            Op::TakeOff(part, way) => {
                let leg = way_off(self.catalog, part, way).ok_or(Why::NotOffered)?;
                self.own_state(part, self.starts_from(part, way))?;
                self.right_place(part, way)?;
                self.open_enough(&leg.needs)?;
            }
            Op::PutBack(part, way) => {
                let leg = way_off(self.catalog, part, way).ok_or(Why::NotOffered)?;
                self.own_state(part, PartState::Off)?;
                self.right_place(part, way)?;
                self.open_enough(&leg.needs)?;
                self.ready_to_close(&leg.refit_needs)?;
            }
            Op::Swap(part) => {
                let swap = self.catalog.part(part).swap.as_ref();
                let swap = swap.ok_or(Why::NotOffered)?;
                self.asked_for(Task::Replace(part))?;
                self.own_state(part, PartState::Off)?;
                let on = |rider: &&PartIx| self.there(**rider) && !self.own_off(**rider);
                if let Some(rider) = swap.moves_over.iter().find(on) {
                    return Err(Why::StillOnOldPart(*rider));
                }
            }
            Op::Reseat(part) => {
                let how = self.catalog.part(part).reseat.as_ref();
                let how = how.ok_or(Why::NotOffered)?;
                self.asked_for(Task::Reseat(part))?;
                let is = self.parts[part.index()];
                let (enough, must_be) = match how.at {
                    ReachedState::Eased => (is != PartState::Fitted, PartState::Eased),
                    ReachedState::Off => (is == PartState::Off, PartState::Off),
                };
                if !enough {
                    return Err(Why::WrongState { part, is, must_be });
                }
            }
            Op::Inspect(part) => {
                let how = self.catalog.part(part).inspect.as_ref();
                let how = how.ok_or(Why::NotOffered)?;
                self.asked_for(Task::Inspect(part))?;
                self.open_enough(&how.needs)?;
            }
            Op::Serve(service) => {
                self.asked_for(Task::Serve(service))?;
                self.open_enough(&self.catalog.service(service).needs)?;
                self.after_what_it_must(service)?;
            }
        }
        self.nothing_must_come_first(op)
    }

    /// Whether this unit is fitted with the part.
    pub fn there(&self, part: PartIx) -> bool {
        self.setup.holds(&self.catalog.part(part).when)
    }

    /// Whether the formula is true now.
    pub fn holds(&self, needs: &ResolvedFormula) -> bool {
        match needs {
            Formula::All(all) => all.iter().all(|one| self.holds(one)),
            Formula::Any(any) => any.iter().any(|one| self.holds(one)),
            Formula::When { condition, then } => !self.setup.holds(condition) || self.holds(then),
            Formula::Eased(part) => {
                !self.there(*part)
                    || self.parts[part.index()] != PartState::Fitted
                    || self.away(*part)
            }
            Formula::Off(part) => !self.there(*part) || self.own_off(*part) || self.away(*part),
            Formula::Clear(part) => !self.there(*part) || self.own_off(*part),
            Formula::InPlace(part) => {
                !self.there(*part)
                    || (self.parts[part.index()] == PartState::Fitted && !self.away(*part))
            }
        }
    }

    /// Off by its own leg.
    fn own_off(&self, part: PartIx) -> bool {
        self.parts[part.index()] == PartState::Off
    }

    /// Gone with a carrier: the one that it rides on is off, or itself away.
    fn away(&self, part: PartIx) -> bool {
        match self.catalog.part(part).rides_on {
            Some(carrier) => (self.there(carrier) && self.own_off(carrier)) || self.away(carrier),
            None => false,
        }
    }

    fn exists(&self, op: Op) -> Result<(), Why> {
        let exists = match op {
            Op::Serve(service) => self.setup.holds(&self.catalog.service(service).when),
            Op::Ease(part)
            | Op::TakeOff(part, _)
            | Op::Swap(part)
            | Op::Reseat(part)
            | Op::Inspect(part)
            | Op::PutBack(part, _)
            | Op::Settle(part) => self.there(part),
        };
        if exists { Ok(()) } else { Err(Why::NotFitted) }
    }

    /// What a part comes off from.
    fn starts_from(&self, part: PartIx, way: Way) -> PartState {
        match way {
            Way::InPlace if self.catalog.part(part).ease.is_some() => PartState::Eased,
            Way::InPlace | Way::Bench => PartState::Fitted,
        }
    }

    fn own_state(&self, part: PartIx, must_be: PartState) -> Result<(), Why> {
        let is = self.parts[part.index()];
        if is == must_be {
            Ok(())
        } else {
            Err(Why::WrongState { part, is, must_be })
        }
    }

    fn right_place(&self, part: PartIx, way: Way) -> Result<(), Why> {
        match way {
            Way::InPlace => self.in_the_unit(part),
            Way::Bench if self.away(part) => Ok(()),
            Way::Bench => Err(Why::CarrierOn(part)),
        }
    }

    fn in_the_unit(&self, part: PartIx) -> Result<(), Why> {
        if self.away(part) {
            Err(Why::Away(part))
        } else {
            Ok(())
        }
    }

    fn open_enough(&self, needs: &ResolvedFormula) -> Result<(), Why> {
        if self.holds(needs) {
            Ok(())
        } else {
            Err(Why::Needs(needs.clone()))
        }
    }

    fn ready_to_close(&self, needs: &ResolvedFormula) -> Result<(), Why> {
        if self.holds(needs) {
            Ok(())
        } else {
            Err(Why::RefitNeeds(needs.clone()))
        }
    }

    fn asked_for(&self, task: Task) -> Result<(), Why> {
        if self.left.contains(&task) {
            Ok(())
        } else {
            Err(Why::NotAsked(task))
        }
    }

    fn waiting_services(&self) -> impl Iterator<Item = ServiceIx> {
        self.left.iter().filter_map(|task| match task {
            Task::Serve(service) => Some(*service),
            Task::Replace(_) | Task::Reseat(_) | Task::Inspect(_) => None,
        })
    }

    fn nothing_must_come_first(&self, op: Op) -> Result<(), Why> {
        let named = match op {
            Op::TakeOff(part, _) => OpIx::TakeOff(part),
            Op::PutBack(part, _) => OpIx::PutBack(part),
            Op::Swap(part) => OpIx::Swap(part),
            Op::Serve(service) => OpIx::Service(service),
            Op::Ease(_) | Op::Settle(_) | Op::Reseat(_) | Op::Inspect(_) => return Ok(()),
        };
        let mut waiting = self.waiting_services();
        match waiting.find(|service| self.catalog.service(*service).before.contains(&named)) {
            Some(service) => Err(Why::ComesFirst(service)),
            None => Ok(()),
        }
    }

    fn after_what_it_must(&self, service: ServiceIx) -> Result<(), Why> {
        let too_early = |after: &&OpIx| match **after {
            OpIx::Swap(part) => self.left.contains(&Task::Replace(part)),
            OpIx::Service(other) => self.left.contains(&Task::Serve(other)),
            OpIx::PutBack(part) => {
                self.there(part) && (self.own_off(part) || self.is_wanted_off(part))
            }
            OpIx::TakeOff(part) => {
                self.there(part) && !self.own_off(part) && self.is_wanted_off(part)
            }
        };
        match self.catalog.service(service).after.iter().find(too_early) {
            Some(after) => Err(Why::ComesAfter(*after)),
            None => Ok(()),
        }
    }

    /// Whether a task still to be done needs the part off by its own leg: its
    /// own replacement or reseating, or the replacement of what it moves over
    /// from.
    fn is_wanted_off(&self, part: PartIx) -> bool {
        self.left.iter().any(|task| match *task {
            Task::Replace(other) => {
                let swap = self.catalog.part(other).swap.as_ref();
                other == part || swap.is_some_and(|swap| swap.moves_over.contains(&part))
            }
            Task::Reseat(other) => {
                let how = self.catalog.part(other).reseat.as_ref();
                other == part && how.is_some_and(|how| how.at == ReachedState::Off)
            }
            Task::Inspect(_) | Task::Serve(_) => false,
        })
    }
}
