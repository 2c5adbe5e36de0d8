//! The frame around every screen: the link home, the banners, and the screen that the
//! address names. `start` assembles it.

use leptos::ev;
use leptos::prelude::*;
use leptos::reactive::spawn_local_scoped;

use super::lazy;
use super::navigate::{current_route, focus_on, focus_subject, restore_focus};
use super::screens::today;
use super::state::{App, Notice, app};
use super::widgets::dynamic::rows;
use lidoff_app_core::route::{Page, Route};
use lidoff_i18n::{localize, tr, tr_noop};

/// The route that the address names, for as long as the page lives. Call it before the first
/// link is shown: a link tapped while the app starts is followed too.
pub fn route_of_address(app: App) -> RwSignal<Route> {
    let route = RwSignal::new(current_route());
    window_event_listener(ev::hashchange, move |_| {
        route.set(current_route());
        app.notices.update(|all| all.retain(|notice| notice.bad));
    });
    route
}

/// Handles page events for as long as the page lives.
pub fn follow(app: App, route: RwSignal<Route>) {
    spawn_local_scoped(async move {
        if let Err(why) = lazy::watch_input(app, route).await {
            app.notify(true, why.to_string());
        }
    });
    // The title of the page without a screen is the app's name.
    let app_name = document().title();
    Effect::new(move |_| {
        let title = localize(title(&route.get()));
        document().set_title(&format!("{title} – {app_name}"));
        // A new screen starts at its top, also for screen readers.
        request_animation_frame(|| {
            window().scroll_to_with_x_and_y(0.0, 0.0);
            focus_subject();
        });
    });
}

/// A link for keyboard users that skips the header.
#[component]
pub fn SkipLink() -> impl IntoView {
    view! {
        <a class="skip" href="#app" on:click=move |event| {
            event.prevent_default();
            focus_on("#app");
        }>{tr!("Skip to content")}</a>
    }
}

/// The link to Today.
#[component]
pub fn Header(route: RwSignal<Route>) -> impl IntoView {
    view! {
        <header class="top">
            <nav aria-label="Lidoff">
                <a class="home" href="#/" aria-current=move || aria_current(matches!(route.get(), Route::Today))>
                    <Mark/>
                    "Lidoff"
                </a>
                <a href=Route::Units.href()
                    aria-current=move || aria_current(matches!(route.get(), Route::Units | Route::New(_)))>{tr!("New")}</a>
                <a href=Route::Desk.href()
                    aria-current=move || aria_current(matches!(route.get(), Route::Desk))>{tr!("Desk")}</a>
                <a href=Route::Records.href()
                    aria-current=move || aria_current(matches!(route.get(), Route::Records))>{tr!("Records")}</a>
            </nav>
        </header>
    }
}

/// The screen that the address names.
#[component]
pub fn Screen(route: RwSignal<Route>) -> impl IntoView {
    view! { <main id="app" tabindex="-1">{move || screen(route.get())}</main> }
}

fn aria_current(is_current: bool) -> Option<&'static str> {
    is_current.then_some("page")
}

fn title(route: &Route) -> &'static str {
    match route {
        Route::Today => tr_noop!("Today"),
        Route::Units | Route::New(_) => tr_noop!("New job"),
        Route::Job(_, Page::Plan) => tr_noop!("Plan"),
        Route::Job(_, Page::Step) => tr_noop!("Step"),
        Route::Job(_, Page::Tray) => tr_noop!("Tray"),
        Route::Job(_, Page::WrapUp) => tr_noop!("Wrap-up"),
        Route::Desk => tr_noop!("Desk"),
        Route::Records => tr_noop!("Records"),
        Route::Lost(_) => tr_noop!("Page not found"),
    }
}

/// The screen of a route. The first one is in the first module; any other shows a
/// placeholder until its module is loaded.
fn screen(route: Route) -> AnyView {
    if route == Route::Today {
        let list_jobs = |logs| lazy::show(lazy::list_jobs(logs));
        return view! { <today::Today list_jobs/> }.into_any();
    }
    lazy::show(async move {
        let screen = lazy::screen(route).await;
        restore_focus();
        screen
    })
}

/// The logo: a lifted lid, and the depth line under it.
#[component]
fn Mark() -> impl IntoView {
    view! {
        <svg viewBox="0 0 64 64" aria-hidden="true" fill="none" stroke="currentColor"
            stroke-width="5" stroke-linecap="round" stroke-linejoin="round">
            <path d="M13 21 49 11"/>
            <path d="M13 32v20h38V32"/>
            <path stroke="var(--here)" stroke-width="4" d="M20 30h4v6h4v7h8v-7h4v-6h4"/>
        </svg>
    }
}

/// Banners that are shown on every screen.
#[component]
pub fn Banners() -> impl IntoView {
    let app = app();
    let take = move |_| {
        if let Ok(event) = web_sys::CustomEvent::new("lidoff-take-update") {
            let _heard = window().dispatch_event(&event);
        }
    };
    view! {
        <div aria-live="polite">
            <Show when=move || !app.writes.get()>
                <div class="banner">
                    <p>{tr!("Lidoff is open in another window; this one is read-only.")}</p>
                    <button type="button" on:click=move |_| app.take_over()>{tr!("Use this window")}</button>
                </div>
            </Show>
            <Show when=move || app.update.get()>
                <div class="banner">
                    <p>{tr!("A new version is ready. Your job is not affected.")}</p>
                    <button type="button" on:click=take>{tr!("Update now")}</button>
                </div>
            </Show>
            {rows(
                move || app.notices.get(),
                |notice| notice.text.clone(),
                |notice| view! { <NoticeBanner notice/> },
            )}
        </div>
    }
}

#[component]
fn NoticeBanner(notice: Notice) -> impl IntoView {
    let app = app();
    let text = notice.text.clone();
    let drop = move |_| app.notices.update(|all| all.retain(|one| one.text != text));
    view! {
        <div class="banner" class:bad=notice.bad role=notice.bad.then_some("alert")>
            <p>{notice.text.clone()}</p>
            <button type="button" class="quiet" on:click=drop>{tr!("Understood")}</button>
        </div>
    }
}
