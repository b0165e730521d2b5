//! axe-core finds nothing in any state and theme, against the rules of WCAG 2.0 to 2.2, levels A and AA.

use serde::Deserialize;
use serde_json::json;

use super::states::{Room, walk};
use crate::harness::Browser;

/// The checker; see `tests/axe/README.md`.
const AXE: &str = include_str!("../../axe/axe.min.js");

/// What axe-core cannot decide by itself, and why each of it is all right: rule, part of its reason, why.
const JUDGED: &[(&str, &str, &str)] = &[];

#[derive(Debug, Deserialize)]
struct Found {
    violations: Vec<Finding>,
    incomplete: Vec<Finding>,
}

#[derive(Debug, Deserialize)]
struct Finding {
    rule: String,
    #[serde(rename = "where")]
    place: String,
    why: String,
    words: String,
}

fn look(browser: &Browser, rules: &[&str], state: &str, wrong: &mut Vec<String>) {
    browser.script(AXE, Vec::new());
    let found = browser.script("return probe.judged(arguments[0]);", vec![json!(rules)]);
    let found: Found = serde_json::from_value(found).expect("findings");
    for one in found.violations {
        wrong.push(format!("{state}: {} at {}: {}", one.rule, one.place, one.words));
    }
    for one in found.incomplete {
        if !JUDGED.iter().any(|(rule, why, _)| one.rule == *rule && one.why.contains(why)) {
            wrong.push(format!("{state}: {} cannot be decided at {} ({}): {}", one.rule, one.place, one.why, one.words));
        }
    }
}

fn every_state(room: Room, width: u32, height: u32) {
    let browser = Browser::start();
    browser.resize(width, height);
    let mut wrong = Vec::new();
    for theme in ["light", "dark", "sun"] {
        let before = format!("probe.press('#theme-{theme}')");
        walk(&browser, room, &before, |state| {
            let start = std::time::Instant::now();
            look(&browser, &[], &format!("{theme}, {state}"), &mut wrong);
            eprintln!("{room:?} {theme} {state} {:?}", start.elapsed());
            browser.picture(&format!("access-{room:?}-{theme}-{}", state.replace(' ', "-")));
        });
    }
    assert!(wrong.is_empty(), "{} findings:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn rules_hold_in_every_state_on_a_desk() {
    every_state(Room::Desk, 1440, 900);
}

#[test]
fn rules_hold_in_every_state_on_a_phone() {
    every_state(Room::Phone, 390, 844);
}
