//! Measuring in Chromium: a page that works through its steps before it has loaded, so that the printed document
//! holds the figures. No driver is needed.

use std::env;
use std::fs;
use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use base64::Engine as _;
use base64::engine::general_purpose::STANDARD;

use super::figure::Figure;
use super::invented::SENDERS;
use super::native::compared;
use super::{ROUNDS, visits};
use crate::project::Project;
use crate::wasm;

/// What Chromium's packages call it.
const NAMES: [&str; 3] = ["chromium", "chromium-browser", "chrome"];
/// Nothing of its own business on the network, and no window.
pub(super) const FLAGS: [&str; 9] = [
    "--headless=new",
    "--no-sandbox",
    "--disable-gpu",
    "--disable-dev-shm-usage",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
];
/// Marks the figures in the printed document.
const MARKS: [&str; 2] = ["<pre>", "</pre>"];

/// The Chromium of this machine: the one that `CHROMIUM` names, else one on the search path.
pub(super) fn find() -> Option<PathBuf> {
    if let Some(named) = env::var_os("CHROMIUM") {
        return Some(PathBuf::from(named));
    }
    let path = env::var_os("PATH")?;
    let mut places = env::split_paths(&path).flat_map(|folder| NAMES.map(|name| folder.join(name)));
    places.find(|place| place.is_file())
}

/// Compares the pairs of a file in Chromium.
///
/// # Errors
/// If the core does not compile, Chromium does not start, or the page gives no figures.
pub(super) fn comparing(project: &Project, chromium: &Path, text: &str) -> Result<[Figure; 2]> {
    let core = wasm::compile(project, "farheard-speed")?;
    let folder = project.root().join("target").join("measure");
    let place = folder.join("comparing.html");
    fs::create_dir_all(&folder).with_context(|| format!("making {}", folder.display()))?;
    let page = page(&core, text);
    fs::write(&place, page).with_context(|| format!("writing {}", place.display()))?;
    let output = Command::new(chromium)
        .args(FLAGS)
        .arg("--dump-dom")
        .arg(format!("--user-data-dir={}", folder.join("profile").display()))
        .arg(format!("file://{}", place.display()))
        .output()
        .with_context(|| format!("starting {}", chromium.display()))?;
    let figures = figures(&String::from_utf8_lossy(&output.stdout))?;
    let number = |name: &str| figures[name].as_f64().with_context(|| format!("the page did not measure '{name}'"));
    let pairs = figures["pairs"].as_u64().and_then(|pairs| usize::try_from(pairs).ok()).unwrap_or(0);
    let ms = [number("comparing")?, number("result")?];
    Ok(compared(visits::PLACE, pairs, ms, number("sorting")?, ROUNDS))
}

/// The page: the file and the module in it, the steps, and the figures as its only text.
fn page(core: &wasm::Core, text: &str) -> String {
    let [a, b] = SENDERS;
    let wasm = STANDARD.encode(&core.wasm);
    let glue = &core.glue;
    // the invented file holds no markup
    format!(
        "<!DOCTYPE html><meta charset=\"utf-8\"><body>\
         <script type=\"text/plain\" id=\"file\">{text}</script>\
         <script type=\"text/plain\" id=\"module\">{wasm}</script>\
         <script>{glue}</script><script>
const block = (id) => document.getElementById(id).textContent;
function medianMs(work) {{
  const times = [];
  for (let round = 0; round < {ROUNDS}; round++) {{
    const start = performance.now();
    work();
    times.push(performance.now() - start);
  }}
  return times.sort((a, b) => a - b)[{ROUNDS} >> 1];
}}
let figures;
try {{
  wasm_bindgen.initSync({{ module: Uint8Array.from(atob(block('module')), (letter) => letter.charCodeAt(0)) }});
  const senders = wasm_bindgen.Comparing.of(block('file'), '{a}', '{b}');
  const pairs = senders.pairs();
  const numbers = Float64Array.from({{ length: pairs }}, Math.random);
  figures = {{
    pairs,
    comparing: medianMs(() => senders.comparison()),
    result: medianMs(() => senders.result()),
    sorting: medianMs(() => numbers.slice().sort()),
  }};
}} catch (error) {{
  figures = {{ error: String(error) }};
}}
const pre = document.createElement('pre');
pre.textContent = JSON.stringify(figures);
document.body.replaceChildren(pre);
</script>"
    )
}

/// The figures in the printed document.
fn figures(document: &str) -> Result<serde_json::Value> {
    let [from, to] = MARKS;
    let inside = document.split_once(from).and_then(|(_, rest)| rest.split_once(to));
    let (json, _) = inside.context("Chromium printed no figures; does it start at all?")?;
    let figures: serde_json::Value = serde_json::from_str(json).context("the figures are no JSON")?;
    if let Some(error) = figures["error"].as_str() {
        bail!("the measuring page stopped: {error}");
    }
    Ok(figures)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_are_found_in_the_printed_document() {
        let found = figures("<html><body><pre>{\"pairs\":3}</pre></body></html>").unwrap();
        assert_eq!(found["pairs"], 3);
        assert!(figures("<html></html>").is_err());
        assert!(figures("<pre>{\"error\":\"out of memory\"}</pre>").is_err());
    }
}
