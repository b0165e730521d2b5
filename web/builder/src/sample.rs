//! The sample that the page carries and `cargo run` reads.

use std::fs;
use std::path::Path;

use anyhow::{Context as _, Result, bail};

/// A file of made-up data.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Sample {
    /// Its name, letters, digits, dots and dashes only.
    pub name: String,
    /// Its bytes.
    pub content: Vec<u8>,
}

/// Reads the page's sample files: those of the folder whose name begins with `sample`, in order of name.
/// The others there show hard cases to people and tests, and would only make the page heavier.
///
/// # Errors
/// If the folder cannot be read, holds no such file, or one's name cannot stand in the page.
pub(crate) fn read_samples(folder: &Path) -> Result<Vec<Sample>> {
    let mut samples = Vec::new();
    let entries = fs::read_dir(folder).with_context(|| format!("opening {}", folder.display()))?;
    for entry in entries {
        let path = entry.with_context(|| format!("listing {}", folder.display()))?.path();
        let name = path.file_name().unwrap_or_default().to_string_lossy().into_owned();
        if !name.starts_with("sample") {
            continue;
        }
        if !name.chars().all(|letter| letter.is_ascii_alphanumeric() || ".-_".contains(letter)) {
            bail!("{} has a name that cannot stand in the page: letters, digits, dots and dashes only", path.display());
        }
        let content = fs::read(&path).with_context(|| format!("reading {}", path.display()))?;
        samples.push(Sample { name, content });
    }
    if samples.is_empty() {
        bail!("{} holds no file whose name begins with \"sample\"", folder.display());
    }
    samples.sort_by(|a, b| a.name.cmp(&b.name));
    Ok(samples)
}
