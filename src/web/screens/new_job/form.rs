//! What has been filled in so far.

use std::collections::BTreeMap;

use leptos::prelude::*;

use crate::service::preferences::{self, Preference};
use lidoff_app_core::outlook::LeftOpen;
use lidoff_catalog::format::{AnswerId, OptionId, QuestionId};
use lidoff_catalog::model::Catalog;
use lidoff_catalog::setup::Configuration;
use lidoff_job::{JobId, TaskRef};

/// What has been filled in so far.
#[derive(Clone, Copy)]
pub struct Form {
    /// The options that are fitted.
    pub fitted: RwSignal<Vec<OptionId>>,
    /// The answers given.
    pub answers: RwSignal<BTreeMap<QuestionId, AnswerId>>,
    /// The tasks that are ticked.
    pub(super) tasks: RwSignal<Vec<TaskRef>>,
    pub(super) reference: RwSignal<String>,
    pub(super) site: RwSignal<String>,
    pub(super) technician: RwSignal<String>,
    pub(super) leave_by: RwSignal<String>,
    /// The earlier visit that this one continues.
    pub(super) follows: RwSignal<Option<JobId>>,
}

impl Form {
    /// The usual options, and no answers.
    pub fn new(catalog: &Catalog) -> Self {
        Self {
            fitted: RwSignal::new(Configuration::usual(catalog).fitted),
            answers: RwSignal::new(BTreeMap::new()),
            tasks: RwSignal::new(Vec::new()),
            reference: RwSignal::new(String::new()),
            site: RwSignal::new(String::new()),
            technician: RwSignal::new(preferences::get(Preference::Technician).unwrap_or_default()),
            leave_by: RwSignal::new(String::new()),
            follows: RwSignal::new(None),
        }
    }

    /// Takes over the open tasks, options and answers of an earlier visit.
    pub(super) fn take_up(self, left: &LeftOpen) {
        self.follows.set(Some(left.id.clone()));
        self.fitted.set(left.setup.fitted.clone());
        self.answers.set(left.setup.answers.clone());
        self.reference.set(left.opened.reference.clone());
        self.site.set(left.opened.site.clone());
        let tasks = left.tasks.iter().map(|task| task.task.clone());
        self.tasks.set(tasks.collect());
    }

    /// Options and answers.
    pub fn setup(self) -> Configuration {
        Configuration {
            fitted: self.fitted.get(),
            answers: self.answers.get(),
        }
    }
}
