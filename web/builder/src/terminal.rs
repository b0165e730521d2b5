//! Words to the person at the terminal. A reader that has gone (`| head`) is no error.

use std::io::{self, Write};

/// Writes a line to standard output.
pub(crate) fn say(text: &str) {
    drop(try_to_say(text));
}

/// Writes a line to standard output.
///
/// # Errors
/// Where it cannot be written, as on a full disk; not where nobody reads it any more.
pub(crate) fn try_to_say(text: &str) -> io::Result<()> {
    let mut out = io::stdout().lock();
    match writeln!(out, "{text}").and_then(|()| out.flush()) {
        Err(error) if error.kind() == io::ErrorKind::BrokenPipe => Ok(()),
        result => result,
    }
}

/// Writes a line to standard error.
pub(crate) fn complain(text: &str) {
    drop(writeln!(io::stderr().lock(), "{text}"));
}
