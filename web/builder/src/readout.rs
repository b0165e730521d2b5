//! `readout`: spot files on the command line.

use std::fs;
use std::process::ExitCode;

use anyhow::Result;

use crate::options::ReadoutOptions;
use crate::terminal::{complain, say};

/// Reads the files. Exit status 0 if any could be read.
///
/// # Errors
/// None so far; a file that cannot be read is said and left out.
pub(crate) fn run(options: &ReadoutOptions) -> Result<ExitCode> {
    let mut any = false;
    for path in &options.files {
        match fs::read(path) {
            Ok(content) => {
                any = true;
                say(&format!("{}: {} bytes", path.display(), content.len()));
            }
            Err(error) => complain(&format!("{}: cannot be read: {error}", path.display())),
        }
    }
    Ok(if any { ExitCode::SUCCESS } else { ExitCode::FAILURE })
}
