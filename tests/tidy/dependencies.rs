//! What the core stands on.

use std::collections::BTreeSet;

use crate::sources::{files, read, root};

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
    ("[dev-dependencies]", &["base64", "cap", "csv", "encoding_rs", "geojson", "proptest", "roxmltree", "zip"]),
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

/// Licences under which a package may be built into this project or used to build and test it: all of them let anybody
/// pass the page on.
const LICENCES: &[&str] = &[
    "0BSD",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "BSL-1.0",
    "CC0-1.0",
    "ISC",
    "MIT",
    "MPL-2.0",
    "Unicode-3.0",
    "Unicode-DFS-2016",
    "Unlicense",
    "Zlib",
];

/// Whether one of the ways that an SPDX expression leaves open has licences of the list only.
fn may_be_used(expression: &str) -> bool {
    let expression = expression.replace('/', " OR ");
    // none of the expressions met nests deeper than one pair of brackets
    let bracketed = expression.split_once('(').and_then(|(before, rest)| Some((before, rest.split_once(')')?)));
    let flat = match bracketed {
        Some((before, (inner, after))) => {
            let kept = inner.split(" OR ").find(|way| LICENCES.contains(&way.trim())).unwrap_or("none of them");
            format!("{before}{kept}{after}")
        }
        None => expression.clone(),
    };
    flat.split(" OR ").any(|way| way.split(" AND ").all(|licence| LICENCES.contains(&licence.trim())))
}

#[test]
fn every_package_may_be_passed_on() {
    let told = std::process::Command::new(env!("CARGO"))
        .current_dir(root())
        .args(["metadata", "--format-version=1", "--locked"])
        .output()
        .unwrap();
    let told: serde_json::Value = serde_json::from_slice(&told.stdout).unwrap();
    let packages = told["packages"].as_array().unwrap();
    assert!(packages.len() > 100, "{} packages", packages.len());
    let licence = |package: &serde_json::Value| package["license"].as_str().unwrap_or("no licence").to_owned();
    let wrong: Vec<String> = packages
        .iter()
        .filter(|package| !may_be_used(&licence(package)))
        .map(|package| format!("{} {}: {}", package["name"], package["version"], licence(package)))
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn licences_are_weighed() {
    for good in ["MIT", "MIT/Apache-2.0", "(MIT OR GPL-3.0-only) AND Unicode-3.0", "GPL-2.0-only OR ISC"] {
        assert!(may_be_used(good), "{good}");
    }
    for bad in ["GPL-3.0-only", "MIT AND GPL-2.0-only", "(GPL-3.0-only OR AGPL-3.0-only) AND MIT", "no licence"] {
        assert!(!may_be_used(bad), "{bad}");
    }
}

/// Everything locked comes from the registry with a sum of its content, so that nobody can put another in its place.
#[test]
fn every_locked_package_has_a_source_and_a_sum() {
    let lock = read("Cargo.lock");
    let packages = lock.split("[[package]]").skip(1);
    for package in packages.filter(|package| package.contains("source = ")) {
        assert!(package.contains("source = \"registry+https://github.com/rust-lang/crates.io-index\""), "{package}");
        assert!(package.contains("checksum = \""), "{package}");
    }
}
