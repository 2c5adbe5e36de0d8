//! Records: what is stored on this device, how safely, and what could not be read.

mod removal;
mod transfer;

use leptos::prelude::*;
use leptos::task::spawn_local;

use self::removal::{JobList, Removal, RemovalSheet};
use self::transfer::{open_file, save_everything};
use crate::service::offline::OfflineState;
use crate::service::quarantine::UnreadableRecord;
use crate::service::{catalogs, files};
use crate::start;
use crate::state::{AddedCatalog, app};
use crate::widgets::all_jobs::with_all_jobs;
use crate::widgets::dynamic::{CollectAny, rebuilt};
use crate::widgets::language_and_units::LanguageAndUnits;
use crate::widgets::theme::ThemeChoice;
use crate::widgets::times::TimesInUse;
use lidoff_app_core::display::format_date;
use lidoff_i18n::{localize, tr};

/// The screen.
#[component]
pub fn Records() -> impl IntoView {
    let app = app();
    let persistence = RwSignal::new(tr!("Checking whether this browser keeps the records."));
    let measure = move || {
        spawn_local(async move {
            if let Some(event_store) = app.event_store() {
                let answer = event_store.persist().await.to_string();
                let _gone = persistence.try_set(answer);
            }
        });
    };
    measure();
    let removal = RwSignal::new(None);
    let stored_jobs = with_all_jobs(move || {
        let jobs = move || app.jobs.with(|jobs| jobs.as_ref().map_or(0, Vec::len));
        view! {
            <p>{move || tr!("{n} job" | "{n} jobs" % jobs())}</p>
            <button type="button" on:click=move |_| save_everything(app)>{tr!("Save everything to a file")}</button>
            <JobList removal/>
        }
        .into_any()
    });
    let offline = move || match app.offline.get() {
        OfflineState::Ready => {
            tr!("✓ Lidoff and its catalogs are saved on this device and work offline.")
        }
        OfflineState::NotYet => tr!("Lidoff is not saved for offline use yet."),
        OfflineState::Failed(why) => {
            tr!("Lidoff cannot be saved for offline use: {why}", why)
        }
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Records")}</h1>
            <section class="sheet" aria-labelledby="kept">
                <h2 id="kept">{tr!("Saved on this device")}</h2>
                <p>{move || persistence.get()}</p>
                <p>{offline}</p>
                <button type="button" on:click=move |_| open_file(app)>{tr!("Open jobs from a file")}</button>
                {stored_jobs}
            </section>
            <LanguageAndUnits/>
            <UnreadableRecords/>
            <CatalogList removal/>
            <TimesInUse/>
            <RemovalSheet removal then=Callback::new(move |()| measure())/>
            <ThemeChoice/>
            <section class="sheet" aria-labelledby="safety">
                <h2 id="safety">{tr!("Safety")}</h2>
                <p>
                    {tr!("Lidoff plans, times and tallies the work. It does not replace the unit's own safety documents, local codes or licensed practice: those take precedence. If a screen here differs from such a document, stop and follow the document.")}
                </p>
                <p class="soft small">
                    {tr!("Signal words have the meanings given in ANSI Z535.6 and ISO 3864-2. The demo units, companies, people, places and numbers are invented.")}
                </p>
                <p class="soft small">{format!("Lidoff {}", env!("CARGO_PKG_VERSION"))}</p>
            </section>
        </div>
    }
}

#[component]
fn UnreadableRecords() -> impl IntoView {
    let app = app();
    rebuilt(move || {
        let all = app.unreadable.get();
        (!all.is_empty()).then(|| view! {
            <section class="sheet lead" aria-labelledby="aside">
                <h2 id="aside">{tr!("Unreadable records")}</h2>
                <p>{tr!("These records could not be read, or clash with others, and were set aside. Nothing else is affected. Save them to a file before you remove them. A later version may read that file: open it above.")}</p>
                <ul class="list">
                    {all.into_iter().map(|unreadable| view! { <UnreadableRow unreadable/> }).collect_any()}
                </ul>
            </section>
        })
    })
}

