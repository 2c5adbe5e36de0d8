//! Which fasteners come out or go in, how many, and the well for each kind.

use leptos::prelude::*;

use crate::widgets::dynamic::CollectAny;
use lidoff_i18n::tr;

use crate::slice::OpenJob;
use crate::widgets::dynamic::{rebuilt, text};
use lidoff_catalog::format::FasteningId;
use lidoff_job::planned::Fasteners;
use lidoff_job::{EventKind, tally};

/// The fasteners that come `out`, or go back in; nothing where there are none.
#[component]
pub(super) fn FastenerSheet(
    job: OpenJob,
    step: u32,
    sets: Vec<Fasteners>,
    out: bool,
) -> impl IntoView {
    let title = if out {
        tr!("Take out")
    } else {
        tr!("Put back")
    };
    (!sets.is_empty()).then(|| {
        let rows = sets
            .into_iter()
            .map(|set| {
                let (words, well) = match (set.well, set.captive, set.single_use) {
                    (_, true, _) => (tr!("captive: stays with the part"), None),
                    (_, _, true) if out => (tr!("single-use: discard"), None),
                    (_, _, true) => (tr!("use new ones"), None),
                    (Some(well), ..) if out => (tr!("into well"), Some(well)),
                    (Some(well), ..) => (tr!("from well"), Some(well)),
                    (None, ..) => (String::new(), None),
                };
                let details = set.describe_details();
                let torque = set.describe_torque().filter(|_| !out);
                let (id, count) = (set.fastening.clone(), set.count);
                let refit = job.slice(move |job| {
                    let tally = tally(job);
                    let set = tally.set(&id).filter(|_| !out);
                    set.map_or((count.into(), None), |set| {
                        (set.to_fit(count), set.describe_refit(count))
                    })
                });
                let note = move || refit.get().1;
                let kind = set.describe_kind().into_owned();
                let what = move || format!("{} × {kind}", refit.with(|refit| refit.0));
                let partly = (count > 1).then(|| {
                    view! { <PartlyDone job step fastening=set.fastening.clone() count out/> }
                });
                view! {
                    <li>
                        <div class="row apart">
                            <strong>{text(what)}</strong>
                            <span class="soft">{words}" "{well.map(|well| view! { <span class="well">{well}</span> })}</span>
                        </div>
                        {details.map(|details| view! { <p class="soft small">{details}</p> })}
                        {torque.map(|torque| view! {
                            <p class="num"><span class="soft">{tr!("Tighten to ")}</span><strong>{torque}</strong></p>
                        })}
                        {rebuilt(move || note().map(|note| view! { <p class="change">{note}</p> }))}
                        {partly}
                    </li>
                }
            })
            .collect_any();
        list_sheet(title, rows.into_any())
    })
}

/// How many of a set are out, or in, where the step is left half done: each tap counts one
/// more, and after the last but one it starts again.
#[component]
fn PartlyDone(
    job: OpenJob,
    step: u32,
    fastening: FasteningId,
    count: u16,
    out: bool,
) -> impl IntoView {
    let known = fastening.clone();
    let so_far = job.slice(move |job| {
        let mut partly = job.partly_done.iter();
        let here = job.step(step).map(|step| &step.step);
        let found = partly.find(|one| Some(&one.step.step) == here && one.fastening == known);
        found.map_or(0, |one| one.count)
    });
    let words = move || match (so_far.get(), out) {
        (0, true) => tr!("Only some are out"),
        (0, false) => tr!("Only some are in"),
        (n, true) => tr!("{n} of {count} out", n, count),
        (n, false) => tr!("{n} of {count} in", n, count),
    };
    let tap = move |_| {
        let count = (so_far.get_untracked() + 1) % count;
        job.record(EventKind::PartlyDone {
            step,
            fastening: fastening.clone(),
            count,
        });
    };
    view! { <button type="button" class="quiet" on:click=tap>{text(words)}</button> }
}

/// A sheet with a list.
pub(super) fn list_sheet(title: String, rows: AnyView) -> AnyView {
    view! {
        <section class="sheet" aria-label=title.clone()>
            <h2>{title.clone()}</h2>
            <ul class="list">{rows}</ul>
        </section>
    }
    .into_any()
}
