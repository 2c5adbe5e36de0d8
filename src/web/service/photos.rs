//! Photos of a job, in a separate database: whatever happens to them, the job's log is
//! not affected, and none of them is put into local storage.
//!
//! The database is built like the [journal](super::journal): key `[job, photo]`,
//! value the picture as a `data:` address, as the report holds it.

use std::fmt;

use js_sys::Reflect;
use wasm_bindgen::{JsCast as _, JsValue};
use web_sys::File;

use super::browser::{self, Thrown};
use super::journal::{Journal, JournalError};
use super::store::Record;
use lidoff_i18n::tr;
use lidoff_job::JobId;
use lidoff_limits::{PHOTO, megabytes};

/// Name of the database.
pub const NAME: &str = "lidoff-photos";

/// The longer side of a photo that is kept, pixels: a label of 5 mm height can
/// be read on a photo of a whole kiosk side. Common practice, no source.
const LONGEST: f64 = 1280.0;
/// JPEG quality, 0 to 1.
const QUALITY: f64 = 0.75;

/// Why a photo was not saved, or is not on this device.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum PhotoError {
    /// This browser cannot read the picture.
    Unreadable(String),
    /// The device is out of space.
    Full,
    /// The database failed.
    Store(JournalError),
}

impl fmt::Display for PhotoError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&match self {
            Self::Unreadable(why) => tr!(
                "The browser cannot read this picture ({why}). Take it again.",
                why = why
            ),
            Self::Full => tr!(
                "This device is out of space for photos. This photo was not saved; the job and earlier photos are safe. Delete some photos, or free some storage."
            ),
            Self::Store(why) => tr!(
                "The photo was not saved; the job is not affected. {why}",
                why = why
            ),
        })
    }
}

impl std::error::Error for PhotoError {}

impl From<JournalError> for PhotoError {
    fn from(error: JournalError) -> Self {
        match error {
            JournalError::Full => Self::Full,
            error => Self::Store(error),
        }
    }
}

impl From<Thrown> for PhotoError {
    fn from(thrown: Thrown) -> Self {
        Self::Unreadable(thrown.to_string())
    }
}

impl From<JsValue> for PhotoError {
    fn from(error: JsValue) -> Self {
        Thrown::from(error).into()
    }
}

/// The photos of all jobs; clones share one connection.
#[derive(Clone)]
pub struct Photos(Journal);

thread_local! {
    static SHARED: Photos = Photos::new(NAME);
}

/// The photos on this device.
pub fn photos() -> Photos {
    SHARED.with(Clone::clone)
}

impl Photos {
    /// The photos in the database with this name; [`NAME`] except in tests.
    pub fn new(name: &str) -> Self {
        Self(Journal::new(name))
    }

    /// Saves a photo.
    ///
    /// # Errors
    /// When it is not kept; the others are as they were.
    pub async fn keep(&self, job: &JobId, name: &str, data: &str) -> Result<(), PhotoError> {
        Ok(self.0.append(job, name, data).await?)
    }

    /// Every photo of a job that is on this device: name and picture.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn of_job(&self, job: &JobId) -> Result<Vec<(String, String)>, PhotoError> {
        let all = self.0.load(job).await?;
        Ok(all.into_iter().map(|one| (one.key, one.text)).collect())
    }

    /// Deletes a photo.
    ///
    /// # Errors
    /// When it is not deleted.
    pub async fn remove(&self, job: &JobId, name: &str) -> Result<(), PhotoError> {
        Ok(self.0.remove(job, name).await?)
    }

    /// Deletes every photo.
    ///
    /// # Errors
    /// When they are not deleted.
    pub async fn clear(&self) -> Result<(), PhotoError> {
        Ok(self.0.clear(Vec::new(), 0).await?)
    }

    /// Every photo on this device: job, name and picture.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn all(&self) -> Result<Vec<(JobId, String, String)>, PhotoError> {
        let all = self.0.load_all().await?;
        let photo = |one: Record| (one.job, one.key, one.text);
        Ok(all.into_iter().map(photo).collect())
    }

    /// Adds photos from a file, all or none. Those that are here stay.
    ///
    /// # Errors
    /// When none is kept.
    pub async fn take_in(&self, all: Vec<(JobId, String, String)>) -> Result<(), PhotoError> {
        let known = self.0.load_all().await?;
        let is_new = |one: &Record| {
            let mut known = known.iter();
            !known.any(|known| known.job == one.job && known.key == one.key)
        };
        let photo = |(job, key, text)| Record { job, key, text };
        let new = all.into_iter().map(photo).filter(is_new).collect();
        Ok(self.0.append_many(new).await?)
    }

    /// Deletes every photo of a job.
    ///
    /// # Errors
    /// When they are not deleted.
    pub async fn forget(&self, job: &JobId) -> Result<(), PhotoError> {
        Ok(self.0.forget(job).await?)
    }
}

/// A picture in its stored form: scaled down, upright, as a `data:` address. It is drawn
/// anew, so it holds no data on place, time or device of the file (Exif).
///
/// # Errors
/// When it cannot be read as a picture.
pub async fn scaled(file: &File) -> Result<String, PhotoError> {
    if file.size() > PHOTO as f64 {
        let most = megabytes(PHOTO);
        return Err(PhotoError::Unreadable(tr!(
            "it is larger than the limit of {most} MB",
            most
        )));
    }
    let window = browser::window()?;
    let read = browser::call(&window, "createImageBitmap", &[file])?;
    let picture = browser::settle(read).await?;
    let side = |name: &str| -> Result<f64, PhotoError> {
        let side = Reflect::get(&picture, &name.into())?;
        Ok(side.as_f64().unwrap_or_default().max(1.0))
    };
    let (width, height) = (side("width")?, side("height")?);
    let scale = (LONGEST / width.max(height)).min(1.0);
    let width = JsValue::from((width * scale).round());
    let height = JsValue::from((height * scale).round());
    let canvas: JsValue = browser::document()?
        .create_element("canvas")?
        .unchecked_into();
    Reflect::set(&canvas, &"width".into(), &width)?;
    Reflect::set(&canvas, &"height".into(), &height)?;
    let pen = browser::call(&canvas, "getContext", &[&"2d".into()])?;
    let zero = JsValue::from(0);
    browser::call(
        &pen,
        "drawImage",
        &[&picture, &zero, &zero, &width, &height],
    )?;
    // Free the memory of a picture of twelve million pixels now, not at the next garbage collection.
    browser::call(&picture, "close", &[])?;
    let kind = "image/jpeg".into();
    let data = browser::call(&canvas, "toDataURL", &[&kind, &QUALITY.into()])?;
    let data = data.as_string().unwrap_or_default();
    if data.starts_with("data:image/jpeg;") {
        Ok(data)
    } else {
        Err(PhotoError::Unreadable(tr!("the picture is empty")))
    }
}

/// Size of a picture that is given as a `data:` address, bytes (RFC 4648: four
/// letters for three bytes, padded at the end).
pub fn bytes(data: &str) -> u32 {
    let coded = data.split_once(',').map_or("", |(_, coded)| coded);
    let letters = coded.trim_end_matches('=').len();
    u32::try_from(letters * 3 / 4).unwrap_or(u32::MAX)
}
