//! The journal: every event of every job, in IndexedDB, where it survives a
//! browser that is killed.
//!
//! Object store `events`: key `[job, event]`, value the event as JSON. `quarantine`:
//! key `[job, event, ms]`, unreadable records. `catalogs`: key the file name, value its
//! text. A write is started in the same tap that requests it, and is done when its
//! transaction is complete; a write that was reported as failed was not done. If the
//! connection was lost (another version of the app needs the database, or the system
//! closed it in the background), it is opened again once before a write is reported as
//! failed.

use std::cell::{Cell, RefCell};
use std::fmt;
use std::rc::Rc;

use js_sys::{Array, Function, Object, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{
    Event, IdbDatabase, IdbKeyRange, IdbObjectStore, IdbOpenDbRequest, IdbRequest, IdbTransaction,
};

use lidoff_i18n::tr;

use super::browser::{self, Thrown};
use super::quarantine::Note;
use super::store::Record;
use lidoff_job::JobId;

/// Name of the database.
pub const NAME: &str = "lidoff";
const VERSION: u32 = 1;

pub(super) const EVENTS: &str = "events";
pub(super) const QUARANTINE: &str = "aside";
pub(super) const CATALOGS: &str = "catalogs";

/// Timeout for an answer of the browser's database, ms.
const PATIENCE_MS: i32 = 6_000;
/// How long a database that timed out is not asked again, ms.
const LEFT_ALONE_MS: f64 = 60_000.0;

/// Why an operation on the journal failed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum JournalError {
    /// The browser has no IndexedDB, or none for this page.
    Denied(String),
    /// An older version of the app is open in another tab.
    Blocked,
    /// The database is of a newer version of the app.
    Newer,
    /// The device is out of space.
    Full,
    /// The database timed out. The operation was cancelled.
    Silent,
    /// A different event is stored under this key. Nothing was written.
    Taken(String),
    /// Something else.
    Other(String),
}

impl fmt::Display for JournalError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Denied(why) => f.write_str(&tr!(
                "Lidoff cannot use a database in this browser ({why}). Leave private browsing, or allow this page to store data.",
                why
            )),
            Self::Blocked => f.write_str(&tr!(
                "An older version of Lidoff is open in another tab. Close that tab, then reload this one."
            )),
            Self::Newer => f.write_str(&tr!(
                "The records were saved by a newer version of Lidoff. Reload to update."
            )),
            Self::Full => f.write_str(&tr!(
                "This device is out of space for records. Free some storage, or share finished jobs and remove them."
            )),
            Self::Silent => f.write_str(&tr!(
                "The browser's database does not respond. Close Lidoff's other tabs and reload. If that does not help, restart the browser."
            )),
            Self::Taken(key) => f.write_str(&tr!(
                "The browser's database already has another entry {key}. Nothing was overwritten.",
                key
            )),
            Self::Other(why) => f.write_str(&tr!(
                "The browser's database failed ({why}). Share the job now, then reload.",
                why
            )),
        }
    }
}

impl std::error::Error for JournalError {}

impl From<Thrown> for JournalError {
    fn from(thrown: Thrown) -> Self {
        match thrown.name.as_str() {
            "QuotaExceededError" => Self::Full,
            "ConstraintError" => Self::Taken(String::new()),
            "VersionError" => Self::Newer,
            "SecurityError" => Self::Denied(thrown.to_string()),
            _ => Self::Other(thrown.to_string()),
        }
    }
}

impl From<JsValue> for JournalError {
    fn from(error: JsValue) -> Self {
        Thrown::from(error).into()
    }
}

/// The journal; clones share one connection.
#[derive(Clone)]
pub struct Journal(Rc<Inner>);

struct Inner {
    name: String,
    /// Timeout, ms.
    patience_ms: i32,
    connection: RefCell<Option<IdbDatabase>>,
    /// Time of the last timeout, by the wall clock, ms.
    silent_since: Cell<Option<f64>>,
}

