//! Printing to standard output.

use std::fmt::Display;
use std::io::{ErrorKind, Write as _, stdout};
use std::process::exit;

/// Prints a text as it is. A reader that closes early (`| head`) ends the program
/// silently; any other failure ends it with a message.
pub fn print(text: impl Display) {
    let mut out = stdout().lock();
    let written = write!(out, "{text}").and_then(|()| out.flush());
    match written {
        Ok(()) => {}
        Err(error) if error.kind() == ErrorKind::BrokenPipe => exit(0),
        Err(error) => {
            eprintln!("lidoff: the output cannot be written: {error}. Check the disk space.");
            exit(1);
        }
    }
}
