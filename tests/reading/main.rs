//! Everything that is read from outside, fed with good files that were changed at random:
//! it is read or refused, and never a panic.
//!
//! Each door is tried with a few hundred texts, always the same ones. To try for longer,
//! with other texts each time, and to print the counts:
//!
//! `LIDOFF_FUZZ_SECONDS=600 cargo test -p lidoff-tests --test reading -- --nocapture`

mod doors;
mod mutate;
mod run;
