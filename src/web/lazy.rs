//! Code splitting. The first screen needs little of the app. The rest is in separate
//! WASM modules, loaded when they are first needed or when the first screen has been
//! shown, whichever is earlier. All of them are stored for offline use.
//!
//! Each function below is the entry point of its module. With the feature `split`, code
//! reached only by those functions is taken out of the first module; without it, as in
//! tests, everything is one module. Screens do not use this file: the shell loads them.

use std::fmt;
use std::future::Future;
use std::pin::Pin;
use std::sync::Arc;

use leptos::prelude::*;
use send_wrapper::SendWrapper;

use super::screens::{desk, lost, new_job, plan, records, step, today, tray, units, wrap_up};
use super::service::scheduler;
use super::state::App;
use super::{input, start};
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::tr;
use lidoff_job::Log;

/// A module of the app could not be loaded.
#[derive(Clone, Copy, Debug)]
pub struct ModuleMissing;

impl fmt::Display for ModuleMissing {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&tr!(
            "Part of Lidoff is not on this device yet and could not be downloaded. Try again when you are online."
        ))
    }
}

impl std::error::Error for ModuleMissing {}

#[cfg(feature = "split")]
impl From<wasm_split_helpers::SplitLoaderError> for ModuleMissing {
    fn from(_: wasm_split_helpers::SplitLoaderError) -> Self {
        Self
    }
}

/// Work in a module that takes a while.
pub type Work = Pin<Box<dyn Future<Output = ()>>>;

macro_rules! entry_points {
    ($($(#[$doc:meta])* $part:ident, $fetch:ident: fn $name:ident($($given:ident: $type:ty),*) -> $got:ty $body:block)*) => {$(
        $(#[$doc])*
        ///
        /// # Errors
        /// When its module is not here and cannot be fetched.
        #[cfg(feature = "split")]
        #[wasm_split_helpers::wasm_split($part, fallible, preload($fetch))]
        pub fn $name($($given: $type),*) -> Result<$got, ModuleMissing> {
            Ok($body)
        }

        $(#[$doc])*
        ///
        /// # Errors
        /// None, where all is one module.
        #[cfg(not(feature = "split"))]
        pub async fn $name($($given: $type),*) -> Result<$got, ModuleMissing> {
            Ok($body)
        }
    )*};
}

entry_points! {
    /// Loads everything stored on this device, and keeps it up to date.
    storage, fetch_begin: fn begin(app: App) -> Work {
        Box::pin(start::begin(app, read_catalogs_lazily))
    }

    /// The list of the jobs on this device.
    storage, fetch_job_list: fn list_jobs(jobs: Vec<Arc<Log>>) -> AnyView {
        today::listed(&jobs).into_any()
    }

    /// Watches screen, voice and keyboard for as long as the page lives.
    storage, fetch_input: fn watch_input(app: App, route: RwSignal<Route>) -> () {
        input::watch(app, route);
    }

    /// Reads the catalogs.
    library, fetch_shelf: fn read_catalogs(app: App) -> Work {
        Box::pin(start::fill_library(app))
    }

    /// Records what is due without a tap. It needs the planner, which comes with the screens.
    screens, fetch_planner: fn record_what_is_due(app: App) -> () {
        app.record_what_is_due();
    }

    /// All screens except the first.
    screens, fetch_screens: fn screen(route: Route) -> AnyView {
        match route {
            Route::Today => {
                let list_jobs = |jobs: Vec<Arc<Log>>| today::listed(&jobs).into_any();
                view! { <today::Today list_jobs/> }.into_any()
            }
            Route::Units => view! { <units::Units/> }.into_any(),
            Route::New(unit) => view! { <new_job::NewJob unit/> }.into_any(),
            Route::Job(job, Page::Plan) => view! { <plan::PlanScreen job/> }.into_any(),
            Route::Job(job, Page::Step) => view! { <step::StepScreen job/> }.into_any(),
            Route::Job(job, Page::Tray) => view! { <tray::TrayScreen job/> }.into_any(),
            Route::Job(job, Page::WrapUp) => view! { <wrap_up::WrapUp job/> }.into_any(),
            Route::Desk => view! { <desk::DeskScreen/> }.into_any(),
            Route::Records => view! { <records::Records/> }.into_any(),
            Route::Lost(path) => view! { <lost::Lost path/> }.into_any(),
        }
    }
}

/// Reads the catalogs once their module is here.
fn read_catalogs_lazily(app: App) -> Work {
    Box::pin(async move {
        match read_catalogs(app).await {
            Ok(reading) => {
                scheduler::turn().await;
                reading.await;
            }
            Err(why) => app.notify(true, why.to_string()),
        }
        if !app.due().is_empty()
            && let Err(why) = record_what_is_due(app).await
        {
            app.notify(true, why.to_string());
        }
    })
}

/// Fetches the rest of the app, so that no tap waits for it. A module that cannot be
/// fetched now is requested again, and a failure reported, when it is needed.
pub async fn fetch_rest() {
    #[cfg(feature = "split")]
    let _asked_for_again = fetch_screens().await;
}

/// Shows a view of a module, at once if the module is already loaded.
pub fn show(view: impl Future<Output = Result<AnyView, ModuleMissing>> + 'static) -> AnyView {
    let view = async move { view.await.unwrap_or_else(module_missing) };
    Suspend::new(SendWrapper::new(view)).into_any()
}

fn module_missing(why: ModuleMissing) -> AnyView {
    let again = move |_| {
        let _nothing_to_lose = window().location().reload();
    };
    view! {
        <div class="screen">
            <h1 tabindex="-1">{tr!("Not downloaded yet")}</h1>
            <p>{why.to_string()}</p>
            <button type="button" class="key wide tall" on:click=again>{tr!("Try again")}</button>
        </div>
    }
    .into_any()
}
