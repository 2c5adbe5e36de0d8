//! From an empty page to a running app: first the language, then the frame, then the
//! data stored on the device.

use leptos::prelude::*;
use leptos::task::spawn_local;

use super::service::{clock, scheduler};
use super::shell::{self, Banners, Header, Screen, SkipLink};
use super::start::{hear_of_versions, tick};
use super::state::App;
use super::widgets::progress::Progress;
use super::{language, lazy, stopped};

/// Starts the app once the boot screen has been painted.
pub fn start() {
    stopped::report_panics();
    clock::watch();
    // Not leptos's own `spawn_local`: its executor is set only when a screen is mounted.
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
        app.notify(true, trouble);
    }
    let route = shell::route_of_address(app);
    scheduler::turn().await;
    put(app, || view! { <SkipLink/> }).await;
    put(app, move || view! { <Header route/> }).await;
    put(app, || view! { <Banners/> }).await;
    put(app, move || view! { <Screen route/> }).await;
    if let Ok(event) = web_sys::CustomEvent::new("lidoff-shown") {
        // The event cannot be cancelled.
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
            Err(why) => return app.notify(true, why.to_string()),
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