/// What a transaction may do.
#[derive(Clone, Copy)]
enum Access {
    Read,
    Write,
    /// Write, and complete only when the data is on disk: otherwise a browser may complete
    /// when the operating system has it. Browsers without this option ignore it.
    WriteToDevice,
}

impl Access {
    const fn mode(self) -> &'static str {
        match self {
            Self::Read => "readonly",
            Self::Write | Self::WriteToDevice => "readwrite",
        }
    }

    const fn durability(self) -> &'static str {
        match self {
            Self::Read | Self::Write => "default",
            Self::WriteToDevice => "strict",
        }
    }
}

/// A running transaction, its result, and its end.
struct Begun<T> {
    patience_ms: i32,
    transaction: IdbTransaction,
    outcome: T,
    end: Promise,
}

impl Journal {
    /// The journal with this name; [`NAME`] except in tests. It connects at the first
    /// access.
    pub fn new(name: &str) -> Self {
        Self::with_patience(name, PATIENCE_MS)
    }

    /// As [`new`](Self::new), for tests, with this timeout in ms.
    pub fn with_patience(name: &str, patience_ms: i32) -> Self {
        Self(Rc::new(Inner {
            name: name.to_owned(),
            patience_ms,
            connection: RefCell::new(None),
            silent_since: Cell::new(None),
        }))
    }

    /// Writes an event's record.
    pub fn append(
        &self,
        job: &JobId,
        key: &str,
        text: &str,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.append_many(vec![Record {
            job: job.clone(),
            key: key.to_owned(),
            text: text.to_owned(),
        }])
    }

