//! The simulation itself: one operation after another.

use lidoff_catalog::format::HandBackId;
use lidoff_catalog::model::{Catalog, PartIx, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_planner::{Cost, Op, PartState, Prices, Task, UnitState, Way};

use super::clock::SimulatedClock;
use super::illegal_plan::IllegalPlan;
use super::ledger::{Ledger, TallyLine};
use super::rule_checker::RuleChecker;
use super::steps_of_ops::{steps_of, steps_out};
use super::violation::Violation;

/// The state after an operation.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SimulatedState {
    pub state: UnitState,
    /// Remaining tasks, in the order of the request.
    pub left: Vec<Task>,
    /// The cost so far.
    pub cost: Cost,
    /// The steps of the last operation on this unit; empty at the start.
    pub steps: Vec<StepIx>,
}

/// A simulation in progress. After an operation that was refused its state is unchanged.
#[derive(Clone, Debug)]
pub struct Simulation<'a> {
    catalog: &'a Catalog,
    setup: &'a Setup,
    prices: &'a Prices,
    parts: Vec<PartState>,
    left: Vec<Task>,
    clock: SimulatedClock,
    ledger: Ledger,
    hand_backs: Vec<(PartIx, HandBackId)>,
    left_out: Vec<PartIx>,
    is_out_of_use: bool,
    last_steps: Vec<StepIx>,
    performed: usize,
}

impl<'a> Simulation<'a> {
    /// Starts a simulation. Fastenings and cables of parts that are open already are undone
    /// already.
    ///
    /// # Errors Where the state or the prices are not of this unit.
    pub fn new(
        catalog: &'a Catalog,
        setup: &'a Setup,
        tasks: &[Task],
        from: &UnitState,
        prices: &'a Prices,
    ) -> Result<Self, IllegalPlan> {
        if from.parts.len() != catalog.parts().len() || prices.steps.len() != catalog.steps().len()
        {
            return Err(IllegalPlan::new(catalog, 0, None, Violation::AnotherUnit));
        }
        let mut ledger = Ledger::new(catalog);
        for (at, part) in catalog.parts() {
            if setup.holds(&part.when) {
                for step in steps_out(catalog, setup, at, from.of(at)) {
                    ledger.carry_in(catalog, setup, step);
                }
            }
        }
        let mut left: Vec<Task> = Vec::new();
        for task in tasks {
            if !left.contains(task) {
                left.push(*task);
            }
        }
        Ok(Self {
            catalog,
            setup,
            prices,
            parts: from.parts.clone(),
            is_out_of_use: setup.is_out_of_use()
                || left.iter().any(|task| matches!(task, Task::LeaveOut(_))),
            left_out: Vec::new(),
            left,
            clock: SimulatedClock::new(catalog, from),
            ledger,
            hand_backs: Vec::new(),
            last_steps: Vec::new(),
            performed: 0,
        })
    }

    /// Performs one operation.
    ///
    /// # Errors The rule that it breaks.
    pub fn perform(&mut self, op: Op) -> Result<(), IllegalPlan> {
        self.try_perform(op)
            .map_err(|why| IllegalPlan::new(self.catalog, self.performed, Some(op), why))
    }

    /// Checks that the plan may end here.
    ///
    /// # Errors Where a task is left, a part is open, or a fastening or cable is undone.
    pub fn finish(&self) -> Result<(), IllegalPlan> {
        match self.first_open_end() {
            Some(why) => Err(IllegalPlan::new(self.catalog, self.performed, None, why)),
            None => Ok(()),
        }
    }

    pub fn current_state(&self) -> SimulatedState {
        SimulatedState {
            state: UnitState {
                parts: self.parts.clone(),
                tool: self.clock.tool,
                face: self.clock.face,
                waits: self.clock.waits(self.catalog),
            },
            left: self.left.clone(),
            cost: self.clock.cost,
            steps: self.last_steps.clone(),
        }
    }

    /// The parts that were left out, without their riders.
    pub fn left_out(&self) -> &[PartIx] {
        &self.left_out
    }

    pub fn cost(&self) -> Cost {
        self.clock.cost
    }

    /// Every fastening of the catalog, in catalog order.
    pub fn tally(&self) -> &[TallyLine] {
        &self.ledger.fastenings
    }

    /// Reused pieces that moved over to a new part.
    pub fn hand_backs(&self) -> &[(PartIx, HandBackId)] {
        &self.hand_backs
    }

    fn checker(&self) -> RuleChecker<'_> {
        RuleChecker {
            catalog: self.catalog,
            setup: self.setup,
            parts: &self.parts,
            left: &self.left,
            left_out: &self.left_out,
            is_out_of_use: self.is_out_of_use,
        }
    }

    fn try_perform(&mut self, op: Op) -> Result<(), Violation> {
        self.checker().check(op)?;
        let steps = steps_of(self.catalog, self.setup, op)?;
        let mut clock = self.clock.clone();
        let mut ledger = self.ledger.clone();
        for step in &steps {
            clock.run(self.catalog, self.prices, *step)?;
            ledger.enter(self.catalog, self.setup, *step)?;
        }
        self.clock = clock;
        self.ledger = ledger;
        self.last_steps = steps;
        self.performed += 1;
        self.apply_effect(op);
        Ok(())
    }

    fn apply_effect(&mut self, op: Op) {
        match op {
            Op::Ease(part) => self.move_part(part, PartState::Eased),
            Op::TakeOff(part, _) => self.move_part(part, PartState::Off),
            Op::PutBack(part, Way::InPlace | Way::Other(_))
                if self.catalog.part(part).ease.is_some() =>
            {
                self.move_part(part, PartState::Eased);
            }
            Op::PutBack(part, _) | Op::Settle(part) => self.move_part(part, PartState::Fitted),
            Op::Swap(part) => {
                let swap = self.catalog.part(part).swap.iter();
                let pieces = swap.flat_map(|swap| &swap.hand_backs);
                let moved = pieces.filter(|piece| self.setup.holds(&piece.when));
                self.hand_backs
                    .extend(moved.map(|piece| (part, piece.id.clone())));
                self.done(Task::Replace(part));
            }
            Op::Reseat(part) => self.done(Task::Reseat(part)),
            Op::Inspect(part) => self.done(Task::Inspect(part)),
            Op::Serve(service) => self.done(Task::Serve(service)),
            Op::LeaveOut(part) => {
                self.left_out.push(part);
                self.done(Task::LeaveOut(part));
            }
        }
    }

    fn move_part(&mut self, part: PartIx, to: PartState) {
        let own = &mut self.parts[part.index()];
        if *own == PartState::Fitted && to != PartState::Fitted {
            self.clock.cost.disturbed += 1;
        }
        *own = to;
    }

    fn done(&mut self, task: Task) {
        self.left.retain(|left| *left != task);
    }

    fn first_open_end(&self) -> Option<Violation> {
        let task = self.left.first().map(|task| Violation::TaskLeft(*task));
        let open = || {
            let mut is_fitted = self.catalog.parts();
            let (part, _) = is_fitted.find(|(at, _)| {
                self.must_be_back(*at) && self.parts[at.index()] != PartState::Fitted
            })?;
            Some(Violation::StillOpen(part))
        };
        task.or_else(open).or_else(|| {
            let must_be_back = |part| self.must_be_back(part);
            self.ledger.first_open_end(self.catalog, must_be_back)
        })
    }

    /// Whether the plan may not end with it off.
    fn must_be_back(&self, part: PartIx) -> bool {
        let stays_isolated = self.is_out_of_use && self.catalog.part(part).is_source();
        self.checker().is_fitted(part) && !stays_isolated
    }
}
