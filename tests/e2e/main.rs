//! The built app, driven in a browser the size of a phone.
//!
//! Needs `dist/`, Chromium and chromedriver: `make e2e` sees to all three. Each
//! test has its own server, browser and profile, and may break them.

mod phone;
mod server;
mod webdriver;

mod bad_input;
mod job;
mod otherwise;
mod patience;
mod starting;
mod stopping;
mod time;
mod tongue;
mod updating;
mod whole_job;

mod shots;
