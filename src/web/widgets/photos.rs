//! Photos of a step: take, view, delete.

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast as _;
use web_sys::{Event, HtmlInputElement};

use crate::service::photos::{PhotoError, bytes, photos, scaled};
use crate::slice::{OpenJob, Slice};
use crate::state::{App, app};
use crate::widgets::dynamic::{When, rebuilt, rows, text};
use crate::widgets::sheet::Sheet;
use lidoff_catalog::format::RecordId;
use lidoff_i18n::{localize, number, tr};
use lidoff_job::{EventId, EventKind, JobId, Photo, PhotoTaken, RecordedValue};

/// Opens the camera, or lets the user choose a picture, and saves it with this step.
#[component]
pub fn TakePhoto(
    job: OpenJob,
    step: u32,
    /// The record of the step that the photo is for.
    #[prop(optional)]
    record: Option<RecordId>,
) -> impl IntoView {
    let app = app();
    let working = RwSignal::new(false);
    let is_free = record.is_none();
    let take = move |event: Event| {
        let input = event
            .target()
            .and_then(|it| it.dyn_into::<HtmlInputElement>().ok());
        let Some(input) = input else { return };
        let Some(file) = input.files().and_then(|files| files.get(0)) else {
            return;
        };
        // The same picture can be chosen again.
        input.set_value("");
        // Event numbers are unique, so names made of them are too.
        let number = job.get_untracked().head.map_or(0, |(head, _)| head.seq) + 1;
        let (id, name) = (job.id(), format!("photo-{number}"));
        let record = record.clone();
        working.set(true);
        spawn_local(async move {
            if let Err(error) = keep(app, &id, name, step, record, &file).await {
                app.notify(true, error.to_string());
            }
            let _gone = working.try_set(false);
        });
    };
    view! {
        <label class="button quiet file">
            <input class="hush" type="file" accept="image/*" capture="environment" id=is_free.then_some("photo")
                prop:disabled=move || working.get() on:change=take/>
            {text(move || if working.get() { tr!("Saving the photo") } else { tr!("Take a photo") })}
        </label>
    }
}

/// Stores the picture first, then the event that names it, so that every photo in the log
/// exists.
async fn keep(
    app: App,
    id: &str,
    name: String,
    step: u32,
    record: Option<RecordId>,
    file: &web_sys::File,
) -> Result<(), PhotoError> {
    let data = scaled(file).await?;
    let job = JobId(id.to_owned());
    photos().keep(&job, &name, &data).await?;
    let photo = Photo {
        name,
        step: Some(step),
        bytes: bytes(&data),
    };
    let recorded = record.map(|record| EventKind::Recorded {
        step,
        record,
        value: RecordedValue::Photo(photo.name.clone()),
    });
    let taken = EventKind::PhotoTaken(photo);
    app.act(id, std::iter::once(taken).chain(recorded).collect(), || {});
    Ok(())
}

/// "2 photos, 0.6 MB".
pub fn size_words(all: &[PhotoTaken]) -> String {
    let bytes: f64 = all.iter().map(|one| f64::from(one.photo.bytes)).sum();
    let size = number((bytes / 1e6).max(0.1), 1);
    let many = all.len();
    let many = tr!("one photo" | "{n} photos" % many);
    tr!("{photos}, {size} MB", photos = many, size = size)
}

/// A photo that is shown large: its event, its name, its data.
type Large = (EventId, String, String);

/// Thumbnails of the photos of a step, or of the whole job; nothing if there are none.
#[component]
pub fn Photos(job: OpenJob, #[prop(optional)] step: Option<u32>) -> impl IntoView {
    let app = app();
    let named = job.slice(move |job| {
        let here = |one: &&PhotoTaken| step.is_none() || one.photo.step == step;
        job.photos.iter().filter(here).cloned().collect::<Vec<_>>()
    });
    // Names and data, once they are loaded.
    let found = RwSignal::new(None::<Vec<(String, String)>>);
    Effect::new(move |_| {
        if named.with(Vec::is_empty) {
            return;
        }
        let of = JobId(job.id());
        spawn_local(async move {
            match photos().of_job(&of).await {
                Ok(all) => {
                    let _gone = found.try_set(Some(all));
                }
                Err(error) => app.notify(true, error.to_string()),
            }
        });
    });
    let large = RwSignal::new(None::<Large>);
    let open = RwSignal::new(false);
    view! {
        <When is=Signal::derive(move || named.with(|named| !named.is_empty()))>
            <section class="sheet" aria-label=tr!("Photos")>
                <p class="soft">{text(move || named.with(|named| size_words(named)))}</p>
                <ul class="thumbs">
                    {rows(move || named.get(), |one| one.event, move |one| view! {
                        <Thumb job one found large open/>
                    })}
                </ul>
            </section>
        </When>
        <Sheet open title=tr!("Photo")>
            {move || large.get().map(|(event, name, data)| view! {
                <img class="large" src=data alt=name.clone()/>
                <button type="button" class="wide" prop:disabled=move || app.busy.get()
                    on:click=move |_| delete(app, job, event, name.clone(), open)>{tr!("Delete this photo")}</button>
            })}
        </Sheet>
    }
}

/// A photo, small.
#[component]
fn Thumb(
    job: OpenJob,
    one: PhotoTaken,
    found: RwSignal<Option<Vec<(String, String)>>>,
    large: RwSignal<Option<Large>>,
    open: RwSignal<bool>,
) -> impl IntoView {
    let now = job.get_untracked();
    let step = one.photo.step.and_then(|number| now.step(number));
    let action = step.map(|step| localize(&step.action).into_owned());
    let alt = tr!("Photo: {step}", step = action.unwrap_or_default());
    let (event, name) = (one.event, one.photo.name);
    let wanted = name.clone();
    // Whether it is loaded, and its data if it is on this device.
    let data = Slice::new(move || {
        found.with(|found| {
            let all = found.as_ref()?;
            let this = all.iter().find(|(name, _)| *name == wanted);
            Some(this.map(|(_, data)| data.clone()))
        })
    });
    rebuilt(move || {
        match data.get() {
        Some(Some(data)) => {
            let picture = (event, name.clone(), data.clone());
            view! {
                <li><button type="button" class="thumb" on:click=move |_| {
                    large.set(Some(picture.clone()));
                    open.set(true);
                }><img src=data alt=alt.clone()/></button></li>
            }
            .into_any()
        }
        Some(None) => view! { <li class="soft small">{tr!("{photo} is not on this device", photo = name)}</li> }.into_any(),
        None => view! { <li class="thumb"></li> }.into_any(),
    }
    })
}

/// Records the event first: a picture without an event is no longer part of the job, even
/// if deleting it fails.
fn delete(app: App, job: OpenJob, event: EventId, name: String, open: RwSignal<bool>) {
    let id = JobId(job.id());
    job.act(vec![EventKind::Undone { event }], move || {
        let _gone = open.try_set(false);
        spawn_local(async move {
            if let Err(error) = photos().remove(&id, &name).await {
                app.notify(true, error.to_string());
            }
        });
    });
}
