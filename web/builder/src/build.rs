//! Builds `dist/`: the page, and what goes beside it on a web host.

use std::fs;
use std::path::{Path, PathBuf};

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;
use sha2::{Digest as _, Sha256};

use crate::bill::bill;
use crate::page::{Parts, assemble, data_address};
use crate::project::Project;
use crate::sample::read_samples;
use crate::size::Weight;
use crate::terminal::say;
use crate::wasm;

/// Stands in `web/sw.js` for the version of the page it keeps.
const VERSION_MARK: &str = "PAGE_VERSION";
/// Stands in `web/manifest.webmanifest` for the icon's data address.
const ICON_MARK: &str = "ICON_ADDRESS";

/// Builds everything and returns where the page is.
///
/// # Errors
/// If a source is missing or wrong, the core does not compile, or the page is too heavy.
pub(crate) fn build(project: &Project) -> Result<PathBuf> {
    let core = wasm::compile(project, "farheard")?;
    let unpacker = wasm::compile_unpacker(project)?;
    let samples = read_samples(&project.sample_files())?;
    let source = |name: &str| read_text(&project.web().join(name));
    let icon = source("icon.svg")?;
    let page = assemble(&Parts {
        template: &source("index.html")?,
        style: &source("style.css")?,
        script: &source("page.js")?,
        unpack: &source("unpack.js")?,
        worker: &source("worker.js")?,
        icon: &icon,
        core: &core,
        unpacker: &unpacker,
        samples: &samples,
    })?;

    let weight = Weight::of(page.as_bytes())?;
    let dist = project.dist();
    fs::create_dir_all(&dist).with_context(|| format!("making {}", dist.display()))?;
    let place = dist.join("index.html");
    write(&place, &page)?;
    write(&dist.join("sw.js"), &service_worker(&source("sw.js")?, &page)?)?;
    write(&dist.join("bill-of-materials.json"), &bill(project)?)?;
    write(&dist.join("manifest.webmanifest"), &manifest(&source("manifest.webmanifest")?, &icon)?)?;

    say(&format!(
        "dist/index.html: {} bytes, {} gzipped (wasm module {} bytes)",
        weight.bytes,
        weight.gzipped_bytes,
        core.wasm.len()
    ));
    weight.check()?;
    Ok(place)
}

/// The manifest with the icon in it: the page's policy keeps even the browser from fetching images of the host.
fn manifest(source: &str, icon: &str) -> Result<String> {
    fill_once("web/manifest.webmanifest", source, ICON_MARK, &data_address(icon))
}

/// The service worker of this very page: browsers take a service worker for new when its bytes change.
fn service_worker(source: &str, page: &str) -> Result<String> {
    fill_once("web/sw.js", source, VERSION_MARK, &STANDARD.encode(Sha256::digest(page)))
}

fn fill_once(name: &str, source: &str, mark: &str, content: &str) -> Result<String> {
    if source.matches(mark).count() != 1 {
        bail!("{name} must contain {mark} exactly once");
    }
    Ok(source.replace(mark, content))
}

fn read_text(path: &Path) -> Result<String> {
    fs::read_to_string(path).with_context(|| format!("reading {}", path.display()))
}

fn write(path: &Path, content: &str) -> Result<()> {
    fs::write(path, content).with_context(|| format!("writing {}", path.display()))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn another_page_makes_another_service_worker() {
        let source = "const VERSION = 'PAGE_VERSION';";
        let one = service_worker(source, "a page").unwrap();
        assert_eq!(one, service_worker(source, "a page").unwrap());
        assert_ne!(one, service_worker(source, "another page").unwrap());
        assert!(service_worker("const VERSION = 1;", "a page").is_err());
    }
}