    /// Adds new records, all or none, and flushes them to disk. Nothing is overwritten;
    /// records that are already stored with the same text count as written.
    pub fn add_many(
        &self,
        records: Vec<Record>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        let rows = records.clone();
        let adding = self.run(Access::WriteToDevice, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            for record in &rows {
                let key = key_of([record.job.as_str(), &record.key]);
                events.add_with_key(&record.text.as_str().into(), &key)?;
            }
            Ok(())
        });
        let journal = self.clone();
        async move {
            match adding.await {
                Err(JournalError::Taken(_)) => match journal.clash(&records).await? {
                    Some(key) => Err(JournalError::Taken(key)),
                    // The connection was lost after these very records were
                    // written, and before that was told.
                    None => Ok(()),
                },
                ended => ended,
            }
        }
    }

    /// The key of the record that prevented adding these records; `None` if the journal
    /// holds all of them with the same text.
    async fn clash(&self, records: &[Record]) -> Result<Option<String>, JournalError> {
        let Some(first) = records.first() else {
            return Ok(None);
        };
        let held = self.load(&first.job).await?;
        if records.iter().all(|record| held.contains(record)) {
            return Ok(None);
        }
        let is_taken = |record: &&Record| {
            let mut held = held.iter();
            held.any(|known| known.key == record.key && known.text != record.text)
        };
        let taken = records.iter().find(is_taken).unwrap_or(first);
        Ok(Some(taken.key.clone()))
    }

    /// Writes records, all or none, and overwrites existing ones.
    pub fn append_many(
        &self,
        records: Vec<Record>,
    ) -> impl Future<Output = Result<(), JournalError>> + use<> {
        self.run(Access::Write, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            for record in &records {
                let key = key_of([record.job.as_str(), &record.key]);
                events.put_with_key(&record.text.as_str().into(), &key)?;
            }
            Ok(())
        })
    }

    /// Every record of every job, in the order of job and event.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn load_all(&self) -> Result<Vec<Record>, JournalError> {
        self.records(|| Ok(None)).await
    }

    /// Every record of a job, in the order of the events.
    ///
    /// # Errors
    /// When they cannot be read.
    pub async fn load(&self, job: &JobId) -> Result<Vec<Record>, JournalError> {
        let job = job.clone();
        self.records(move || Ok(Some(range_of(&job)?))).await
    }

    /// Removes one record of a job.
    ///
    /// # Errors
    /// When it is not removed.
    pub(super) async fn remove(&self, job: &JobId, key: &str) -> Result<(), JournalError> {
        let key = key_of([job.as_str(), key]);
        self.run(Access::Write, move |transaction| {
            transaction.object_store(EVENTS)?.delete(&key)?;
            Ok(())
        })
        .await
    }

    /// Removes every record of a job.
    ///
    /// # Errors
    /// When they are not removed.
    pub async fn forget(&self, job: &JobId) -> Result<(), JournalError> {
        let job = job.clone();
        self.run(Access::Write, move |transaction| {
            let range = range_of(&job)?;
            transaction.object_store(EVENTS)?.delete(&range)?;
            Ok(())
        })
        .await
    }

    /// Moves records to quarantine, all or none: job, key and note.
    pub(super) async fn set_aside(
        &self,
        bad: Vec<(JobId, String, Note)>,
    ) -> Result<(), JournalError> {
        self.run(Access::Write, move |transaction| {
            let events = transaction.object_store(EVENTS)?;
            let unreadable_records = transaction.object_store(QUARANTINE)?;
            for (job, key, note) in &bad {
                let to = aside_key(job, key, note.at_ms);
                unreadable_records.put_with_key(&note.to_json().into(), &to)?;
                events.delete(&key_of([job.as_str(), key]))?;
            }
            Ok(())
        })
        .await
    }

    /// All quarantined records: job, key and note.
    pub(super) async fn unreadable_records(
        &self,
    ) -> Result<Vec<(JobId, String, i64, Note)>, JournalError> {
        let rows = self.rows(QUARANTINE, || Ok(None)).await?;
        let unreadable = |(key, text): (JsValue, String)| {
            let key = Array::from(&key);
            let at_ms = key.get(2).as_f64().unwrap_or_default() as i64;
            let (job, event) = (word(&key, 0), word(&key, 1));
            (JobId(job), event, at_ms, Note::from_json(text))
        };
        Ok(rows.into_iter().map(unreadable).collect())
    }

    /// Removes quarantined records.
    pub(super) async fn remove_aside(
        &self,
        job: &JobId,
        key: &str,
        at_ms: i64,
    ) -> Result<(), JournalError> {
        let key = aside_key(job, key, at_ms);
        self.run(Access::Write, move |transaction| {
            transaction.object_store(QUARANTINE)?.delete(&key)?;
            Ok(())
        })
        .await
    }

    /// All texts of an object store with string keys.
    pub(super) async fn texts(
        &self,
        store: &'static str,
    ) -> Result<Vec<(String, String)>, JournalError> {
        let rows = self.rows(store, || Ok(None)).await?;
        let named = |(key, text): (JsValue, String)| (key.as_string().unwrap_or_default(), text);
        Ok(rows.into_iter().map(named).collect())
    }

    /// Stores a text under a string key.
    pub(super) async fn put_text(
        &self,
        store: &'static str,
        name: &str,
        text: &str,
    ) -> Result<(), JournalError> {
        let (name, text) = (JsValue::from(name), JsValue::from(text));
        self.run(Access::Write, move |transaction| {
            transaction
                .object_store(store)?
                .put_with_key(&text, &name)?;
            Ok(())
        })
        .await
    }

    /// Removes the text under a string key.
    pub(super) async fn remove_text(
        &self,
        store: &'static str,
        name: &str,
    ) -> Result<(), JournalError> {
        let name = JsValue::from(name);
        self.run(Access::Write, move |transaction| {
            transaction.object_store(store)?.delete(&name)?;
            Ok(())
        })
        .await
    }

    /// Closes the connection; the next access opens a new one.
    pub fn close(&self) {
        if let Some(database) = self.0.connection.take() {
            database.close();
        }
    }

    async fn records(
        &self,
        range: impl Fn() -> Result<Option<IdbKeyRange>, JsValue> + 'static,
    ) -> Result<Vec<Record>, JournalError> {
        let rows = self.rows(EVENTS, range).await?;
        let record = |(key, text): (JsValue, String)| {
            let key = Array::from(&key);
            Record {
                job: JobId(word(&key, 0)),
                key: word(&key, 1),
                text,
            }
        };
        Ok(rows.into_iter().map(record).collect())
    }

    /// Keys and texts of an object store, in the order of the keys.
    async fn rows(
        &self,
        store: &'static str,
        range: impl Fn() -> Result<Option<IdbKeyRange>, JsValue> + 'static,
    ) -> Result<Vec<(JsValue, String)>, JournalError> {
        let (keys, texts) = self
            .run(Access::Read, move |transaction| {
                let store: IdbObjectStore = transaction.object_store(store)?;
                let range = range()?.map_or(JsValue::UNDEFINED, JsValue::from);
                Ok((
                    store.get_all_keys_with_key(&range)?,
                    store.get_all_with_key(&range)?,
                ))
            })
            .await?;
        let keys = list(&keys)?;
        let texts = list(&texts)?;
        // One transaction read both.
        Ok(keys
            .iter()
            .zip(texts.iter())
            .map(|(key, text)| (key, text.as_string().unwrap_or_default()))
            .collect())
    }

    /// Runs a transaction. It is begun before this returns, if there is a
    /// connection.
    fn run<T, W>(
        &self,
        access: Access,
        work: W,
    ) -> impl Future<Output = Result<T, JournalError>> + use<T, W>
    where
        W: Fn(&IdbTransaction) -> Result<T, JsValue>,
    {
        let first = self.begin(access, &work);
        let journal = self.clone();
        async move {
            let failed = match first {
                Some(Ok(begun)) => match begun.finish().await {
                    Ok(outcome) => return Ok(outcome),
                    Err(error) => Some(error),
                },
                Some(Err(error)) => Some(error),
                None => None,
            };
            if let Some(
                error @ (JournalError::Full | JournalError::Silent | JournalError::Taken(_)),
            ) = failed
            {
                return Err(error);
            }
            journal.connect().await?;
            match journal.begin(access, &work) {
                Some(begun) => begun?.finish().await,
                None => Err(JournalError::Other(tr!("the connection was lost"))),
            }
        }
    }

    fn begin<T>(
        &self,
        access: Access,
        work: impl Fn(&IdbTransaction) -> Result<T, JsValue>,
    ) -> Option<Result<Begun<T>, JournalError>> {
        let connection = self.0.connection.borrow();
        connection.as_ref().map(|database| {
            let stores: Array = [EVENTS, QUARANTINE, CATALOGS]
                .iter()
                .map(|&name| JsValue::from(name))
                .collect();
            let options = Object::new();
            Reflect::set(&options, &"durability".into(), &access.durability().into())?;
            let arguments: [&JsValue; 3] = [&stores, &access.mode().into(), &options];
            let transaction = browser::call(database, "transaction", &arguments)?;
            let transaction: IdbTransaction = transaction.dyn_into()?;
            let outcome = work(&transaction).inspect_err(|_| {
                // Else what it has asked for so far would be done all the same. One
                // that cannot be called off is over already.
                let _called_off = transaction.abort();
            })?;
            let patience_ms = self.0.patience_ms;
            let end = end_of(&transaction, patience_ms);
            Ok(Begun {
                patience_ms,
                transaction,
                outcome,
                end,
            })
        })
    }

    async fn connect(&self) -> Result<(), JournalError> {
        let now = js_sys::Date::now();
        let silent = self.0.silent_since.get();
        if silent.is_some_and(|since| (now - since).abs() < LEFT_ALONE_MS) {
            return Err(JournalError::Silent);
        }
        let opened = open(&self.0.name, self.0.patience_ms).await;
        let silent = matches!(opened, Err(JournalError::Silent));
        self.0.silent_since.set(silent.then_some(now));
        let database = opened?;
        // Do not block another version of the app.
        let close: Result<Function, _> = Reflect::get(&database, &"close".into())?.dyn_into();
        if let Ok(close) = close {
            database.set_onversionchange(Some(&close.bind0(&database)));
        }
        self.0.connection.replace(Some(database));
        Ok(())
    }
}

