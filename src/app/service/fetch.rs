//! Files that come with the app, as text.

use js_sys::Promise;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::Response;

use super::browser::{self, Thrown};

/// Sends for a file; it is on its way from now on.
///
/// # Errors
/// When the page cannot ask.
pub fn ask(address: &str) -> Result<Promise, Thrown> {
    Ok(browser::window()?.fetch_with_str(address))
}

/// The text of what was sent for.
///
/// # Errors
/// When it does not come.
pub async fn text_of(asked: Result<Promise, Thrown>) -> Result<String, Thrown> {
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
