//! Loads the data stored on this device: the jobs, the learned times, the catalogs.

use std::future::Future;
use std::pin::Pin;
use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;

use lidoff_i18n::tr;

use super::service::catalogs::{self, CatalogTrouble, Origin, Trouble};
use super::service::clock;
use super::service::event_store::EventStore;
use super::service::offline::OfflineState;
use super::service::scheduler;
use super::service::store;
use super::service::tabs::{self, Role};
use super::state::{AddedCatalog, App, RejectedCatalog};
use lidoff_estimate::LearnedTimes;

/// Reads the catalogs into the library.
pub type ReadCatalogs = fn(App) -> Pin<Box<dyn Future<Output = ()>>>;

/// Joins the other windows, loads everything stored on this device, and then follows the
/// changes of other windows. `read_catalogs` is [`fill_library`], or first loads the code
/// for it.
pub async fn begin(app: App, read_catalogs: ReadCatalogs) {
    let load = move |role| spawn_local(read(app, role, read_catalogs));
    let (tabs, joined) = tabs::join(tabs::NAME, load).await;
    app.join(tabs);
    scheduler::turn().await;
    if let Some(trouble) = joined.trouble {
        app.notify(false, trouble);
    }
    read(app, joined.role, read_catalogs).await;
    tabs::listen(move |job| {
        spawn_local(async move {
            if app.writes.get_untracked() {
                return;
            }
            if let Some(event_store) = app.event_store()
                && let Ok(log) = event_store.load(&job).await
            {
                app.put(log);
            }
        })
    });
}

/// Loads everything stored on this device.
async fn read(app: App, role: Role, read_catalogs: ReadCatalogs) {
    app.set_writes(role == Role::Writer);
    let (event_store, started) = EventStore::start(role).await;
    app.set_event_store(Rc::new(event_store));
    for trouble in started.troubles {
        app.notify(true, trouble);
    }
    if !started.unreadable.is_empty() {
        app.notify(
            true,
            tr!("Some records could not be read and were set aside. See Records."),
        );
    }
    app.unreadable.set(started.unreadable);
    app.begin_with(started.logs);
    read_times(app);
    scheduler::turn().await;
    read_catalogs(app).await;
    if let Some(event_store) = app.event_store()
        && let Err(error) = event_store.archive(started.to_archive).await
    {
        app.notify(true, error.to_string());
    }
}

/// Key of the learned times in use, in local storage.
const TIMES: &str = "lidoff/times";

/// Reads the learned times that are in use.
fn read_times(app: App) {
    // Without local storage there are no learned times; this was already reported.
    let Ok(Some(text)) = store::read(TIMES) else {
        return;
    };
    match LearnedTimes::from_json(&text) {
        Ok(times) => app.times.set(Some(Arc::new(times))),
        Err(error) => app.notify(true, error.to_string()),
    }
}

/// Stores learned times and uses them from now on; `None` for the handbook times.
///
/// # Errors
/// Why they are not kept, in words.
pub fn keep_times(text: Option<&str>) -> Result<(), String> {
    let outcome = match text {
        Some(text) => store::write(TIMES, text),
        None => store::remove(TIMES),
    };
    outcome.map_err(|error| error.to_string())
}

/// Reads the catalogs.
pub async fn fill_library(app: App) {
    let Some(event_store) = app.event_store() else {
        return;
    };
    let (mut units, mut troubles, mut added) = (Vec::new(), Vec::new(), Vec::new());
    for found in catalogs::load(event_store.journal()).await {
        match found {
            Ok(loaded) => {
                if loaded.origin == Origin::Added {
                    let unit = loaded.catalog.unit();
                    added.push(AddedCatalog {
                        file: loaded.file,
                        name: unit.name.clone(),
                        unit: Some(unit.id.clone()),
                    });
                }
                units.push(loaded.catalog);
            }
            Err(trouble) => {
                if let (Origin::Added, Trouble::Faulty(_)) = (trouble.origin, &trouble.what) {
                    added.push(AddedCatalog {
                        file: trouble.name.clone(),
                        name: tr!("faulty"),
                        unit: None,
                    });
                }
                troubles.push(describe_rejection(trouble));
            }
        }
    }
    app.added.set(added);
    app.set_library(units, troubles);
}

fn describe_rejection(trouble: CatalogTrouble) -> RejectedCatalog {
    let lines = match &trouble.what {
        Trouble::Unreachable(_) => vec![trouble.to_string()],
        Trouble::Faulty(faults) => faults.lines(),
    };
    RejectedCatalog {
        name: trouble.name,
        lines,
    }
}

/// Updates the time once a second while the page is visible.
pub fn tick(app: App) {
    set_interval(
        move || {
            if !document().hidden() {
                app.now.set(clock::now());
            }
        },
        Duration::from_secs(1),
    );
}

/// Listens to the page's own script: whether the app is ready for offline use, and whether
/// a new version waits.
pub fn hear_of_versions(app: App) {
    let read = move || {
        let get = |of: &JsValue, name: &str| js_sys::Reflect::get(of, &name.into()).ok();
        let Some(state) = get(&window().into(), "lidoffOffline") else {
            return;
        };
        if let Some(status) = get(&state, "kept").and_then(|status| status.as_string()) {
            app.offline.set(OfflineState::from(status));
        }
        app.update
            .set(get(&state, "update").is_some_and(|update| update.is_truthy()));
    };
    read();
    window_event_listener_untyped("lidoff-offline", move |_| read());
}
