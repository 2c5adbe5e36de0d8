//! The extra time for one more task, such as the replacement of another part, compared with
//! a separate visit.
//!
//! Both are complete visits for the technician: make safe, the operations, every check
//! and the hand-over. Travel is not counted. Parts opened for one task are open for the
//! other, and the unit is made safe only once, so adding a part costs less than a
//! separate visit.

use lidoff_catalog::model::{Catalog, StepIx};
use lidoff_catalog::setup::Setup;
use lidoff_estimate::estimate::prices;
use lidoff_planner::request::{comes_new_with, with_services};
use lidoff_planner::{Limits, Plan, Prices, Refusal, Request, Task, Tenths, UnitState};

use super::refs::NamedTask;
use super::snapshot::FixedSteps;
use super::walk::StepWalk;

/// The extra time for one more task.
#[derive(Clone, Debug, PartialEq)]
pub struct MarginalCost {
    /// The task.
    pub task: NamedTask,
    /// Extra time in this visit, s.
    pub more_s: f64,
    /// Time of a separate visit, s.
    pub alone_s: f64,
}

impl MarginalCost {
    /// Time saved by doing it now, s.
    pub fn saved_s(&self) -> f64 {
        self.alone_s - self.more_s
    }
}

/// Computes the extra time for each other task, one plan at a time, so that results appear
/// one by one.
#[derive(Clone, Debug)]
pub struct MarginalCosts {
    setup: Setup,
    tasks: Vec<Task>,
    limits: Limits,
    prices: Prices,
    /// The visit without any of them, once it is known.
    base: Option<Tenths>,
    /// The other tasks, and how many of them are done.
    others: Vec<Task>,
    done: usize,
    /// The visits for one task each that are known.
    alone: Vec<(Task, Tenths)>,
    /// The greatest saving first, then in catalog order.
    found: Vec<MarginalCost>,
    refused: Vec<NamedTask>,
}

impl MarginalCosts {
    /// For these tasks on a unit with this configuration: every other part that can be
    /// replaced.
    pub fn new(catalog: &Catalog, setup: Setup, tasks: Vec<Task>, limits: Limits) -> Self {
        let parts = catalog
            .parts()
            .filter(|(_, part)| part.swap.is_some() && setup.holds(&part.when));
        let others = parts.map(|(at, _)| Task::Replace(at)).collect();
        Self::among(catalog, setup, tasks, others, limits)
    }

    /// For these tasks: each of the others that is not among them. Without tasks the extra
    /// time is that of a separate visit.
    pub fn among(
        catalog: &Catalog,
        setup: Setup,
        tasks: Vec<Task>,
        mut others: Vec<Task>,
        limits: Limits,
    ) -> Self {
        others.retain(|task| !tasks.contains(task));
        Self {
            prices: prices(catalog),
            setup,
            // There is no visit without tasks.
            base: tasks.is_empty().then_some(0),
            tasks,
            limits,
            others,
            done: 0,
            alone: Vec::new(),
            found: Vec::new(),
            refused: Vec::new(),
        }
    }

    /// Takes over the visits for one task each, which are the same for every set of tasks on
    /// a unit with the same configuration.
    #[must_use]
    pub fn after(mut self, known: &Self) -> Self {
        if self.setup == known.setup {
            self.alone.clone_from(&known.alone);
        }
        self
    }

    /// Makes one plan more. `false` once all are made.
    ///
    /// # Errors
    /// When there is no plan for the tasks themselves.
    pub async fn go_on(
        &mut self,
        catalog: &Catalog,
        planner: impl AsyncFnOnce(&Request) -> Result<Plan, Refusal>,
    ) -> Result<bool, Refusal> {
        let is_left = |this: &Self| this.done < this.others.len();
        let Some(base) = self.base else {
            self.base = Some(self.visit(catalog, &self.tasks, planner).await?);
            return Ok(is_left(self));
        };
        let Some(&task) = self.others.get(self.done) else {
            return Ok(false);
        };
        let Some(alone) = self.alone_of(task) else {
            match self.visit(catalog, &[task], planner).await {
                Ok(alone) => self.alone.push((task, alone)),
                Err(_) => self.refuse(catalog, task),
            }
            return Ok(is_left(self));
        };
        let more = if self.tasks.is_empty() {
            Ok(alone)
        } else {
            let mut both = self.tasks.clone();
            both.push(task);
            let with = self.visit(catalog, &both, planner).await;
            with.map(|with| with.saturating_sub(base))
        };
        match more {
            Ok(more) => self.find(MarginalCost {
                task: NamedTask::new(catalog, task),
                more_s: seconds(more),
                alone_s: seconds(alone),
            }),
            Err(_) => self.refuse(catalog, task),
        }
        Ok(is_left(self))
    }

    fn alone_of(&self, task: Task) -> Option<Tenths> {
        let mut alone = self.alone.iter();
        alone.find_map(|(known, alone)| (*known == task).then_some(*alone))
    }

    fn find(&mut self, also: MarginalCost) {
        let mut found = self.found.iter();
        let less = found.position(|known| known.saved_s() < also.saved_s());
        self.found.insert(less.unwrap_or(self.found.len()), also);
        self.done += 1;
    }

    /// Lists a task for which there is no plan.
    fn refuse(&mut self, catalog: &Catalog, task: Task) {
        self.refused.push(NamedTask::new(catalog, task));
        self.done += 1;
    }

    /// Number of tasks computed, and their total.
    pub fn progress(&self) -> (usize, usize) {
        (self.done, self.others.len())
    }

    /// The computed tasks, the greatest saving first, then in catalog order.
    pub fn found(&self) -> &[MarginalCost] {
        &self.found
    }

    /// The tasks for which there is no plan, by themselves or in this visit.
    pub fn refused(&self) -> &[NamedTask] {
        &self.refused
    }

    /// The time of a whole visit with these tasks.
    async fn visit(
        &self,
        catalog: &Catalog,
        tasks: &[Task],
        planner: impl AsyncFnOnce(&Request) -> Result<Plan, Refusal>,
    ) -> Result<Tenths, Refusal> {
        let all = with_services(catalog, &self.setup, tasks);
        let ends = FixedSteps::whole(catalog, &self.setup, &all);
        let is_with_another = |task: &Task| match task {
            Task::Replace(part) => comes_new_with(catalog, tasks, *part).is_some(),
            _ => false,
        };
        let mut tasks = all;
        tasks.retain(|task| !is_with_another(task));
        let closed = UnitState::closed(catalog);
        let mut walk = StepWalk::from(catalog, &self.prices, &closed);
        let mut total: Tenths = 0;
        let mut take = |walk: &mut StepWalk, step: StepIx| {
            total = total.saturating_add(walk.step(step).total());
        };
        for step in &ends.make_safe {
            take(&mut walk, *step);
        }
        let mut from = closed.clone();
        StepWalk::clone(&walk).into_state(&mut from);
        let plan = planner(&Request {
            catalog,
            setup: &self.setup,
            tasks: &tasks,
            from: &from,
            prices: &self.prices,
            blocked: &[],
            limits: self.limits,
        })
        .await?;
        let ops = plan.ops.iter().flat_map(|planned| &planned.steps);
        let prove = ends.prove.iter().map(|(_, step)| step);
        for step in ops.chain(prove).chain(&ends.hand_over) {
            take(&mut walk, *step);
        }
        Ok(total)
    }
}

fn seconds(tenths: Tenths) -> f64 {
    f64::from(tenths) / 10.0
}
