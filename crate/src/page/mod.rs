//! The seam to the page.

use wasm_bindgen::prelude::wasm_bindgen;

/// The core's version, for the page's first sign of life.
#[wasm_bindgen]
pub fn core_version() -> String {
    env!("CARGO_PKG_VERSION").to_owned()
}
