//! The page that the tests run in: emptied before each, bent where a test needs
//! it otherwise, and straightened after it.

use js_sys::{Function, Object, Promise, Reflect};
use lidoff_job::{Event, EventId, EventKind, JobId, Opened, Outcome, UnitRef};
use lidoff_web::service::clock;
use lidoff_web::service::journal::{self, Journal};
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;

pub fn window() -> web_sys::Window {
    web_sys::window().expect("a browser has a window")
}

pub fn storage() -> web_sys::Storage {
    window().local_storage().expect("allowed").expect("there")
}

/// A page without records, now and when the test is over, however it ends.
pub struct Fresh;

/// Empties the page of records.
pub async fn fresh() -> Fresh {
    storage().clear().expect("cleared");
    delete_database().await;
    Fresh
}

impl Drop for Fresh {
    fn drop(&mut self) {
        storage().clear().expect("cleared");
    }
}

/// Removes the journal's database.
pub async fn delete_database() {
    let factory = window().indexed_db().expect("allowed").expect("there");
    let request = factory.delete_database(journal::NAME).expect("asked");
    done(&request).await;
}

/// Waits for a request.
pub async fn done(request: &web_sys::IdbRequest) {
    let end = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
    });
    JsFuture::from(end).await.expect("the request succeeds");
}

/// A member of an object, made otherwise until this is dropped.
pub struct Bent {
    object: JsValue,
    name: JsValue,
    before: JsValue,
}

/// Gives an object a member of its own.
pub fn bend(object: &JsValue, name: &str, value: &JsValue) -> Bent {
    let description = Object::new();
    set(&description, "value", value);
    bend_as(object, name, &description)
}

/// Makes reading a member run this JavaScript.
pub fn bend_reading(object: &JsValue, name: &str, script: &str) -> Bent {
    let description = Object::new();
    set(&description, "get", &Function::new_no_args(script));
    bend_as(object, name, &description)
}

fn bend_as(object: &JsValue, name: &str, description: &Object) -> Bent {
    set(description, "configurable", &JsValue::TRUE);
    let object: &Object = object.unchecked_ref();
    let name = JsValue::from(name);
    let before = Object::get_own_property_descriptor(object, &name);
    Object::define_property(object, &name, description);
    Bent {
        object: object.into(),
        name,
        before,
    }
}

impl Drop for Bent {
    fn drop(&mut self) {
        let object: &Object = self.object.unchecked_ref();
        if self.before.is_undefined() {
            Reflect::delete_property(object, &self.name).expect("configurable");
        } else {
            Object::define_property(object, &self.name, self.before.unchecked_ref());
        }
    }
}

pub fn set(object: &Object, name: &str, value: &JsValue) {
    Reflect::set(object, &name.into(), value).expect("an object takes a member");
}

/// Waits.
pub async fn pass(ms: i32) {
    let end = Promise::new(&mut |resolve, _| {
        window()
            .set_timeout_with_callback_and_timeout_and_arguments_0(&resolve, ms)
            .expect("a timer");
    });
    JsFuture::from(end).await.expect("time passes");
}

/// Waits until this is so; the test ends if it never is.
pub async fn until(what: &str, so: impl Fn() -> bool) {
    for _ in 0..200 {
        if so() {
            return;
        }
        pass(10).await;
    }
    panic!("it never came to be that {what}");
}

pub fn journal() -> Journal {
    Journal::new(journal::NAME)
}

pub fn job(id: &str) -> JobId {
    JobId(id.to_owned())
}

pub fn event(seq: u32, kind: EventKind) -> Event {
    let at = clock::now();
    let id = EventId { seq, run: at.run };
    Event { id, at, kind }
}

pub fn opened() -> Event {
    let unit = UnitRef {
        id: "perch-22".to_owned(),
        name: "Perch 22".to_owned(),
        revision: "1".to_owned(),
    };
    event(
        0,
        EventKind::Opened(Opened {
            unit,
            reference: "TM-0001".to_owned(),
            site: String::new(),
            technician: String::new(),
            setup: Default::default(),
            tasks: Vec::new(),
            leave_by_ms: None,
            follows: None,
        }),
    )
}

pub fn note(seq: u32, text: &str) -> Event {
    let text = text.to_owned();
    event(seq, EventKind::Note { text, step: None })
}

pub fn closed(seq: u32) -> Event {
    let note = String::new();
    let outcome = Outcome::Complete;
    event(seq, EventKind::Closed { outcome, note })
}
