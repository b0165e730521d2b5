//! The project's files, as text.

use std::fs;
use std::path::{Path, PathBuf};

/// The project's top level.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ lies in the project").to_path_buf()
}

/// A text file of the project.
#[derive(Debug)]
pub(crate) struct Source {
    /// Its path from the top level, with `/` between.
    pub name: String,
    pub text: String,
}

impl Source {
    /// The lines that are no comment of Rust, numbered from 1; what follows a comment mark in a line is left out.
    pub(crate) fn code_lines(&self) -> impl Iterator<Item = (usize, &str)> {
        self.text.lines().enumerate().filter_map(|(index, line)| {
            let code = line.split(" // ").next().unwrap_or_default();
            (!code.trim_start().starts_with("//")).then_some((index + 1, code))
        })
    }
}

/// Reads a file that must be there.
pub(crate) fn read(name: &str) -> String {
    let path = root().join(name);
    fs::read_to_string(&path).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// All text files under a folder (or the one file) whose name ends so; an empty ending takes all.
/// What is built or fetched is left out.
pub(crate) fn files(place: &str, ending: &str) -> Vec<Source> {
    let mut found = Vec::new();
    collect(&root().join(place), ending, &mut found);
    found.sort_by(|a, b| a.name.cmp(&b.name));
    found
}

fn collect(path: &Path, ending: &str, found: &mut Vec<Source>) {
    let own_name = path.file_name().unwrap_or_default().to_string_lossy();
    if path.is_dir() {
        if ["target", "dist", ".git", "node_modules"].contains(&own_name.as_ref()) {
            return;
        }
        let entries = fs::read_dir(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        for entry in entries {
            collect(&entry.expect("a folder can be listed").path(), ending, found);
        }
    } else if own_name.ends_with(ending) {
        let bytes = fs::read(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
        // Pictures and packed samples are no text.
        if let Ok(text) = String::from_utf8(bytes) {
            let name = path.strip_prefix(root()).expect("it lies in the project").to_string_lossy().replace('\\', "/");
            found.push(Source { name, text });
        }
    }
}
