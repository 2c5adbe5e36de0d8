//! What is printed for whoever, or whatever, reads along.

use std::fmt::Display;
use std::io::{ErrorKind, Write as _, stdout};
use std::process::exit;

/// Prints it as it is. A reader that has seen enough and is gone (`| head`) ends
/// the program without a word; where nothing can be printed, it ends and says so.
pub fn say(text: impl Display) {
    let mut out = stdout().lock();
    let said = write!(out, "{text}").and_then(|()| out.flush());
    match said {
        Ok(()) => {}
        Err(error) if error.kind() == ErrorKind::BrokenPipe => exit(0),
        Err(error) => {
            eprintln!("lidoff: this cannot be printed: {error}. Is the disk full?");
            exit(1);
        }
    }
}
