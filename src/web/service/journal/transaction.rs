//! A transaction: what it may do, and how it ends.

use js_sys::{Array, Object, Promise, Reflect};
use wasm_bindgen::{JsCast as _, JsValue};
use wasm_bindgen_futures::JsFuture;
use web_sys::{Event, IdbDatabase, IdbTransaction};

use lidoff_i18n::tr;

use super::error::JournalError;
use super::schema::STORES;
use crate::service::browser::{self, Thrown};

/// What a transaction does. A boxed closure: how it is run is compiled once, not once for
/// each use.
pub(super) type Work<T> = Box<dyn Fn(&IdbTransaction) -> Result<T, JsValue>>;

/// What a transaction may do.
#[derive(Clone, Copy)]
pub(super) enum Access {
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
pub(super) struct Running<T> {
    timeout_ms: i32,
    transaction: IdbTransaction,
    outcome: T,
    end: Promise,
}

impl<T> Running<T> {
    /// Begins a transaction on this connection.
    pub(super) fn begin(
        database: &IdbDatabase,
        access: Access,
        work: &Work<T>,
        timeout_ms: i32,
    ) -> Result<Self, JournalError> {
        let transaction = open(database, access)?;
        let outcome = work(&transaction).inspect_err(|_| {
            // Otherwise the requests that it made so far would be carried out. A
            // transaction that cannot be aborted is over already.
            let _aborted = transaction.abort();
        })?;
        Ok(Self {
            timeout_ms,
            end: end_of(&transaction, timeout_ms),
            transaction,
            outcome,
        })
    }

    /// Waits until it is complete.
    pub(super) async fn finish(self) -> Result<T, JournalError> {
        wait(&self.transaction, self.end, self.timeout_ms).await?;
        Ok(self.outcome)
    }
}

fn open(database: &IdbDatabase, access: Access) -> Result<IdbTransaction, JournalError> {
    let stores: Array = STORES.iter().map(|&name| JsValue::from(name)).collect();
    let options = Object::new();
    Reflect::set(&options, &"durability".into(), &access.durability().into())?;
    let arguments: [&JsValue; 3] = [&stores, &access.mode().into(), &options];
    let transaction = browser::call(database, "transaction", &arguments)?;
    Ok(transaction.dyn_into()?)
}

/// Resolved when the transaction is complete, rejected when it is aborted or does
/// not answer.
fn end_of(transaction: &IdbTransaction, timeout_ms: i32) -> Promise {
    Promise::new(&mut |resolve, reject| {
        transaction.set_oncomplete(Some(&resolve));
        transaction.set_onabort(Some(&reject));
        browser::after(timeout_ms, &reject);
    })
}

async fn wait(
    transaction: &IdbTransaction,
    end: Promise,
    timeout_ms: i32,
) -> Result<(), JournalError> {
    let Err(reason) = JsFuture::from(end).await else {
        return Ok(());
    };
    if let Some(error) = transaction.error() {
        return Err(Thrown::from(JsValue::from(error)).into());
    }
    if reason.is_instance_of::<Event>() {
        return Err(JournalError::Other(tr!("the connection was lost")));
    }
    // The time is up. What was reported as failed must not be done later, so it is
    // aborted. A transaction that cannot be aborted is about to end.
    if transaction.abort().is_err()
        && JsFuture::from(end_of(transaction, timeout_ms))
            .await
            .is_ok()
    {
        return Ok(());
    }
    Err(JournalError::Silent)
}
