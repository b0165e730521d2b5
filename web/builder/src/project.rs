//! Where things stand in the project.

use std::path::{Path, PathBuf};

use anyhow::{Context, Result};

/// The project's folders, from where this program was compiled.
#[derive(Debug, Clone)]
pub(crate) struct Project {
    root: PathBuf,
}

impl Project {
    /// The project this program was compiled in.
    ///
    /// # Errors
    /// If its folder has been moved or removed since.
    pub(crate) fn find() -> Result<Self> {
        let builder = Path::new(env!("CARGO_MANIFEST_DIR"));
        let root = builder
            .join("../..")
            .canonicalize()
            .with_context(|| format!("the project is no longer at {}; run cargo again", builder.display()))?;
        Ok(Self { root })
    }

    /// The top level.
    pub(crate) fn root(&self) -> &Path {
        &self.root
    }

    /// The page's sources.
    pub(crate) fn web(&self) -> PathBuf {
        self.root.join("web")
    }

    /// The made-up data that the page carries.
    pub(crate) fn sample_files(&self) -> PathBuf {
        self.root.join("sample-files")
    }

    /// The finished page and what goes beside it on a web host.
    pub(crate) fn dist(&self) -> PathBuf {
        self.root.join("dist")
    }

    /// The target directory of the page's own build: its flags differ from those of native builds,
    /// and sharing one would make each build undo the other.
    pub(crate) fn page_target(&self) -> PathBuf {
        self.root.join("target").join("page")
    }
}
