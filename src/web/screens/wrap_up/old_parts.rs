//! What must be done with the parts that were replaced: wiped, returned, disposed of.

use leptos::prelude::*;

use super::tally::ReasonForm;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::dynamic::{When, rows};
use lidoff_i18n::tr;
use lidoff_job::tally::Unaccounted;
use lidoff_job::{EventId, EventKind, Job, OldPart};

/// What to do with an old part, the entry that says it was done, and why it was not.
type DutyRow = (OldPart, Option<EventId>, Option<String>);

fn duties(job: &Job) -> Vec<DutyRow> {
    let duties = job.duties().map(|old| {
        let why = job.reason_not_handled(old).cloned();
        (old.clone(), job.handled(old), why)
    });
    duties.collect()
}

/// The section; nothing if nothing was replaced that matters.
#[component]
pub(super) fn OldParts(job: OpenJob, is_open: Slice<bool>) -> impl IntoView {
    let duties = job.slice(duties);
    view! {
        <When is=Signal::derive(move || duties.with(|duties| !duties.is_empty()))>
            <section class="sheet" aria-labelledby="old-parts">
                <h2 id="old-parts">{tr!("Old parts")}</h2>
                <ul class="list">
                    {rows(move || duties.get(), Clone::clone, move |row| view! { <OldPartRow job row is_open/> })}
                </ul>
            </section>
        </When>
    }
}

#[component]
fn OldPartRow(job: OpenJob, row: DutyRow, is_open: Slice<bool>) -> impl IntoView {
    let app = app();
    let (old, handled, why) = row;
    let words = old.describe();
    let mark = if handled.is_some() { "✓ " } else { "○ " };
    let (part, duty) = (old.part.clone(), old.duty);
    let is_handled = handled.is_some();
    let kind = StoredValue::new(match handled {
        Some(event) => EventKind::Undone { event },
        None => EventKind::OldPartHandled { part, duty },
    });
    let one = StoredValue::new(Unaccounted::OldPart(old));
    let asks_why = !is_handled && why.is_none();
    view! {
        <li class="stack">
            <p><strong>{mark}{words}</strong></p>
            {why.filter(|_| !is_handled).map(|why| view! { <p>{tr!("not done: {why}", why)}</p> })}
            <When is=is_open>
                <button type="button" class:quiet=is_handled class:undone=!is_handled prop:disabled=move || app.busy.get()
                    on:click=move |_| job.record(kind.get_value())>
                    {if is_handled { tr!("Undo this entry") } else { tr!("Done") }}
                </button>
                {asks_why.then(|| view! {
                    <details>
                        <summary>{tr!("Not done")}</summary>
                        <ReasonForm job one/>
                    </details>
                })}
            </When>
        </li>
    }
}
