//! Texts in gzip, by the browser's own code.

use js_sys::{Array, Function, Reflect, Uint8Array};
use wasm_bindgen::{JsCast as _, JsValue};
use web_sys::Blob;

use super::browser::{self, Thrown};

/// Whether this browser can: older ones lack the streams.
pub(super) fn is_available() -> bool {
    browser::window().is_ok_and(|window| {
        let stream = Reflect::get(&window, &"CompressionStream".into());
        stream.is_ok_and(|stream| stream.is_function())
    })
}

/// Compresses a text.
///
/// # Errors
/// When this browser cannot.
pub(super) async fn compress(text: &str) -> Result<JsValue, Thrown> {
    let bytes = pass_through("CompressionStream", &text.into(), "arrayBuffer").await?;
    Ok(Uint8Array::new(&bytes).into())
}

/// The text that was compressed to this value.
///
/// # Errors
/// When the value is damaged, or this browser cannot.
pub(super) async fn decompress(value: &JsValue) -> Result<String, Thrown> {
    let text = pass_through("DecompressionStream", value, "text").await?;
    Ok(text.as_string().unwrap_or_default())
}

async fn pass_through(stream: &str, value: &JsValue, read: &str) -> Result<JsValue, Thrown> {
    // It takes texts and bytes alike.
    let blob = Blob::new_with_str_sequence(&Array::of1(value))?;
    let transform = construct(stream, &"gzip".into())?;
    let source = browser::call(&blob, "stream", &[])?;
    let piped = browser::call(&source, "pipeThrough", &[&transform])?;
    let answer = construct("Response", &piped)?;
    browser::settle(browser::call(&answer, read, &[])?).await
}

/// A new object of this class.
fn construct(class: &str, argument: &JsValue) -> Result<JsValue, Thrown> {
    let class: Function = Reflect::get(&browser::window()?.into(), &class.into())?.dyn_into()?;
    Ok(Reflect::construct(&class, &Array::of1(argument))?)
}
