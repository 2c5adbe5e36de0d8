//! Everything of the app that needs no browser: addresses, words, plans for the
//! screens, the geometry of pictures. All of it is tested natively.

pub mod aloud;
pub mod depth;
pub mod face;
pub mod found;
pub mod gesture;
pub mod outlook;
pub mod planning;
pub mod reasons;
pub mod route;
pub mod taps;
pub mod way;
pub mod words;
