//! What is legal, rule by rule, as the documentation of the planner says.

use lidoff_catalog::format::{Formula, ReachedState};
use lidoff_catalog::model::{Catalog, OpIx, PartIx, ResolvedFormula, ServiceIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Op, PartState, Task, Way};

use super::steps_of_ops::leg_at;
use super::violation::Violation;

/// The state in which an operation is about to begin.
pub(super) struct RuleChecker<'a> {
    pub catalog: &'a Catalog,
    pub setup: &'a Setup,
    /// Each part's own state.
    pub parts: &'a [PartState],
    /// Tasks still to be done.
    pub left: &'a [Task],
    /// Parts that this plan has left out, without their riders.
    pub left_out: &'a [PartIx],
    /// Whether nothing may be made live any more.
    pub is_out_of_use: bool,
}

impl RuleChecker<'_> {
    /// Checks whether the operation may begin now.
    pub fn check(&self, op: Op) -> Result<(), Violation> {
        self.check_exists(op)?;
        if let Op::Swap(part) | Op::Reseat(part) | Op::Inspect(part) | Op::LeaveOut(part) = op {
            let is_left = |at: PartIx| self.left.contains(&Task::LeaveOut(at));
            let itself = usize::from(matches!(op, Op::LeaveOut(_)));
            if self.carriers(part).skip(itself).any(is_left) {
                return Err(Violation::NotOffered);
            }
        }
        match op {
            Op::Ease(part) => {
                let leg = self.catalog.part(part).ease.as_ref();
                let leg = leg.ok_or(Violation::NotOffered)?;
                self.check_own_state(part, PartState::Fitted)?;
                self.check_not_away(part)?;
                self.check_needs(&leg.needs)?;
            }
            Op::Settle(part) => {
                let leg = self.catalog.part(part).ease.as_ref();
                let leg = leg.ok_or(Violation::NotOffered)?;
                self.check_own_state(part, PartState::Eased)?;
                self.check_not_away(part)?;
                self.check_needs(&leg.needs)?;
                self.check_refit_needs(&leg.refit_needs)?;
            }
            Op::TakeOff(part, way) => {
                let leg = leg_at(self.catalog, part, way).ok_or(Violation::NotOffered)?;
                self.check_own_state(part, self.state_before_coming_off(part, way))?;
                self.check_workplace(part, way)?;
                self.check_needs(&leg.needs)?;
            }
            Op::PutBack(part, _) if self.is_out_of_use && self.catalog.part(part).is_source() => {
                return Err(Violation::OutOfUse(part));
            }
            Op::LeaveOut(part) => {
                if self.catalog.part(part).leave_out.is_empty() {
                    return Err(Violation::NotOffered);
                }
                self.check_asked_for(Task::LeaveOut(part))?;
                self.check_own_state(part, PartState::Off)?;
                self.check_needs(&self.catalog.part(part).leave_out_needs)?;
            }
            Op::PutBack(part, way) => {
                let leg = leg_at(self.catalog, part, way).ok_or(Violation::NotOffered)?;
                self.check_own_state(part, PartState::Off)?;
                self.check_workplace(part, way)?;
                self.check_needs(&leg.needs)?;
                self.check_refit_needs(&leg.refit_needs)?;
            }
            Op::Swap(part) => {
                let swap = self.catalog.part(part).swap.as_ref();
                let swap = swap.ok_or(Violation::NotOffered)?;
                self.check_asked_for(Task::Replace(part))?;
                self.check_own_state(part, PartState::Off)?;
                self.check_needs(&swap.needs)?;
                let on = |rider: &&PartIx| self.is_fitted(**rider) && !self.is_off_itself(**rider);
                if let Some(rider) = swap.moves_over.iter().find(on) {
                    return Err(Violation::StillOnOldPart(*rider));
                }
            }
            Op::Reseat(part) => {
                let how = self.catalog.part(part).reseat.as_ref();
                let how = how.ok_or(Violation::NotOffered)?;
                self.check_asked_for(Task::Reseat(part))?;
                self.check_needs(&how.needs)?;
                let is = self.parts[part.index()];
                let (enough, must_be) = match how.at {
                    ReachedState::Eased => (is != PartState::Fitted, PartState::Eased),
                    ReachedState::Off => (is == PartState::Off, PartState::Off),
                };
                if !enough {
                    return Err(Violation::WrongState { part, is, must_be });
                }
            }
            Op::Inspect(part) => {
                let how = self.catalog.part(part).inspect.as_ref();
                let how = how.ok_or(Violation::NotOffered)?;
                self.check_asked_for(Task::Inspect(part))?;
                self.check_needs(&how.needs)?;
            }
            Op::Serve(service) => {
                self.check_asked_for(Task::Serve(service))?;
                self.check_needs(&self.catalog.service(service).needs)?;
                self.check_service_order(service)?;
            }
        }
        self.check_no_service_comes_first(op)
    }

    /// Whether this unit is fitted with the part.
    pub fn is_fitted(&self, part: PartIx) -> bool {
        self.setup.has(self.catalog, part)
            && !self.carriers(part).any(|at| self.left_out.contains(&at))
    }

    /// The part, its carrier, the carrier of that, and so on.
    fn carriers(&self, part: PartIx) -> impl Iterator<Item = PartIx> {
        std::iter::successors(Some(part), |at| self.catalog.part(*at).rides_on)
    }

    /// Whether the formula is true now.
    pub fn holds(&self, needs: &ResolvedFormula) -> bool {
        match needs {
            Formula::All(all) => all.iter().all(|one| self.holds(one)),
            Formula::Any(any) => any.iter().any(|one| self.holds(one)),
            Formula::When { condition, then } => !self.setup.holds(condition) || self.holds(then),
            Formula::Eased(part) => {
                !self.is_fitted(*part)
                    || self.parts[part.index()] != PartState::Fitted
                    || self.is_away(*part)
            }
            Formula::Off(part) => {
                !self.is_fitted(*part) || self.is_off_itself(*part) || self.is_away(*part)
            }
            Formula::Clear(part) => !self.is_fitted(*part) || self.is_off_itself(*part),
            Formula::Closed => self.catalog.parts().all(|(part, known)| {
                known.is_source()
                    || !self.is_fitted(part)
                    || (self.parts[part.index()] == PartState::Fitted && !self.is_away(part))
            }),
            Formula::InPlace(part) if self.catalog.part(*part).is_source() => {
                let is_live = self.parts[part.index()] == PartState::Fitted;
                !self.is_fitted(*part) || (is_live && !self.is_out_of_use)
            }
            Formula::InPlace(part) => {
                !self.is_fitted(*part)
                    || (self.parts[part.index()] == PartState::Fitted && !self.is_away(*part))
            }
        }
    }

    /// Off by its own leg.
    fn is_off_itself(&self, part: PartIx) -> bool {
        self.parts[part.index()] == PartState::Off
    }

    /// Its carrier is off, or itself away.
    fn is_away(&self, part: PartIx) -> bool {
        match self.catalog.part(part).rides_on {
            Some(carrier) => {
                (self.is_fitted(carrier) && self.is_off_itself(carrier)) || self.is_away(carrier)
            }
            None => false,
        }
    }

    fn check_exists(&self, op: Op) -> Result<(), Violation> {
        let exists = match op {
            Op::Serve(service) => self.setup.holds(&self.catalog.service(service).when),
            Op::Ease(part)
            | Op::TakeOff(part, _)
            | Op::Swap(part)
            | Op::Reseat(part)
            | Op::Inspect(part)
            | Op::LeaveOut(part)
            | Op::PutBack(part, _)
            | Op::Settle(part) => self.is_fitted(part),
        };
        if exists {
            Ok(())
        } else {
            Err(Violation::NotFitted)
        }
    }

    /// The state from which a part comes off.
    fn state_before_coming_off(&self, part: PartIx, way: Way) -> PartState {
        match way {
            Way::InPlace | Way::Other(_) if self.catalog.part(part).ease.is_some() => {
                PartState::Eased
            }
            Way::InPlace | Way::Other(_) | Way::Bench => PartState::Fitted,
        }
    }

    fn check_own_state(&self, part: PartIx, must_be: PartState) -> Result<(), Violation> {
        let is = self.parts[part.index()];
        if is == must_be {
            Ok(())
        } else {
            Err(Violation::WrongState { part, is, must_be })
        }
    }

    fn check_workplace(&self, part: PartIx, way: Way) -> Result<(), Violation> {
        match way {
            Way::InPlace | Way::Other(_) => self.check_not_away(part),
            Way::Bench if self.is_away(part) => Ok(()),
            Way::Bench => Err(Violation::CarrierOn(part)),
        }
    }

    fn check_not_away(&self, part: PartIx) -> Result<(), Violation> {
        if self.is_away(part) {
            Err(Violation::Away(part))
        } else {
            Ok(())
        }
    }

    fn check_needs(&self, needs: &ResolvedFormula) -> Result<(), Violation> {
        if self.holds(needs) {
            Ok(())
        } else {
            Err(Violation::Needs(needs.clone()))
        }
    }

    fn check_refit_needs(&self, needs: &ResolvedFormula) -> Result<(), Violation> {
        if self.holds(needs) {
            Ok(())
        } else {
            Err(Violation::RefitNeeds(needs.clone()))
        }
    }

    fn check_asked_for(&self, task: Task) -> Result<(), Violation> {
        if self.left.contains(&task) {
            Ok(())
        } else {
            Err(Violation::NotAsked(task))
        }
    }

    fn waiting_services(&self) -> impl Iterator<Item = ServiceIx> {
        self.left.iter().filter_map(|task| match task {
            Task::Serve(service) => Some(*service),
            Task::Replace(_) | Task::Reseat(_) | Task::Inspect(_) | Task::LeaveOut(_) => None,
        })
    }

    fn check_no_service_comes_first(&self, op: Op) -> Result<(), Violation> {
        let named = match op {
            Op::TakeOff(part, _) => OpIx::TakeOff(part),
            Op::PutBack(part, _) => OpIx::PutBack(part),
            Op::Swap(part) => OpIx::Swap(part),
            Op::Serve(service) => OpIx::Service(service),
            Op::Ease(_) | Op::Settle(_) | Op::Reseat(_) | Op::Inspect(_) | Op::LeaveOut(_) => {
                return Ok(());
            }
        };
        let mut waiting = self.waiting_services();
        match waiting.find(|service| self.catalog.service(*service).before.contains(&named)) {
            Some(service) => Err(Violation::ComesFirst(service)),
            None => Ok(()),
        }
    }

    fn check_service_order(&self, service: ServiceIx) -> Result<(), Violation> {
        let too_early = |after: &&OpIx| match **after {
            OpIx::Swap(part) => self.left.contains(&Task::Replace(part)),
            OpIx::Service(other) => self.left.contains(&Task::Serve(other)),
            OpIx::PutBack(part) => {
                self.is_fitted(part) && (self.is_off_itself(part) || self.is_needed_off(part))
            }
            OpIx::TakeOff(part) => {
                self.is_fitted(part) && !self.is_off_itself(part) && self.is_needed_off(part)
            }
        };
        match self.catalog.service(service).after.iter().find(too_early) {
            Some(after) => Err(Violation::ComesAfter(*after)),
            None => Ok(()),
        }
    }

    /// Whether a remaining task needs the part off by its own leg: its own replacement or
    /// reseating, or the replacement of a part from which it moves over.
    fn is_needed_off(&self, part: PartIx) -> bool {
        self.left.iter().any(|task| match *task {
            Task::Replace(other) => {
                let swap = self.catalog.part(other).swap.as_ref();
                other == part || swap.is_some_and(|swap| swap.moves_over.contains(&part))
            }
            Task::Reseat(other) => {
                let how = self.catalog.part(other).reseat.as_ref();
                other == part && how.is_some_and(|how| how.at == ReachedState::Off)
            }
            Task::LeaveOut(other) => other == part,
            Task::Inspect(_) | Task::Serve(_) => false,
        })
    }
}
