//! The checks: readings, and whether each passed.

use leptos::prelude::*;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{When, rows};
use crate::widgets::reading::limits;
use lidoff_catalog::format::Reading;
use lidoff_i18n::{localize, plain, tr};
use lidoff_job::fold::ReadingTaken;
use lidoff_job::{Job, Taken};

/// A check as it is listed: the reading, and what was said when a failure was kept.
type Check = (ReadingTaken, Option<String>);

fn checks(job: &Job) -> Vec<Check> {
    let readings = job.readings.iter().map(|reading| {
        let accepted = job.failure_kept(reading.step);
        let accepted = accepted.filter(|_| reading.passed == Some(false));
        (reading.clone(), accepted.cloned())
    });
    readings.collect()
}

/// The section; nothing if there are no readings.
#[component]
pub(super) fn Checks(job: OpenJob) -> impl IntoView {
    let checks = job.slice(checks);
    let key = |(reading, accepted): &Check| (reading.event, reading.passed, accepted.clone());
    view! {
        <When is=Signal::derive(move || checks.with(|checks| !checks.is_empty()))>
            <section class="sheet" aria-labelledby="checks">
                <h2 id="checks">{tr!("Checks")}</h2>
                <ul class="list">
                    {rows(move || checks.get(), key, |check| view! { <CheckRow check/> })}
                </ul>
            </section>
        </When>
    }
}

#[component]
fn CheckRow(check: Check) -> impl IntoView {
    let (reading, accepted) = check;
    let (what, unit) = match &reading.asked {
        Some(Reading::Value { what, unit, .. }) => {
            (localize(what).into_owned(), format!(" {}", localize(unit)))
        }
        Some(Reading::Seen(what)) => (localize(what).into_owned(), String::new()),
        None => (tr!("A check that is no longer in the plan"), String::new()),
    };
    let taken = match reading.taken {
        Taken::Value(value) => format!("{}{unit}", plain(value)),
        Taken::Seen(true) => tr!("yes"),
        Taken::Seen(false) => tr!("no"),
    };
    let mark = match reading.passed {
        Some(true) => tr!("✓ passed"),
        Some(false) => tr!("✗ failed"),
        None => tr!("noted"),
    };
    let accepted = accepted.map(|note| {
        if note.is_empty() {
            tr!("not corrected")
        } else {
            tr!("not corrected: {note}", note = note)
        }
    });
    let limits = match &reading.asked {
        Some(Reading::Value {
            low, high, unit, ..
        }) => Some(limits(*low, *high, unit)),
        _ => None,
    };
    view! {
        <li>
            <p class="row apart"><span>{what}</span><strong class="num">{format!("{taken}, {mark}")}</strong></p>
            {limits.map(|limits| view! { <p class="soft small">{tr!("Should be: {limits}", limits = limits)}</p> })}
            {accepted.map(|accepted| view! { <p>{accepted}</p> })}
        </li>
    }
}
