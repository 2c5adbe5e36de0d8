//! A short beep and a vibration for urgent events. They are never the only sign: a
//! browser may block both, and the technician may turn the beep off. The screen always
//! shows the event too.

use std::cell::RefCell;

use js_sys::{Array, Function, Reflect};
use wasm_bindgen::{JsCast as _, JsValue};

use super::browser::{self, Thrown};
use super::preferences::{self, Switch};

/// Length of the beep, s.
const BEEP_S: f64 = 0.5;

thread_local! {
    static SOUNDED: RefCell<Vec<String>> = RefCell::default();
    static SPEAKER: RefCell<Option<JsValue>> = RefCell::default();
}

/// Beeps and vibrates once for each name in this run of the app.
pub fn once(name: String) {
    let new = SOUNDED.with_borrow_mut(|all| {
        let new = !all.contains(&name);
        if new {
            all.push(name);
        }
        new
    });
    if new {
        // A blocked sound is not heard; the screen still shows the event.
        if preferences::is_on(Switch::Beep) {
            let _silent = beep();
        }
        let _still = buzz();
    }
}

fn beep() -> Result<(), Thrown> {
    let speaker = match SPEAKER.with_borrow(Option::clone) {
        Some(speaker) => speaker,
        None => {
            let window = browser::window()?;
            let make: Function = Reflect::get(&window, &"AudioContext".into())?.unchecked_into();
            let speaker = Reflect::construct(&make, &Array::new())?;
            SPEAKER.set(Some(speaker.clone()));
            speaker
        }
    };
    let tone = browser::call(&speaker, "createOscillator", &[])?;
    let out = Reflect::get(&speaker, &"destination".into())?;
    let now = Reflect::get(&speaker, &"currentTime".into())?;
    browser::call(&tone, "connect", &[&out])?;
    browser::call(&tone, "start", &[])?;
    let end = now.as_f64().unwrap_or_default() + BEEP_S;
    browser::call(&tone, "stop", &[&end.into()])?;
    Ok(())
}

fn buzz() -> Result<(), Thrown> {
    let navigator = browser::window()?.navigator();
    // Before the first tap on a page, vibration is blocked with a warning.
    let tapped = browser::of_navigator("userActivation");
    let tapped = tapped.and_then(|it| Reflect::get(&it, &"hasBeenActive".into()).ok());
    if tapped.is_some_and(|it| it.is_falsy()) {
        return Ok(());
    }
    let pattern = Array::of3(&300.into(), &150.into(), &300.into());
    browser::call(&navigator, "vibrate", &[&pattern])?;
    Ok(())
}
