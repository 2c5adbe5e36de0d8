//! Photos of a step: taken, seen small and large, deleted.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use wasm_bindgen::JsCast as _;
use web_sys::{Event, HtmlInputElement};

use crate::service::photos::{PhotoError, bytes, photos, scaled};
use crate::state::{App, app};
use crate::widgets::sheet::Sheet;
use lidoff_i18n::{localize, number, tr};
use lidoff_job::{EventId, EventKind, Job, JobId, Photo, PhotoTaken};

/// Opens the camera, or lets a picture be chosen, and keeps it with this step.
#[component]
pub fn TakePhoto(id: String, job: Arc<Job>, step: u32) -> impl IntoView {
    let app = app();
    // Event numbers are used once, so names that are made of them are, too.
    let name = job.head.map_or(0, |(head, _)| head.seq) + 1;
    let working = RwSignal::new(false);
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
        let id = id.clone();
        let name = format!("photo-{name}");
        working.set(true);
        spawn_local(async move {
            if let Err(error) = keep(app, &id, name, step, &file).await {
                app.tell(true, error.to_string());
            }
            let _gone = working.try_set(false);
        });
    };
    view! {
        <label class="button quiet file">
            <input class="hush" type="file" accept="image/*" capture="environment" id="photo"
                prop:disabled=move || working.get() on:change=take/>
            {move || if working.get() { tr!("Saving the photo") } else { tr!("Take a photo") }}
        </label>
    }
}

/// The picture first, then the event that names it: what the log names is there.
async fn keep(
    app: App,
    id: &str,
    name: String,
    step: u32,
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
    app.act_soon(id.to_owned(), vec![EventKind::PhotoTaken(photo)]);
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

/// The photos of a step, or of the whole job, small; nothing where there are
/// none.
#[component]
pub fn Photos(id: String, job: Arc<Job>, #[prop(optional)] step: Option<u32>) -> impl IntoView {
    let app = app();
    let here = |one: &&PhotoTaken| step.is_none() || one.photo.step == step;
    let named: Vec<PhotoTaken> = job.photos.iter().filter(here).cloned().collect();
    (!named.is_empty()).then(|| {
        let found = RwSignal::new(None::<Vec<(String, String)>>);
        let of = JobId(id.clone());
        spawn_local(async move {
            match photos().of_job(&of).await {
                Ok(all) => {
                    let _gone = found.try_set(Some(all));
                }
                Err(error) => app.tell(true, error.to_string()),
            }
        });
        let large = RwSignal::new(None::<(EventId, String, String)>);
        let open = RwSignal::new(false);
        let size = size_words(&named);
        let thumbs = move || {
            let row = |one: &PhotoTaken| {
                let action = one.photo.step.and_then(|number| job.step(number));
                let about = action.map(|step| localize(&step.action).into_owned()).unwrap_or_default();
                let shown = found.with(|found| {
                    let mut all = found.as_ref()?.iter();
                    all.find(|(name, _)| *name == one.photo.name).cloned()
                });
                let event = one.event;
                match shown {
                    Some((name, data)) => {
                        let alt = tr!("Photo: {step}", step = about);
                        let picture = (event, name, data.clone());
                        view! {
                            <li><button type="button" class="thumb" on:click=move |_| {
                                large.set(Some(picture.clone()));
                                open.set(true);
                            }><img src=data alt=alt/></button></li>
                        }
                        .into_any()
                    }
                    None if found.with(Option::is_none) => view! { <li class="thumb"></li> }.into_any(),
                    None => view! { <li class="soft small">{tr!("{photo} is not on this device", photo = one.photo.name)}</li> }.into_any(),
                }
            };
            named.iter().map(row).collect::<Vec<_>>()
        };
        let id = StoredValue::new(id);
        view! {
            <section class="sheet" aria-label=tr!("Photos")>
                <p class="soft">{size}</p>
                <ul class="thumbs">{thumbs}</ul>
            </section>
            <Sheet open title=tr!("Photo")>
                {move || large.get().map(|(event, name, data)| view! {
                    <img class="large" src=data alt=name.clone()/>
                    <button type="button" class="wide" prop:disabled=move || app.busy.get()
                        on:click=move |_| delete(app, id.get_value(), event, name.clone(), open)>{tr!("Delete this photo")}</button>
                })}
            </Sheet>
        }
    })
}

/// The event first: a picture without one is no longer part of the job, whatever
/// becomes of it.
fn delete(app: App, id: String, event: EventId, name: String, open: RwSignal<bool>) {
    let job = JobId(id.clone());
    app.act(&id, vec![EventKind::Undone { event }], move || {
        let _gone = open.try_set(false);
        spawn_local(async move {
            if let Err(error) = photos().remove(&job, &name).await {
                app.tell(true, error.to_string());
            }
        });
    });
}
