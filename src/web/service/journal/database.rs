//! The connection to the browser's database: opened when it is first needed, and again
//! when it was lost.

use std::cell::{Cell, RefCell};
use std::rc::Rc;

use js_sys::{Function, Promise, Reflect};
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::{JsFuture, spawn_local};
use web_sys::{Event, IdbDatabase, IdbOpenDbRequest};

use lidoff_i18n::tr;

use super::error::JournalError;
use super::schema::STORES;
use super::transaction::{Access, Running, Work};
use crate::service::browser::{self, Thrown};

/// Version 2 has the store of removed jobs, version 3 the archive.
const VERSION: u32 = 3;

/// How long after a timeout a database is asked again whether it answers, ms.
const RETRY_AFTER_MS: i32 = 10_000;

/// The database; clones share one connection.
#[derive(Clone)]
pub(super) struct Database(Rc<Inner>);

struct Inner {
    name: String,
    timeout_ms: i32,
    connection: RefCell<Option<IdbDatabase>>,
    /// Whether it timed out, and did not answer since. Nothing else is asked of it then, so
    /// that no tap waits for it.
    is_silent: Cell<bool>,
}

impl Database {
    pub(super) fn new(name: &str, timeout_ms: i32) -> Self {
        Self(Rc::new(Inner {
            name: name.to_owned(),
            timeout_ms,
            connection: RefCell::new(None),
            is_silent: Cell::new(false),
        }))
    }

    /// Closes the connection; the next access opens a new one.
    pub(super) fn close(&self) {
        if let Some(connection) = self.0.connection.take() {
            connection.close();
        }
    }

    /// Runs a transaction. It is begun before this returns, if there is a
    /// connection.
    pub(super) fn run<T: 'static>(
        &self,
        access: Access,
        work: Work<T>,
    ) -> impl Future<Output = Result<T, JournalError>> + use<T> {
        let is_silent = self.0.is_silent.get();
        let first = if is_silent {
            None
        } else {
            self.begin(access, &work)
        };
        let database = self.clone();
        async move {
            if is_silent {
                return Err(JournalError::Silent);
            }
            let ended = database.carry_out(access, work, first).await;
            if matches!(ended, Err(JournalError::Silent)) {
                database.wait_for_answer();
            }
            ended
        }
    }

    /// Asks now and then, in the background, whether the database answers again.
    fn wait_for_answer(&self) {
        if self.0.is_silent.replace(true) {
            return;
        }
        let database = self.clone();
        spawn_local(async move {
            loop {
                let ask: Work<()> = Box::new(|_| Ok(()));
                let first = database.begin(Access::Read, &ask);
                let asked = database.carry_out(Access::Read, ask, first).await;
                if !matches!(asked, Err(JournalError::Silent)) {
                    return database.0.is_silent.set(false);
                }
                browser::pass(RETRY_AFTER_MS).await;
            }
        });
    }

    /// Runs a transaction that may have begun, on a new connection if the first is lost.
    fn carry_out<T: 'static>(
        &self,
        access: Access,
        work: Work<T>,
        first: Option<Result<Running<T>, JournalError>>,
    ) -> impl Future<Output = Result<T, JournalError>> + use<T> {
        let database = self.clone();
        async move {
            let failed = match first {
                Some(Ok(running)) => match running.finish().await {
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
            database.connect().await?;
            match database.begin(access, &work) {
                Some(running) => running?.finish().await,
                None => Err(JournalError::Other(tr!("the connection was lost"))),
            }
        }
    }

    fn begin<T>(&self, access: Access, work: &Work<T>) -> Option<Result<Running<T>, JournalError>> {
        let connection = self.0.connection.borrow();
        let connection = connection.as_ref()?;
        Some(Running::begin(connection, access, work, self.0.timeout_ms))
    }

    async fn connect(&self) -> Result<(), JournalError> {
        let database = open(&self.0.name, self.0.timeout_ms).await?;
        // Do not block another version of the app.
        let close: Result<Function, _> = Reflect::get(&database, &"close".into())?.dyn_into();
        if let Ok(close) = close {
            database.set_onversionchange(Some(&close.bind0(&database)));
        }
        self.0.connection.replace(Some(database));
        Ok(())
    }
}

async fn open(name: &str, timeout_ms: i32) -> Result<IdbDatabase, JournalError> {
    let denied = JournalError::Denied;
    let window = browser::window().map_err(|error| denied(error.to_string()))?;
    let factory = match window.indexed_db() {
        Ok(Some(factory)) => factory,
        Ok(None) => return Err(denied(tr!("not available"))),
        Err(error) => return Err(denied(Thrown::from(error).to_string())),
    };
    let request: IdbOpenDbRequest = factory.open_with_u32(name, VERSION)?;
    let create = {
        let request = request.clone();
        Closure::<dyn FnMut()>::new(move || {
            // An error here aborts the opening, which then reports the reason.
            let _created = create_stores(&request);
        })
    };
    request.set_onupgradeneeded(Some(create.as_ref().unchecked_ref()));
    let end = Promise::new(&mut |resolve, reject| {
        request.set_onsuccess(Some(&resolve));
        request.set_onerror(Some(&reject));
        request.set_onblocked(Some(&reject));
        browser::after(timeout_ms, &reject);
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

fn create_stores(request: &IdbOpenDbRequest) -> Result<(), JsValue> {
    let database: IdbDatabase = request.result()?.unchecked_into();
    let known = database.object_store_names();
    for name in STORES {
        if !known.contains(name) {
            database.create_object_store(name)?;
        }
    }
    Ok(())
}
