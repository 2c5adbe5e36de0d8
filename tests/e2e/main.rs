//! The built app, driven in a browser the size of a phone.
//!
//! Needs `dist/`, Chromium and chromedriver: `make e2e` sees to all three. Each
//! test has its own server, browser and profile, and may break them.

mod phone;
mod server;
mod webdriver;

mod at_the_unit;
mod axe;
mod bad_input;
mod deviations;
mod findings;
mod fits;
mod job;
mod keeping;
mod keyboard;
mod kills;
mod language;
mod long_plan;
mod looks;
mod one_glove;
mod onefile;
mod pictures;
mod reading;
mod slowed;
mod starting;
mod stopping;
mod taps;
mod themes;
mod time;
mod tour;
mod updating;
mod whole_job;

mod shots;
