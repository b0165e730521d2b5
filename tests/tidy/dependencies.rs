//! What the core stands on.

use std::collections::BTreeSet;

use crate::sources::{files, read};

/// Everything the core depends on, by section of its Cargo.toml. Whoever adds one adds it here too.
const ALLOWED: [(&str, &[&str]); 4] = [
    (
        "[dependencies]",
        &[
            "askama",
            "chrono",
            "farheard-scan",
            "flate2",
            "geographiclib-rs",
            "memchr",
            "rawzip",
            "serde",
            "serde_json",
            "statrs",
        ],
    ),
    ("[dev-dependencies]", &["base64", "csv", "encoding_rs", "geojson", "proptest", "roxmltree", "zip"]),
    (
        "[target.'cfg(target_arch = \"wasm32\")'.dependencies]",
        &["js-sys", "serde-wasm-bindgen", "wasm-bindgen", "web-sys"],
    ),
    ("[target.'cfg(target_arch = \"wasm32\")'.dev-dependencies]", &["wasm-bindgen-test", "web-sys"]),
];

/// A dependency as a manifest states it.
#[derive(Debug)]
struct Dependency {
    section: String,
    name: String,
    /// Whether a comment stands above it or above the block of lines it belongs to.
    has_reason: bool,
}

fn dependencies(manifest: &str) -> Vec<Dependency> {
    let mut found = Vec::new();
    let mut section = String::new();
    let mut has_reason = false;
    for line in manifest.lines() {
        if line.starts_with('[') {
            line.trim().clone_into(&mut section);
            has_reason = false;
        } else if line.starts_with('#') {
            has_reason = true;
        } else if line.trim().is_empty() {
            has_reason = false;
        } else if section.ends_with("dependencies]")
            && line.starts_with(|letter: char| letter.is_ascii_alphanumeric())
            && let Some((name, _)) = line.split_once([' ', '=', '.'])
        {
            found.push(Dependency { section: section.clone(), name: name.to_owned(), has_reason });
        }
    }
    found
}

#[test]
fn the_core_stands_on_what_is_listed_and_on_nothing_else() {
    let stated: BTreeSet<_> =
        dependencies(&read("crate/Cargo.toml")).into_iter().map(|it| (it.section, it.name)).collect();
    let listed: BTreeSet<_> = ALLOWED
        .iter()
        .flat_map(|(section, names)| names.iter().map(|name| ((*section).to_owned(), (*name).to_owned())))
        .collect();
    let unlisted: Vec<_> = stated.difference(&listed).collect();
    assert!(unlisted.is_empty(), "not in the list of tests/tidy/dependencies.rs: {unlisted:?}");
    let unused: Vec<_> = listed.difference(&stated).collect();
    assert!(unused.is_empty(), "listed but no longer in crate/Cargo.toml: {unused:?}");
}

#[test]
fn every_dependency_gives_its_reason() {
    let mut seen = 0;
    for manifest in files(".", "Cargo.toml") {
        for dependency in dependencies(&manifest.text) {
            seen += 1;
            assert!(dependency.has_reason, "{}: no comment says why {} is needed", manifest.name, dependency.name);
        }
    }
    assert!(seen > 10, "only {seen} dependencies found: the search must have missed them");
}

/// The glue is made by wasm-bindgen as a library; it must be of the very version the core was compiled with.
#[test]
fn wasm_bindgen_is_one_version_everywhere() {
    let exact = |manifest: &str, name: &str| {
        let manifest = read(manifest);
        let line = manifest.lines().find(|line| line.starts_with(name)).unwrap_or_default();
        let (_, version) = line.split_once("\"=").unwrap_or_else(|| panic!("{name} must name one exact version"));
        version.chars().take_while(|it| *it != '"').collect::<String>()
    };
    let core = exact("crate/Cargo.toml", "wasm-bindgen =");
    assert_eq!(core, exact("web/builder/Cargo.toml", "wasm-bindgen-cli-support ="));
    assert_eq!(core, exact("tests/wasm-runner/Cargo.toml", "wasm-bindgen-cli ="));
}
