//! Files: save, share, open.
//!
//! Each of these must be called directly in the tap handler, before anything is
//! awaited: a browser opens a file chooser or a share sheet only in response to a tap.

use std::cell::RefCell;
use std::fmt;
use std::rc::Rc;

use js_sys::{Array, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Blob, BlobPropertyBag, File, FilePropertyBag, HtmlElement, HtmlInputElement, Url};

use super::browser::{self, Thrown};
use lidoff_i18n::{number, tr, tr_noop};
use lidoff_limits::{LARGEST_FILE, megabytes};

/// Why a file could not be saved or opened.
#[derive(Clone, Debug, PartialEq)]
pub enum FileError {
    /// The browser refused.
    Refused(String),
    /// It is larger than any file that Lidoff writes.
    TooLarge {
        /// Its name.
        name: String,
        /// Its size, bytes.
        bytes: f64,
    },
}

impl fmt::Display for FileError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Refused(why) => f.write_str(&tr!(
                "The browser did not accept the file ({why}). Try again, or save it another way.",
                why
            )),
            Self::TooLarge { name, bytes } => f.write_str(&tr!(
                "“{name}” is {size} MB. The limit is {most} MB. Choose a smaller file.",
                name,
                size = number(bytes / 1e6, 1),
                most = megabytes(LARGEST_FILE)
            )),
        }
    }
}

impl std::error::Error for FileError {}

impl From<Thrown> for FileError {
    fn from(thrown: Thrown) -> Self {
        Self::Refused(thrown.to_string())
    }
}

impl From<JsValue> for FileError {
    fn from(error: JsValue) -> Self {
        Thrown::from(error).into()
    }
}

/// The outcome of sharing.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Shared {
    /// It was shared as the user chose.
    Sent,
    /// It was saved to a file, because this browser cannot share files.
    Saved,
    /// It was copied to the clipboard, because it could not be saved to a file.
    Copied,
    /// The user cancelled.
    Cancelled,
}

/// A file that the user chose.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Chosen {
    /// Its name.
    pub name: String,
    /// Its text.
    pub text: String,
}

/// How long a saved file stays readable for the browser, ms.
const UNTIL_SAVED_MS: i32 = 60_000;

/// Saves a text to a file.
///
/// # Errors
/// When the browser does not take it.
pub fn save(name: &str, mime: &str, text: &str) -> Result<(), FileError> {
    let options = BlobPropertyBag::new();
    options.set_type(mime);
    let parts = Array::of1(&text.into());
    let blob = Blob::new_with_str_sequence_and_options(&parts, &options)?;
    let url = Url::create_object_url_with_blob(&blob)?;
    let link: HtmlElement = browser::document()?.create_element("a")?.unchecked_into();
    link.set_attribute("href", &url)?;
    link.set_attribute("download", name)?;
    link.click();
    let free = Closure::once_into_js(move || {
        // At worst, the text stays in memory until the page is closed.
        let _freed = Url::revoke_object_url(&url);
    });
    browser::after(UNTIL_SAVED_MS, free.unchecked_ref());
    Ok(())
}

/// Shares a text as a file. JSON is shared as `.txt`, because browsers refuse `.json`. If
/// it cannot be shared, it is saved or copied.
pub fn share(
    title: &str,
    name: &str,
    mime: &str,
    text: &str,
) -> impl Future<Output = Result<Shared, FileError>> + use<> {
    // Must be called in the tap handler.
    let asked = ask_to_share(title, name, text);
    let (name, mime, text) = (name.to_owned(), mime.to_owned(), text.to_owned());
    async move {
        let refused = match asked {
            Ok(asked) => match browser::settle(asked).await {
                Ok(_) => return Ok(Shared::Sent),
                Err(thrown) if thrown.name == "AbortError" => return Ok(Shared::Cancelled),
                Err(thrown) => thrown,
            },
            Err(thrown) => thrown,
        };
        if save(&name, &mime, &text).is_ok() {
            return Ok(Shared::Saved);
        }
        let Some(clipboard) = browser::of_navigator("clipboard") else {
            return Err(refused.into());
        };
        let copied = browser::call(&clipboard, "writeText", &[&text.into()])?;
        browser::settle(copied).await?;
        Ok(Shared::Copied)
    }
}

fn ask_to_share(title: &str, name: &str, text: &str) -> Result<JsValue, Thrown> {
    let options = FilePropertyBag::new();
    options.set_type("text/plain");
    let name = match name.strip_suffix(".txt") {
        Some(_) => name.to_owned(),
        None => format!("{name}.txt"),
    };
    let parts = Array::of1(&text.into());
    let file = File::new_with_str_sequence_and_options(&parts, &name, &options)?;
    let what = Object::new();
    Reflect::set(&what, &"title".into(), &title.into())?;
    Reflect::set(&what, &"files".into(), &Array::of1(&file))?;
    let navigator = browser::window()?.navigator();
    let can = browser::call(&navigator, "canShare", &[&what])?;
    if !can.is_truthy() {
        return Err(JsValue::from(tr_noop!("this browser cannot share this kind of file")).into());
    }
    browser::call(&navigator, "share", &[&what])
}

/// Lets the user choose a file; `None` if they choose none. `accept` is a list of
/// extensions (".json,.txt").
pub fn open(accept: &str) -> impl Future<Output = Result<Option<Chosen>, FileError>> + use<> {
    let asked = ask_for_file(accept);
    async move {
        let (input, answered) = asked?;
        let answered = JsFuture::from(answered).await;
        input.remove();
        answered?;
        let Some(file) = input.files().and_then(|files| files.get(0)) else {
            return Ok(None);
        };
        read(&file).await.map(Some)
    }
}

/// Reads a file, however it came (chosen, dropped).
///
/// # Errors
/// When it is too large or cannot be read.
pub async fn read(file: &File) -> Result<Chosen, FileError> {
    let name = file.name();
    let bytes = file.size();
    // Each kind of file has its own limit, which may be lower.
    if bytes > LARGEST_FILE as f64 {
        return Err(FileError::TooLarge { name, bytes });
    }
    let text = JsFuture::from(file.text()).await?;
    let text = text.as_string().unwrap_or_default();
    Ok(Chosen { name, text })
}

fn ask_for_file(accept: &str) -> Result<(HtmlInputElement, Promise), FileError> {
    let page = browser::document()?;
    let input: HtmlInputElement = page.create_element("input")?.unchecked_into();
    input.set_type("file");
    input.set_accept(accept);
    input.set_hidden(true);
    // Some browsers forget an input that is not on the page.
    if let Some(body) = page.body() {
        body.append_child(&input)?;
    }
    let failed = Rc::new(RefCell::new(None));
    let answered = Promise::new(&mut |resolve, _| {
        for event in ["change", "cancel"] {
            if let Err(error) = input.add_event_listener_with_callback(event, &resolve) {
                failed.replace(Some(error));
            }
        }
    });
    if let Some(error) = failed.take() {
        return Err(error.into());
    }
    input.click();
    Ok((input, answered))
}
