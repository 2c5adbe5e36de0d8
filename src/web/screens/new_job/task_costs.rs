//! The extra time for each task that is not chosen, worked out in the background, one plan
//! after another, while nothing else is planned.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::form::Form;
use crate::generation::Generation;
use crate::service::scheduler::{self, TimeSlicer, Wish};
use crate::state::app;
use lidoff_app_core::part_choice::part_groups;
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::{Configuration, Setup};
use lidoff_job::{MarginalCost, MarginalCosts, NamedTask, TaskRef};
use lidoff_planner::{Limits, Request, Task, plan_async};

/// What is known so far.
#[derive(Clone, Default)]
pub struct TaskCosts {
    /// The extra times, the greatest saving first.
    pub found: Vec<MarginalCost>,
    /// The tasks for which there is no plan.
    pub refused: Vec<NamedTask>,
    /// How many tasks are worked out, and how many there are.
    pub progress: (usize, usize),
}

impl TaskCosts {
    fn of(costs: &MarginalCosts) -> Self {
        Self {
            found: costs.found().to_vec(),
            refused: costs.refused().to_vec(),
            progress: costs.progress(),
        }
    }
}

/// Follows the form: each change starts anew, once the plan for the chosen tasks is there.
pub(super) fn follow_costs(
    catalog: Arc<Catalog>,
    form: Form,
    is_planning: RwSignal<bool>,
) -> RwSignal<TaskCosts> {
    let app = app();
    let (shown, latest) = (RwSignal::new(TaskCosts::default()), Generation::new());
    let known = StoredValue::new(None::<MarginalCosts>);
    Effect::new(move |_| {
        let (tasks, setup) = (form.tasks.get(), form.setup());
        let is_wanted = latest.begin();
        shown.set(TaskCosts::default());
        if is_planning.get() {
            return;
        }
        let Some(costs) = costs_of(&catalog, &setup, &tasks) else {
            return;
        };
        let mut costs = match known.get_value() {
            Some(known) => costs.after(&known),
            None => costs,
        };
        let catalog = catalog.clone();
        spawn_local(async move {
            loop {
                // Starting the job comes first.
                let goes_on = move || is_wanted() && !app.busy.get_untracked();
                let mut handler = TimeSlicer::new(move |_| match goes_on() {
                    true => Wish::On,
                    false => Wish::Enough,
                });
                let planner = async |request: &Request<'_>| plan_async(request, &mut handler).await;
                let more = costs.go_on(&catalog, planner).await;
                if !goes_on() {
                    return;
                }
                shown.set(TaskCosts::of(&costs));
                known.set_value(Some(costs.clone()));
                if !matches!(more, Ok(true)) {
                    return;
                }
                scheduler::turn().await;
            }
        });
    });
    shown
}

/// The costs of the usual task of each row; None if the configuration does not fit.
fn costs_of(catalog: &Catalog, setup: &Configuration, tasks: &[TaskRef]) -> Option<MarginalCosts> {
    let rows = part_groups(catalog, setup).into_iter();
    let rows = rows.flat_map(|group| group.rows);
    let others: Vec<Task> = rows
        .filter_map(|row| row.usual()?.task.find(catalog))
        .collect();
    let setup = Setup::new(catalog, setup).ok()?;
    let tasks: Vec<Task> = tasks.iter().filter_map(|task| task.find(catalog)).collect();
    let limits = Limits::INTERACTIVE;
    Some(MarginalCosts::among(catalog, setup, tasks, others, limits))
}
