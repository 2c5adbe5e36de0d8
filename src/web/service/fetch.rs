//! Fetches files that are shipped with the app, as text.

use js_sys::Promise;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Response;

use super::browser::{self, Thrown};

/// The text of a file.
///
/// # Errors
/// Why it cannot be had, in words.
pub async fn text(address: &str) -> Result<String, String> {
    text_of(ask(address))
        .await
        .map_err(|error| error.to_string())
}

/// Requests a file at once.
///
/// # Errors
/// When the page cannot ask.
pub(super) fn ask(address: &str) -> Result<Promise, Thrown> {
    Ok(browser::window()?.fetch_with_str(address))
}

/// The text of a requested file.
///
/// # Errors
/// When it does not come.
pub(super) async fn text_of(asked: Result<Promise, Thrown>) -> Result<String, Thrown> {
    let response: Response = JsFuture::from(asked?)
        .await?
        .dyn_into()
        .map_err(|_| Thrown::from(JsValue::from("no answer")))?;
    if !response.ok() {
        let status = format!("status {}", response.status());
        return Err(JsValue::from(status).into());
    }
    let text = JsFuture::from(response.text()?).await?;
    Ok(text.as_string().unwrap_or_default())
}
