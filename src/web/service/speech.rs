//! Reads aloud (Web Speech API) with on-device voices only: a server voice would need a
//! network and would send the text off the device.

use js_sys::{Array, Function, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use web_sys::EventTarget;

use super::browser::{self, Thrown};
use lidoff_i18n::tr;

fn synth() -> Result<JsValue, Thrown> {
    let window = browser::window()?;
    Ok(Reflect::get(&window, &"speechSynthesis".into())?)
}

/// The page's language: "en-GB".
fn language() -> String {
    let page = browser::document()
        .ok()
        .and_then(|page| page.document_element());
    page.and_then(|root| root.get_attribute("lang"))
        .unwrap_or_default()
}

/// The voice: on this device, in the page's language, preferably of the same country.
fn voice() -> Option<JsValue> {
    let voices = browser::call(&synth().ok()?, "getVoices", &[]).ok()?;
    let wanted = language().to_lowercase();
    let text = |voice: &JsValue| {
        let lang = Reflect::get(voice, &"lang".into()).ok()?.as_string()?;
        // Some systems write "en_GB".
        Some(lang.to_lowercase().replace('_', "-"))
    };
    let near = |lang: &str| lang.split('-').next() == wanted.split('-').next();
    let mut here: Vec<(bool, JsValue)> = Array::from(&voices)
        .iter()
        .filter(|voice| Reflect::get(voice, &"localService".into()).is_ok_and(|it| it.is_truthy()))
        .filter_map(|voice| text(&voice).map(|lang| (lang, voice)))
        .filter(|(lang, _)| near(lang))
        .map(|(lang, voice)| (lang == wanted, voice))
        .collect();
    let best = here.iter().position(|(same, _)| *same).unwrap_or(0);
    (!here.is_empty()).then(|| here.swap_remove(best).1)
}

/// Whether there is a voice to read with.
pub fn can() -> bool {
    voice().is_some()
}

/// Calls this whenever the list of voices changes: in many browsers it is empty when the
/// page starts.
pub fn when_voices_change(then: impl FnMut() + 'static) {
    if let Ok(synth) = synth()
        && let Ok(target) = synth.dyn_into::<EventTarget>()
    {
        browser::listen(&target, "voiceschanged", then);
    }
}

/// Reads this, and stops what was being read; `over` is called when it is at its
/// end, or was stopped.
///
/// # Errors
/// Why it cannot be read.
pub fn say(text: &str, over: impl FnOnce() + 'static) -> Result<(), String> {
    speak(text, over).map_err(|thrown| thrown.to_string())
}

fn speak(text: &str, over: impl FnOnce() + 'static) -> Result<(), Thrown> {
    let synth = synth()?;
    browser::call(&synth, "cancel", &[])?;
    let window = browser::window()?;
    let make: Function = Reflect::get(window.as_ref(), &"SpeechSynthesisUtterance".into())?
        .dyn_into()
        .map_err(|_| Thrown::from(JsValue::from(tr!("this browser cannot read aloud"))))?;
    let utterance = Reflect::construct(&make, &Array::of1(&text.into()))?;
    let voice = voice().unwrap_or(JsValue::NULL);
    Reflect::set(&utterance, &"voice".into(), &voice)?;
    Reflect::set(&utterance, &"lang".into(), &language().into())?;
    // Called once, when reading ends or fails.
    let over = Closure::once_into_js(over);
    Reflect::set(&utterance, &"onend".into(), &over)?;
    browser::call(&synth, "speak", &[&utterance])?;
    Ok(())
}

/// Stops reading.
pub fn stop() {
    if let Ok(synth) = synth() {
        // Without speech there is nothing to stop.
        let _quiet = browser::call(&synth, "cancel", &[]);
    }
}