#[component]
fn UnreadableRow(unreadable: UnreadableRecord) -> impl IntoView {
    let app = app();
    let (saved, removed) = (unreadable.clone(), unreadable.clone());
    let save = move |_| {
        if let Err(error) = saved.save() {
            app.notify(true, error.to_string());
        }
    };
    let remove = move |_| {
        let unreadable = removed.clone();
        spawn_local(async move {
            let Some(event_store) = app.event_store() else {
                return;
            };
            match event_store.remove(&unreadable).await {
                Ok(()) => app
                    .unreadable
                    .update(|all| all.retain(|one| *one != unreadable)),
                Err(error) => app.notify(true, error.to_string()),
            }
        });
    };
    view! {
        <li>
            <p><strong>{tr!("Job {}, event {}", unreadable.job, unreadable.key)}</strong></p>
            <p class="soft small">{tr!("{}, found on {}", unreadable.note.why, format_date(unreadable.note.at_ms, 0))}</p>
            <p>{if unreadable.restored {
                tr!("✓ Nothing is missing from its job.")
            } else {
                tr!("The event is missing from its job.")
            }}</p>
            <div class="row">
                <button type="button" on:click=save>{tr!("Save to a file")}</button>
                <button type="button" class="quiet" on:click=remove>{tr!("Remove")}</button>
            </div>
        </li>
    }
}

#[component]
fn CatalogList(removal: RwSignal<Option<Removal>>) -> impl IntoView {
    let app = app();
    let add = move |_| {
        let asked = files::open(".json");
        spawn_local(async move {
            let chosen = match asked.await {
                Ok(Some(chosen)) => chosen,
                Ok(None) => return,
                Err(error) => return app.notify(true, error.to_string()),
            };
            let Some(event_store) = app.event_store() else {
                return;
            };
            match catalogs::add(event_store.journal(), &chosen.name, &chosen.text).await {
                Ok(loaded) => {
                    app.notify(false, tr!("{} was added.", loaded.catalog.unit().name));
                    start::fill_library(app).await;
                    app.record_what_is_due();
                }
                Err(error) => app.notify(true, error.to_string()),
            }
        });
    };
    let rows = rebuilt(move || {
        let library = app.library.get().unwrap_or_default();
        let units = library.units.iter().map(|catalog| {
            let unit = catalog.unit();
            view! { <li>{tr!("{}: {}, revision {}", unit.name, localize(&unit.kind), unit.revision)}</li> }
                .into_any()
        });
        let troubles = library.troubles.iter().map(|trouble| {
            let lines = trouble.lines.iter();
            let lines = lines
                .map(|line| view! { <li>{line.clone()}</li> })
                .collect_any();
            view! {
                <li>
                    <strong>{tr!("{} cannot be used", trouble.name)}</strong>
                    <ul class="marked small">{lines}</ul>
                </li>
            }
            .into_any()
        });
        units.chain(troubles).collect::<Vec<_>>()
    });
    let added = rebuilt(move || {
        let row = |added: AddedCatalog| {
            let name = tr!(
                "Added from “{file}”: {name}",
                file = added.file,
                name = added.name
            );
            view! {
                <li class="row apart">
                    <span>{name}</span>
                    <button type="button" class="quiet" aria-label=tr!("Remove {what}", what = added.file)
                        on:click=move |_| removal.set(Some(Removal::Catalog(added.clone())))>{tr!("Remove")}</button>
                </li>
            }
        };
        app.added.get().into_iter().map(row).collect_any()
    });
    view! {
        <section class="sheet" aria-labelledby="catalogs">
            <h2 id="catalogs">{tr!("Catalogs")}</h2>
            <ul class="list">{rows}{added}</ul>
            <button type="button" on:click=add>{tr!("Add a catalog from a file")}</button>
        </section>
    }
}
