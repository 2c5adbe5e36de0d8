//! Work in slices: planning runs on the page's own thread, with a turn for the page
//! after each slice, so that the screen never waits for a plan.

use std::pin::Pin;
use std::task::{Context, Poll};

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::JsValue;
use wasm_bindgen_futures::JsFuture;

use super::browser;
use lidoff_planner::progress::{Control, Progress, ProgressHandler};

/// Length of a slice, ms: well below one frame at 60 Hz.
const SLICE_MS: f64 = 8.0;
/// Work shorter than this shows no progress, ms.
const SHORT_MS: f64 = 400.0;

/// Whether the page wants unfinished work to continue.
pub enum Wish {
    /// Continue.
    On,
    /// Use the best result so far.
    Enough,
}

/// Gets the progress once the work takes long; returns whether to continue.
type Report = dyn FnMut(Option<&Progress>) -> Wish;

/// Runs work in slices, with a turn for the page between them.
pub struct Turns {
    slice_ms: f64,
}

impl Turns {
    /// Starts the first slice.
    pub fn begin() -> Self {
        Self { slice_ms: now_ms() }
    }

    /// Gives the page its turn if the slice is over.
    pub async fn turn(&mut self) {
        if now_ms() - self.slice_ms >= SLICE_MS {
            turn().await;
            self.slice_ms = now_ms();
        }
    }
}

/// The progress handler of the planner in the browser: it works in slices.
pub struct TimeSlicer {
    begun_ms: f64,
    turns: Turns,
    resting: Option<JsFuture>,
    report: Box<Report>,
}

impl TimeSlicer {
    /// The callback is called after each slice. It gets the progress once the work has
    /// taken a while.
    pub fn new(report: impl FnMut(Option<&Progress>) -> Wish + 'static) -> Self {
        Self {
            begun_ms: now_ms(),
            turns: Turns::begin(),
            resting: None,
            report: Box::new(report),
        }
    }

    /// Gives the page its turn if the slice is over. Call it between two plans.
    pub async fn turn(&mut self) {
        self.turns.turn().await;
    }
}

impl ProgressHandler for TimeSlicer {
    fn ask(&mut self, progress: &Progress, context: &mut Context<'_>) -> Poll<Control> {
        let now = now_ms();
        let is_long = now - self.begun_ms >= SHORT_MS;
        if let Some(resting) = &mut self.resting {
            if Pin::new(resting).poll(context).is_pending() {
                return Poll::Pending;
            }
            self.resting = None;
            self.turns.slice_ms = now;
            let wish = (self.report)(is_long.then_some(progress));
            return Poll::Ready(match wish {
                Wish::Enough => Control::Stop,
                Wish::On if is_long && progress.best.is_none() => Control::FindPlan,
                Wish::On => Control::Continue,
            });
        }
        if now - self.turns.slice_ms < SLICE_MS {
            return Poll::Ready(Control::Continue);
        }
        self.resting = Some(page_turn());
        self.ask(progress, context)
    }
}

fn now_ms() -> f64 {
    let performance = browser::window().ok().and_then(|it| it.performance());
    performance.map_or_else(js_sys::Date::now, |clock| clock.now())
}

/// Waits until the page has drawn a frame, or a little while if the page is hidden and
/// draws none.
pub async fn frame() {
    let drawn = Promise::new(&mut |done: Function, _| {
        if let Ok(window) = browser::window() {
            // If this fails, the timer below still fires.
            let _asked = window.request_animation_frame(&done);
        }
        browser::after(200, &done);
    });
    // The promise is never rejected; a failed turn is only less smooth.
    let _drawn = JsFuture::from(drawn).await;
    let _turned = page_turn().await;
}

/// Gives the page its turn.
pub async fn turn() {
    // A turn that never comes would be waited for in vain; no turn is only less
    // smooth.
    let _turned = page_turn().await;
}

/// Waits until the page has had its turn, in the order in which all other tasks wait.
fn page_turn() -> JsFuture {
    // Newer browsers have a function that resumes sooner than a timer.
    let scheduler = browser::window()
        .ok()
        .and_then(|window| Reflect::get(&window, &JsValue::from_str("scheduler")).ok())
        .filter(|scheduler| !scheduler.is_undefined());
    JsFuture::from(Promise::new(&mut |done: Function, _| {
        let asked = scheduler
            .as_ref()
            .and_then(|scheduler| browser::call(scheduler, "postTask", &[&done]).ok());
        if asked.is_none() {
            browser::after(0, &done);
        }
    }))
}
