//! "Load the van": everything that the job needs, to be ticked off or printed.

use leptos::prelude::*;

use crate::service::store;
use crate::slice::{OpenJob, Slice};
use crate::state::app;
use crate::widgets::disclosure::Disclosure;
use crate::widgets::dynamic::{When, rows, text};
use lidoff_app_core::display::{capitalize, job_title};
use lidoff_app_core::van::{VanLine, VanSection, van_list};
use lidoff_i18n::{localize, tr};

/// Set on the root element while the list is printed.
const PRINTED: &str = "data-print";

/// The section, collapsed at first.
#[component]
pub(super) fn Van(job: OpenJob) -> impl IntoView {
    let app = app();
    let list = Slice::new(move || {
        let now = job.get();
        let unit = now.opened.as_ref().map(|opened| opened.unit.id.as_str());
        let catalog = unit.and_then(|unit| app.catalog(unit));
        catalog.map_or_else(Vec::new, |catalog| van_list(&catalog, &now))
    });
    let ticked = RwSignal::new(store::loaded(&job.id()));
    let open = RwSignal::new(false);
    let count = move || {
        list.with(|list| {
            let lines = || list.iter().flat_map(|section| &section.lines);
            let many = lines().count();
            let done = ticked.with(|ticked| {
                let done = lines().filter(|line| ticked.contains(&line.key));
                done.count()
            });
            tr!("{done} of {many} loaded", done, many)
        })
    };
    // The browser may print after the call has returned.
    let printed = window_event_listener_untyped("afterprint", move |_| mark_printed(false));
    on_cleanup(move || printed.remove());
    let print = move |_| {
        mark_printed(true);
        if window().print().is_err() {
            app.notify(true, tr!("This browser cannot print."));
        }
    };
    let section = move |VanSection { name, lines }: VanSection| {
        view! {
            <fieldset>
                <legend>{localize(name)}</legend>
                {lines.into_iter().map(|line| view! { <Line job line ticked/> }).collect::<Vec<_>>()}
            </fieldset>
        }
    };
    let title = job.slice(job_title);
    let key = |section: &VanSection| {
        let lines = section.lines.iter();
        let lines = lines.map(|line| line.words.clone());
        (section.name, lines.collect::<Vec<_>>())
    };
    let summary = move || {
        view! {
            <span class="phase">
                <span>{tr!("Load the van")}</span>
                <span class="soft small">{text(count)}</span>
            </span>
        }
    };
    let inside = move || {
        view! {
            <div class="stack">
                <p class="soft">{text(move || title.get())}</p>
                {rows(move || list.get(), key, section)}
                <button type="button" class="quiet" on:click=print>{tr!("Print")}</button>
            </div>
        }
    };
    let inside = StoredValue::new(ViewFn::from(inside));
    let is_any = Signal::derive(move || list.with(|list| !list.is_empty()));
    view! {
        <When is=is_any>
            <Disclosure class="sheet van" open summary inside=inside.get_value()/>
        </When>
    }
}

#[component]
fn Line(job: OpenJob, line: VanLine, ticked: RwSignal<Vec<String>>) -> impl IntoView {
    let app = app();
    let VanLine { key, words } = line;
    let seen = key.clone();
    let toggle = move |event| {
        let on = event_target_checked(&event);
        ticked.update(|ticked| {
            ticked.retain(|one| *one != key);
            if on {
                ticked.push(key.clone());
            }
        });
        let kept = ticked.with_untracked(|ticked| store::keep_loaded(&job.id(), ticked));
        if let Err(why) = kept {
            app.notify(false, tr!("The tick is lost after a reload: {why}", why));
        }
    };
    view! {
        <label class="tick">
            <input type="checkbox" on:change=toggle
                prop:checked=move || ticked.with(|ticked| ticked.contains(&seen))/>
            <span>{capitalize(&words)}</span>
        </label>
    }
}

/// Whether only the list is printed.
fn mark_printed(on: bool) {
    let Some(root) = document().document_element() else {
        return;
    };
    // Without the mark the whole page is printed.
    let _marked = match on {
        true => root.set_attribute(PRINTED, "van"),
        false => root.remove_attribute(PRINTED),
    };
}
