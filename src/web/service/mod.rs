//! Browser services for the app: clocks, stores, tabs, files, catalogs.
//!
//! Everything here can fail, and reports it in a type: a browser may refuse a store,
//! run out of space, or lose a connection. Nothing here holds a signal; messages for a
//! screen go through the callback that the screen passed in.

pub mod alarm;
pub mod awake;
mod browser;
pub mod catalogs;
pub mod clock;
pub mod event_store;
pub mod fetch;
pub mod files;
mod gzip;
pub mod heartbeat;
pub mod journal;
pub mod offline;
pub mod photos;
pub mod preferences;
pub mod quarantine;
mod reconcile;
mod recovery;
pub mod saved;
pub mod scheduler;
pub mod speech;
pub mod store;
pub mod tabs;
