//! The core inside a browser: what only wasm can get wrong. Runs with
//! `cargo test -p farheard --target wasm32-unknown-unknown --test seam`.
#![cfg(target_arch = "wasm32")]

use farheard::geography::{Geodesic, Position};
use wasm_bindgen_test::{wasm_bindgen_test, wasm_bindgen_test_configure};

wasm_bindgen_test_configure!(run_in_browser);

/// The meridian from the equator to the pole is 10 001.965 729 km long on WGS-84: C. F. F. Karney,
/// 'Geodesics on an ellipsoid of revolution' (arXiv:1102.1215), a quarter of the meridian ellipse; value from memory.
#[wasm_bindgen_test]
fn a_quarter_of_the_meridian_is_as_long_as_natively() {
    let equator = Position { lat_deg: 0.0, lon_deg: 0.0 };
    let pole = Position { lat_deg: 90.0, lon_deg: 0.0 };
    let path = Geodesic::wgs84().path(equator, pole);
    assert!((path.distance_km - 10_001.965_729).abs() < 1e-6, "{path:?}");
}
