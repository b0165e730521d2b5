//! The sample that the page carries and `cargo run` reads.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result};

/// The sample's files in `sample-files/`: the tested beacon's and the control's, without which two days cannot be compared.
/// Their names stand in the page, so they keep to letters, digits, dots and dashes.
pub(crate) const SAMPLE_NAMES: [&str; 2] = ["two-antennas-two-days.csv", "control-beacon-two-days.csv"];

/// A file of made-up data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sample {
    /// Its name.
    pub name: String,
    /// Its bytes.
    pub content: Vec<u8>,
}

/// Reads the sample's files.
///
/// # Errors
/// If one of them cannot be read.
pub(crate) fn read_samples(folder: &Path) -> Result<Vec<Sample>> {
    let read = |name: &str| {
        let path = folder.join(name);
        let content = fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
        Ok(Sample { name: name.to_owned(), content })
    };
    SAMPLE_NAMES.into_iter().map(read).collect()
}
