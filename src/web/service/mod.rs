//! What the browser does for the app: clocks, stores, tabs, files, catalogs.
//!
//! Everything here can fail, and says so in a type: a browser may refuse a store,
//! run out of room, or lose a connection. Nothing here holds a signal; what must
//! be told to a screen goes through the callback that the screen gave.

pub mod alarm;
pub mod awake;
mod browser;
pub mod catalogs;
pub mod clock;
pub mod event_store;
pub mod fetch;
pub mod files;
pub mod heartbeat;
pub mod journal;
pub mod offline;
pub mod photos;
pub mod preferences;
pub mod quarantine;
mod reconcile;
mod recovery;
pub mod scheduler;
pub mod speech;
pub mod store;
pub mod tabs;