/// Resolved when the transaction is complete, rejected when it is aborted or does
/// not answer.
fn end_of(transaction: &IdbTransaction, patience_ms: i32) -> Promise {
    Promise::new(&mut |resolve, reject| {
        transaction.set_oncomplete(Some(&resolve));
        transaction.set_onabort(Some(&reject));
        browser::after(patience_ms, &reject);
    })
}

impl<T> Begun<T> {
    async fn finish(self) -> Result<T, JournalError> {
        let Err(reason) = JsFuture::from(self.end).await else {
            return Ok(self.outcome);
        };
        if let Some(error) = self.transaction.error() {
            return Err(Thrown::from(JsValue::from(error)).into());
        }
        if reason.is_instance_of::<Event>() {
            return Err(JournalError::Other(tr!("the connection was lost")));
        }
        // The time is up. What is said to have failed must not be done later, so it
        // is called off. One that cannot be is about to end.
        if self.transaction.abort().is_err()
            && JsFuture::from(end_of(&self.transaction, self.patience_ms))
                .await
                .is_ok()
        {
            return Ok(self.outcome);
        }
        Err(JournalError::Silent)
    }
}

async fn open(name: &str, patience_ms: i32) -> Result<IdbDatabase, JournalError> {
    let denied = |why: String| JournalError::Denied(why);
    let window = browser::window().map_err(|error| denied(error.to_string()))?;
    let factory = match window.indexed_db() {
        Ok(Some(factory)) => factory,
        Ok(None) => return Err(denied(tr!("not available"))),
        Err(error) => return Err(denied(Thrown::from(error).to_string())),
    };
    let request: IdbOpenDbRequest = factory.open_with_u32(name, VERSION)?;
    let build = {
        let request = request.clone();
        Closure::<dyn FnMut()>::new(move || {
            // An error here aborts the opening, which then reports the reason.
            let _built = build(&request);
        })
    };
    request.set_onupgradeneeded(Some(build.as_ref().unchecked_ref()));
    let end = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
        request.set_onblocked(Some(&reject));
        browser::after(patience_ms, &reject);
    });
    let Err(event) = JsFuture::from(end).await else {
        return Ok(request.result()?.unchecked_into());
    };
    match event.dyn_ref::<Event>().map(Event::type_).as_deref() {
        Some("blocked") => Err(JournalError::Blocked),
        Some(_) => Err(match request.error()? {
            // The error of browsers without a database in private browsing.
            Some(error) if error.name() == "InvalidStateError" => denied(error.message()),
            Some(error) => Thrown::from(JsValue::from(error)).into(),
            None => JournalError::Other(tr!("it could not be opened")),
        }),
        None => Err(JournalError::Silent),
    }
}

fn build(request: &IdbOpenDbRequest) -> Result<(), JsValue> {
    let database: IdbDatabase = request.result()?.unchecked_into();
    for name in [EVENTS, QUARANTINE, CATALOGS] {
        database.create_object_store(name)?;
    }
    Ok(())
}

fn list(request: &IdbRequest) -> Result<Array, JournalError> {
    Ok(Array::from(&request.result()?))
}

fn key_of<const N: usize>(words: [&str; N]) -> JsValue {
    words
        .iter()
        .map(|&word| JsValue::from(word))
        .collect::<Array>()
        .into()
}

fn aside_key(job: &JobId, key: &str, at_ms: i64) -> JsValue {
    Array::of3(
        &job.as_str().into(),
        &key.into(),
        &JsValue::from(at_ms as f64),
    )
    .into()
}

/// All keys that begin with this job: IndexedDB sorts arrays after strings.
fn range_of(job: &JobId) -> Result<IdbKeyRange, JsValue> {
    let first = key_of([job.as_str()]);
    let last: JsValue = Array::of2(&job.as_str().into(), &Array::new()).into();
    IdbKeyRange::bound(&first, &last)
}

fn word(key: &Array, nth: u32) -> String {
    key.get(nth).as_string().unwrap_or_default()
}
