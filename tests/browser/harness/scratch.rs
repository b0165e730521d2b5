//! Folders for a test's files, and the built page.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process;
use std::sync::atomic::{AtomicUsize, Ordering};

use super::unpacked::unpacked_page;

/// The project's top level.
pub(crate) fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().expect("tests/ lies in the project").to_path_buf()
}

/// A file of `sample-files/`.
pub(crate) fn sample_file(name: &str) -> PathBuf {
    root().join("sample-files").join(name)
}

/// The folder of the built page.
pub(crate) fn built_page() -> PathBuf {
    let dist = root().join("dist");
    assert!(dist.join("index.html").is_file(), "dist/index.html is not built; run ./tests/run, or cargo run first");
    dist
}

/// A folder of its own, removed when it goes out of scope.
#[derive(Debug)]
pub(crate) struct Scratch(PathBuf);

impl Scratch {
    pub(crate) fn new() -> Self {
        static MADE: AtomicUsize = AtomicUsize::new(0);
        let number = MADE.fetch_add(1, Ordering::Relaxed);
        let folder = env::temp_dir().join(format!("farheard-test-{}-{number}", process::id()));
        fs::create_dir_all(&folder).expect("a folder can be made in the temporary folder");
        Self(folder)
    }

    pub(crate) fn path(&self) -> &Path {
        &self.0
    }

    /// Puts a file into it.
    pub(crate) fn file(&self, name: &str, content: impl AsRef<[u8]>) -> PathBuf {
        let path = self.0.join(name);
        fs::write(&path, content).expect("a file can be written in the temporary folder");
        path
    }

    /// The built page alone, with nothing beside it.
    pub(crate) fn with_page_alone() -> Self {
        let scratch = Self::new();
        fs::copy(built_page().join("index.html"), scratch.0.join("index.html")).expect("the page can be copied");
        scratch
    }

    /// The same page, its core not packed: for tests that are not about how it starts.
    pub(crate) fn with_unpacked_page() -> Self {
        let scratch = Self::new();
        scratch.file("index.html", unpacked_page());
        scratch
    }

    /// The same as on a web host.
    pub(crate) fn with_unpacked_site() -> Self {
        let scratch = Self::with_whole_site();
        scratch.file("index.html", unpacked_page());
        scratch
    }

    /// Everything a web host gets.
    pub(crate) fn with_whole_site() -> Self {
        let scratch = Self::new();
        for entry in fs::read_dir(built_page()).expect("dist/ can be listed") {
            let path = entry.expect("dist/ can be listed").path();
            fs::copy(&path, scratch.0.join(path.file_name().expect("it has a name"))).expect("it can be copied");
        }
        scratch
    }
}

impl Drop for Scratch {
    fn drop(&mut self) {
        // A browser that is just ending may still hold a file; the temporary folder is cleared by the system.
        drop(fs::remove_dir_all(&self.0));
    }
}
