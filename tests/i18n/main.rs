//! Is everything that is read translated? The sources are read as tokens, the
//! catalogs as JSON, the translations as gettext PO files.

mod boot;
mod bypass;
mod catalogs;
mod complete;
mod faults;
mod log;
mod long_words;
mod po;
mod sides;
mod source;
mod write;
