//! From an empty page to a running app: the language first, then the frame, the
//! jobs, the catalogs.

use std::rc::Rc;
use std::sync::Arc;
use std::time::Duration;

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsValue;

use lidoff_i18n::tr;

use super::language;
use super::lazy;
use super::service::catalogs::{self, CatalogTrouble, Trouble};
use super::service::clock;
use super::service::event_store::EventStore;
use super::service::scheduler;
use super::service::store;
use super::service::tabs::{self, Role};
use super::shell::{self, Banners, Screen, Skip, Top};
use super::state::{App, CatalogLibrary, RejectedCatalog};
use super::stopped;
use super::widgets::progress::Progress;
use lidoff_estimate::LearnedTimes;

/// Starts the app, once what the page says meanwhile is to be seen.
pub fn start() {
    stopped::tell_of_panics();
    clock::watch();
    // The screens' own executor comes with the first of them.
    wasm_bindgen_futures::spawn_local(async {
        scheduler::frame().await;
        let trouble = language::prepare(language::wanted()).await;
        scheduler::turn().await;
        show(trouble).await;
    });
}

/// Shows the app on the page, with what went wrong before it could, and says so to
/// the page's own script. It is put together piece by piece, behind what the page
/// says meanwhile.
async fn show(trouble: Option<String>) {
    let app = App::new();
    if let Some(trouble) = trouble {
        app.tell(true, trouble);
    }
    let route = RwSignal::new(shell::here());
    scheduler::turn().await;
    put(app, || view! { <Skip/> }).await;
    put(app, move || view! { <Top route/> }).await;
    put(app, || view! { <Banners/> }).await;
    put(app, move || view! { <Screen route/> }).await;
    if let Ok(event) = web_sys::CustomEvent::new("lidoff-shown") {
        // Nobody can call it off.
        let _not_called_off = window().dispatch_event(&event);
    }
    scheduler::turn().await;
    put(app, move || {
        shell::follow(app, route);
        view! { <Progress/> }
    })
    .await;
    tick(app);
    hear_of_versions(app);
    scheduler::turn().await;
    spawn_local(async move {
        match lazy::begin(app).await {
            Ok(beginning) => {
                scheduler::turn().await;
                beginning.await;
            }
            Err(why) => return app.tell(true, why.to_string()),
        }
        lazy::fetch_rest().await;
    });
}

/// Adds a piece to the page, and gives the page its turn: a phone that is slow takes
/// a tap sooner when there is less to do between two turns.
async fn put<V: IntoView + 'static>(app: App, piece: impl FnOnce() -> V + 'static) {
    mount_to_body(move || {
        provide_context(app);
        piece()
    });
    scheduler::turn().await;
}

/// Joins the other windows, reads everything that is kept, and from then on
/// follows what another window writes.
pub async fn begin(app: App) {
    let (tabs, joined) = tabs::join(tabs::NAME, move |role| spawn_local(read(app, role))).await;
    app.join(tabs);
    scheduler::turn().await;
    if let Some(trouble) = joined.trouble {
        app.tell(false, trouble);
    }
    read(app, joined.role).await;
    tabs::listen(move |job| {
        spawn_local(async move {
            if app.writes.get_untracked() {
                return;
            }
            if let Some(keeper) = app.keeper()
                && let Ok(log) = keeper.load(&job).await
            {
                app.put(log);
            }
        })
    });
}

/// Reads everything that is kept.
async fn read(app: App, role: Role) {
    app.writes.set(role == Role::Writer);
    let (keeper, started) = EventStore::start(role).await;
    app.keep_with(Rc::new(keeper));
    for trouble in started.troubles {
        app.tell(true, trouble);
    }
    if !started.aside.is_empty() {
        app.tell(
            true,
            tr!("Some records could not be read and were set aside. See Records."),
        );
    }
    app.aside.set(started.aside);
    app.begin_with(started.logs);
    read_times(app);
    scheduler::turn().await;
    read_catalogs(app).await;
}

/// Where the learned times lie that are in use, in local storage.
const TIMES: &str = "lidoff/times";

/// Reads the learned times that are in use.
fn read_times(app: App) {
    // Without local storage there are none, and that has been told.
    let Ok(Some(text)) = store::read(TIMES) else {
        return;
    };
    match LearnedTimes::from_json(&text) {
        Ok(times) => app.times.set(Some(Arc::new(times))),
        Err(error) => app.tell(true, error.to_string()),
    }
}

/// Keeps learned times for use from now on; none, for the handbook's.
///
/// # Errors
/// Why they are not kept, in words.
pub fn keep_times(text: Option<&str>) -> Result<(), String> {
    let kept = match text {
        Some(text) => store::write(TIMES, text),
        None => store::remove(TIMES),
    };
    kept.map_err(|error| error.to_string())
}

/// Reads the catalogs anew.
pub async fn read_catalogs(app: App) {
    match lazy::read_catalogs(app).await {
        Ok(reading) => {
            scheduler::turn().await;
            reading.await;
        }
        Err(why) => app.tell(true, why.to_string()),
    }
}

/// Reads the catalogs: what [`read_catalogs`] does once its part is here.
pub async fn fill_library(app: App) {
    let Some(keeper) = app.keeper() else { return };
    let mut shelf = CatalogLibrary::default();
    let times = app.times.get_untracked();
    for found in catalogs::load(keeper.journal()).await {
        match found {
            Ok(mut loaded) => {
                if let Some(times) = &times {
                    times.apply_to(&mut loaded.catalog);
                }
                shelf.units.push(Arc::new(loaded.catalog));
            }
            Err(trouble) => shelf.troubles.push(told(trouble)),
        }
    }
    app.shelf.set(Some(shelf));
}

fn told(trouble: CatalogTrouble) -> RejectedCatalog {
    let lines = match &trouble.what {
        Trouble::Unreachable(_) => vec![trouble.to_string()],
        Trouble::Faulty(faults) => faults.iter().map(ToString::to_string).collect(),
    };
    RejectedCatalog {
        name: trouble.name,
        lines,
    }
}

/// The time, once a second, while the page is seen.
fn tick(app: App) {
    set_interval(
        move || {
            if !document().hidden() {
                app.now.set(clock::now());
            }
        },
        Duration::from_secs(1),
    );
}

/// The page's own script says whether the app is kept for use without a network,
/// and whether another version waits.
fn hear_of_versions(app: App) {
    let read = move || {
        let get = |of: &JsValue, name: &str| js_sys::Reflect::get(of, &name.into()).ok();
        let Some(said) = get(&window().into(), "lidoffOffline") else {
            return;
        };
        if let Some(kept) = get(&said, "kept").and_then(|kept| kept.as_string()) {
            app.offline.set(kept);
        }
        app.update
            .set(get(&said, "update").is_some_and(|update| update.is_truthy()));
    };
    read();
    window_event_listener_untyped("lidoff-offline", move |_| read());
}
