//! A task is added to the job, in a sheet.

use std::sync::Arc;

use leptos::prelude::*;

use crate::widgets::choose_task::{Choice, ChooseTask};
use crate::widgets::sheet::Sheet;
use lidoff_i18n::tr;
use lidoff_job::Job;

/// The sheet.
#[component]
pub fn AddTask(id: String, job: Arc<Job>, open: RwSignal<bool>) -> impl IntoView {
    view! {
        <Sheet open title=tr!("Add a task")>
            <ChooseTask id=id.clone() job=job.clone() choice=Choice::More then=open/>
        </Sheet>
    }
}
