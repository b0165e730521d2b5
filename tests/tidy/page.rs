//! The built page as a file.

use sha2::{Digest as _, Sha256};
use zlib_rs::{DeflateConfig, ReturnCode, compress_bound, compress_slice};

use crate::sources::{read, root};

/// The built page.
pub(crate) fn built() -> String {
    assert!(
        root().join("dist/index.html").is_file(),
        "dist/index.html is not built; run ./tests/run, or cargo run first"
    );
    read("dist/index.html")
}

#[test]
fn it_weighs_at_most_a_megabyte_and_a_half_and_half_a_megabyte_on_the_wire() {
    let page = built();
    let mut room = vec![0; compress_bound(page.len())];
    let (packed, end) = compress_slice(&mut room, page.as_bytes(), DeflateConfig::new(6));
    assert_eq!(end, ReturnCode::Ok);
    assert!(page.len() <= 1_500_000, "{} bytes", page.len());
    // other packers of that level make up to half a percent more of it
    assert!(packed.len() <= 497_000, "{} bytes gzipped", packed.len());
}

#[test]
fn it_carries_everything_inside() {
    let page = built();
    assert_eq!(page.matches("<script>").count(), 1, "one script that runs");
    assert_eq!(
        page.matches("<script id=\"core-worker\">").count(),
        1,
        "the worker's source, which the page can run too"
    );
    assert_eq!(page.matches("<style>").count(), 1, "one style");
    for block in ["core-unpacker", "core-wasm", "sample-data"] {
        let mut heads = page.split("<script type=\"text/plain\" ").filter_map(|rest| rest.split('>').next());
        assert!(heads.any(|head| head.contains(&format!("id=\"{block}\""))), "{block}");
    }
    for pointer in [" src=\"", "<link rel=\"stylesheet\"", "@import", "url(http"] {
        assert!(!page.contains(pointer), "{pointer} points outside the file");
    }
}

#[test]
fn it_names_no_place_of_the_machine_that_built_it() {
    let page = built();
    let home = root().to_string_lossy().into_owned();
    for place in [home.as_str(), "/.cargo/", "/home/", "/root/", "/rustc/"] {
        assert!(!page.contains(place), "the page contains {place}");
    }
}

/// What the page says of itself is so: the sum in its foot is that of its bytes with zeros in the sum's place.
#[test]
fn it_carries_its_own_sum() {
    let page = built();
    let (_, after) = page.split_once("SHA-256 ").unwrap();
    let sum = after.get(..64).unwrap();
    let without = page.replacen(sum, &"0".repeat(64), 1);
    let again = format!("{:x}", Sha256::digest(without));
    assert_eq!(sum, again);
}

/// The bill of materials beside the page names what the lock file has, in the same versions.
#[test]
fn its_bill_of_materials_holds_what_is_locked() {
    let bill: serde_json::Value = serde_json::from_str(&read("dist/bill-of-materials.json")).unwrap();
    let lock = read("Cargo.lock");
    let components = bill["components"].as_array().unwrap();
    let of = |component: &serde_json::Value, name: &str| component[name].as_str().unwrap().to_owned();
    for component in components {
        let locked = format!("name = \"{}\"\nversion = \"{}\"", of(component, "name"), of(component, "version"));
        assert!(lock.contains(&locked), "{locked}");
        assert!(component["licenses"][0]["expression"].as_str().is_some_and(|it| !it.is_empty()), "{component}");
    }
    for needed in ["wasm-bindgen", "serde", "farheard-scan"] {
        assert!(components.iter().any(|component| of(component, "name") == needed), "{needed}");
    }
    assert!(!components.iter().any(|component| of(component, "name") == "csv"), "csv is used by tests only");
}
