//! Adding a task to the job, in a sheet.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::choose_task::{ChooseTask, Purpose};
use crate::widgets::sheet::Sheet;
use lidoff_i18n::tr;

/// The sheet.
#[component]
pub fn AddTask(job: OpenJob, open: RwSignal<bool>) -> impl IntoView {
    view! {
        <Sheet open title=tr!("Add a task")>
            <ChooseTask job purpose=Purpose::More then=open/>
        </Sheet>
    }
}
