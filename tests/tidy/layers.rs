//! The order of the core's layers.

use std::collections::BTreeSet;

use crate::sources::{Source, files};

/// Pure functions that every layer may call, in order: each uses only those before it.
const PURE: [&str; 5] = ["units", "time", "order", "geography", "sky"];

/// Each layer with those it may use besides the pure ones.
const LAYERS: [(&str, &[&str]); 8] = [
    ("model", &[]),
    ("import", &["model"]),
    ("study", &["model"]),
    ("words", &["model", "study"]),
    ("draw", &[]),
    ("figure", &["model", "study", "words", "draw"]),
    ("share", &["import", "model", "study", "words", "draw", "figure"]),
    ("page", &["import", "model", "study", "words", "draw", "figure", "share"]),
];

/// Crates that only make sense in a browser, and where they may stand.
const BROWSER_CRATES: [&str; 4] = ["wasm_bindgen", "js_sys", "web_sys", "serde_wasm_bindgen"];
const BROWSER_PLACES: [&str; 2] = ["crate/src/draw/canvas", "crate/src/page/"];

fn allowed(layer: &str) -> BTreeSet<&'static str> {
    if let Some(place) = PURE.iter().position(|it| *it == layer) {
        return PURE.iter().take(place + 1).copied().collect();
    }
    let (own, others) = LAYERS
        .iter()
        .find(|(name, _)| *name == layer)
        .unwrap_or_else(|| panic!("crate/src/{layer} is no known layer; give it a place in tests/tidy/layers.rs"));
    PURE.iter().chain(others.iter()).chain([own]).copied().collect()
}

fn is_layer(name: &str) -> bool {
    PURE.contains(&name) || LAYERS.iter().any(|(layer, _)| *layer == name)
}

/// The layer of a source of the core; `lib.rs` has none.
fn layer_of(source: &Source) -> Option<&str> {
    let inside = source.name.strip_prefix("crate/src/")?;
    let first = inside.split('/').next()?;
    let layer = first.strip_suffix(".rs").unwrap_or(first);
    (layer != "lib").then_some(layer)
}

/// How many `super` lead from a source to the crate's root.
fn depth(source: &Source) -> usize {
    let inside = source.name.strip_prefix("crate/src/").unwrap_or_default();
    let folders = inside.matches('/').count();
    if inside.ends_with("/mod.rs") { folders } else { folders + 1 }
}

/// First segments of the paths that start at the crate's root in a line: after `crate::`, or after as many `super::`
/// as lead there. A group in braces gives each of its members.
fn used_from_root(line: &str, depth: usize) -> Vec<String> {
    let climb = "super::".repeat(depth);
    let mut used = Vec::new();
    for start in ["crate::", climb.as_str()] {
        for (index, _) in line.match_indices(start) {
            let before = line.get(..index).and_then(|it| it.chars().next_back());
            if before.is_some_and(|letter| letter.is_alphanumeric() || letter == '_' || letter == ':') {
                continue;
            }
            used.extend(first_segments(line.get(index + start.len()..).unwrap_or_default()));
        }
    }
    used
}

fn first_segments(path: &str) -> Vec<String> {
    let word = |text: &str| text.chars().take_while(|it| it.is_alphanumeric() || *it == '_').collect::<String>();
    let Some(group) = path.strip_prefix('{') else {
        return vec![word(path)];
    };
    let mut segments = Vec::new();
    let mut level = 0_i32;
    let mut member = String::new();
    for letter in group.chars() {
        match letter {
            '{' => level += 1,
            '}' if level == 0 => break,
            '}' => level -= 1,
            ',' if level == 0 => segments.push(word(std::mem::take(&mut member).trim())),
            _ if level == 0 => member.push(letter),
            _ => {}
        }
    }
    segments.push(word(member.trim()));
    segments
}

/// The code of a source with its lines joined, so that a `use` over several lines is one.
fn joined_code(source: &Source) -> String {
    source.code_lines().map(|(_, line)| line.trim()).collect::<Vec<_>>().join(" ")
}

#[test]
fn every_layer_uses_only_those_before_it() {
    let mut wrong = Vec::new();
    let mut edges = 0;
    for source in files("crate/src", ".rs") {
        let Some(layer) = layer_of(&source) else { continue };
        let allowed = allowed(layer);
        for used in used_from_root(&joined_code(&source), depth(&source)) {
            if !is_layer(&used) {
                continue;
            }
            edges += 1;
            if !allowed.contains(used.as_str()) {
                wrong.push(format!("{}: {layer} uses {used}", source.name));
            }
        }
    }
    assert!(edges > 50, "only {edges} uses found: the search must have missed them");
    wrong.dedup();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn browser_crates_stay_at_the_edge() {
    let mut found = 0;
    let mut wrong = Vec::new();
    for source in files("crate/src", ".rs") {
        for (number, line) in source.code_lines() {
            let words = line.split(|letter: char| !letter.is_alphanumeric() && letter != '_');
            if words.into_iter().any(|word| BROWSER_CRATES.contains(&word)) {
                found += 1;
                if !BROWSER_PLACES.iter().any(|place| source.name.starts_with(place)) {
                    wrong.push(format!("{}:{number}: {}", source.name, line.trim()));
                }
            }
        }
    }
    assert!(found > 0, "the page's seam uses them: the search must have missed it");
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn uses_are_found_in_every_form() {
    assert_eq!(used_from_root("use crate::study::Reach;", 2), ["study"]);
    assert_eq!(used_from_root("use crate::{model::{Band, Side}, time::UtcTime};", 2), ["model", "time"]);
    assert_eq!(used_from_root("let a = crate::units::watts(1.0) + super::super::time::now();", 2), ["units", "time"]);
    assert_eq!(used_from_root("use super::columns; pub(crate) fn it() {}", 2), Vec::<String>::new());
}
