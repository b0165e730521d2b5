//! Words to the person at the terminal. A reader that has gone (`| head`) is no error.

use std::io::{self, Write};

/// Writes a line to standard output.
pub(crate) fn say(text: &str) {
    // Nobody is left to be told where writing fails.
    drop(writeln!(io::stdout().lock(), "{text}"));
}

/// Writes a line to standard error.
pub(crate) fn complain(text: &str) {
    drop(writeln!(io::stderr().lock(), "{text}"));
}
