//! What the browser does for the app: clocks, stores, tabs, files, catalogs.
//!
//! Everything here can fail, and says so in a type: a browser may refuse a store,
//! run out of room, or lose a connection. Nothing here holds a signal; what must
//! be told to a screen goes through the callback that the screen gave.

pub mod alarm;
pub mod alive;
pub mod aside;
pub mod awake;
mod browser;
pub mod catalogs;
pub mod clock;
pub mod fetch;
pub mod files;
pub mod journal;
pub mod keeper;
mod mend;
pub mod photos;
pub mod preferences;
pub mod slices;
pub mod speech;
pub mod store;
pub mod tabs;
mod union;
