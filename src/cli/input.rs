//! Reading of files that the command line names.

use std::fs::File;
use std::io::{Error, ErrorKind, Read as _};
use std::path::Path;

use lidoff_limits::megabytes;

/// The text of a file of at most this many bytes. Not more than that is read, whatever the
/// file is.
///
/// # Errors
/// When it cannot be read, is larger, or is not UTF-8. The error ends without a full stop.
pub fn read_text(path: &Path, most: usize) -> Result<String, Error> {
    let limit = u64::try_from(most).unwrap_or(u64::MAX).saturating_add(1);
    let mut text = String::new();
    let read = File::open(path)?.take(limit).read_to_string(&mut text);
    // A letter that the limit cuts in two is no fault of the file.
    let is_too_large = match &read {
        Ok(bytes) => *bytes > most,
        Err(_) => path.metadata()?.len() >= limit,
    };
    if is_too_large {
        let why = format!("it is larger than the limit of {} MB", megabytes(most));
        return Err(Error::new(ErrorKind::FileTooLarge, why));
    }
    read.map(|_| text)
}

/// What is wrong with a file that cannot be read.
pub fn unreadable(path: &Path, error: &Error) -> String {
    let path = path.display();
    if error.kind() == ErrorKind::FileTooLarge {
        return format!("{path} cannot be read: {error}. Choose a smaller file");
    }
    format!("{path} cannot be read: {error}. Check the path")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_the_limit() {
        let folder = tempfile::TempDir::new().expect("a folder");
        let path = folder.path().join("text");
        std::fs::write(&path, "éé").expect("a file");
        assert_eq!(read_text(&path, 4).expect("it fits"), "éé");
        for most in [2, 3] {
            let error = read_text(&path, most).expect_err("it is larger");
            let message = unreadable(&path, &error);
            assert!(
                message.contains("larger than the limit of 0.0 MB"),
                "{message}"
            );
        }
        let endless = read_text(Path::new("/dev/zero"), 1_000);
        assert_eq!(
            endless.expect_err("it never ends").kind(),
            ErrorKind::FileTooLarge
        );
        std::fs::write(&path, [0xff]).expect("a file");
        let error = read_text(&path, 4).expect_err("it is no text");
        assert!(unreadable(&path, &error).contains("UTF-8"));
    }
}
