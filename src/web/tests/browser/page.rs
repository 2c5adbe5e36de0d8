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

fn prototype(class: &str) -> JsValue {
    let class = Reflect::get(&window(), &class.into()).expect("a class");
    Reflect::get(&class, &"prototype".into()).expect("a prototype")
}

/// Notes the mode and the durability of every transaction that is asked for.
pub fn watch_transactions(asked: &js_sys::Array) -> Bent {
    let database = prototype("IDBDatabase");
    let real = Reflect::get(&database, &"transaction".into()).expect("a method");
    let make = Function::new_with_args(
        "real, asked",
        "return function (stores, mode, options) {
            const begun = real.call(this, stores, mode, options);
            asked.push(begun.mode + ' ' + begun.durability);
            return begun;
        }",
    );
    let watch = make
        .call2(&JsValue::NULL, &real, asked)
        .expect("a function");
    bend(&database, "transaction", &watch)
}

/// Makes the so-manieth `add` from now on throw this error, from 0.
pub fn fail_add(nth: u32, error: &str) -> Bent {
    fail_method("add", nth, error)
}

/// Makes the so-manieth call of this method of an object store throw this error, from 0.
pub fn fail_method(method: &str, nth: u32, error: &str) -> Bent {
    let store = prototype("IDBObjectStore");
    let real = Reflect::get(&store, &method.into()).expect("a method");
    let make = Function::new_with_args(
        "real, nth, error",
        "let left = nth;
        return function (value, key) {
            if (left-- === 0) throw new DOMException('for this test', error);
            return real.call(this, value, key);
        }",
    );
    let fail = make
        .call3(&JsValue::NULL, &real, &nth.into(), &error.into())
        .expect("a function");
    bend(&store, method, &fail)
}

/// Makes the journal as the first version had it, with one record.
pub async fn make_first_journal(job: &JobId, key: &str, text: &str) {
    let make = Function::new_with_args(
        "name, job, key, text",
        "return new Promise((resolve, reject) => {
            const request = indexedDB.open(name, 1);
            request.onupgradeneeded = () => {
                for (const name of ['events', 'aside', 'catalogs']) {
                    request.result.createObjectStore(name);
                }
                request.transaction.objectStore('events').put(text, [job, key]);
            };
            request.onsuccess = () => { request.result.close(); resolve(); };
            request.onerror = reject;
        })",
    );
    let arguments = js_sys::Array::of4(
        &journal::NAME.into(),
        &job.as_str().into(),
        &key.into(),
        &text.into(),
    );
    let made = Reflect::apply(&make, &JsValue::NULL, &arguments).expect("asked");
    JsFuture::from(Promise::resolve(&made)).await.expect("made");
}

/// Damages what is archived of a job.
pub async fn damage_archive(job: &JobId) {
    let factory = window().indexed_db().expect("allowed").expect("there");
    let request = factory.open(journal::NAME).expect("asked");
    done(&request).await;
    let put = Function::new_with_args(
        "database, job",
        "const archive = database.transaction('archive', 'readwrite').objectStore('archive');
        database.close();
        return archive.put(new Uint8Array([31, 139, 8, 0]), job)",
    );
    let database = request.result().expect("open");
    let put = put.call2(&JsValue::NULL, &database, &job.as_str().into());
    done(put.expect("asked").unchecked_ref()).await;
}

/// A transaction of another connection that goes on and on; the others wait.
pub struct BusyDatabase(Function);

/// Begins one.
pub async fn keep_database_busy() -> BusyDatabase {
    let factory = window().indexed_db().expect("allowed").expect("there");
    let request = factory.open(journal::NAME).expect("asked");
    done(&request).await;
    let begin = Function::new_with_args(
        "database",
        "const begun = database.transaction(['events'], 'readwrite');
        let ends = false;
        const over = new Promise((resolve) => {
            begun.oncomplete = () => { database.close(); resolve(); };
        });
        const ask = () => {
            if (!ends) begun.objectStore('events').count().onsuccess = ask;
        };
        ask();
        return () => { ends = true; return over; };",
    );
    let end = begin
        .call1(&JsValue::NULL, &request.result().expect("open"))
        .expect("begun");
    BusyDatabase(end.unchecked_into())
}

impl BusyDatabase {
    /// Ends it, and waits for what waited for it.
    pub async fn end(self) {
        let over: Promise = self
            .0
            .call0(&JsValue::NULL)
            .expect("called")
            .unchecked_into();
        JsFuture::from(over).await.expect("complete");
        pass(200).await;
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
