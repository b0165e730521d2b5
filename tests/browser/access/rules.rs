//! axe-core finds nothing in any state and theme, against the rules of WCAG 2.0 to 2.2, levels A and AA.

use serde::Deserialize;
use serde_json::json;

use super::states::{Room, media, probe, walk};
use crate::harness::Browser;

/// The checker; see `tests/axe/README.md`.
const AXE: &str = include_str!("../../axe/axe.min.js");

/// The rules whose outcome a theme can change, by colour and size; the others look at markup, which is the same.
const OF_A_THEME: [&str; 3] = ["color-contrast", "target-size", "link-in-text-block"];
/// The same where the colours were judged before: a phone has those of a desk, and `probe.contrasts` reckons them.
const OF_A_THEME_BUT_COLOUR: [&str; 2] = ["target-size", "link-in-text-block"];

/// What axe-core cannot decide by itself: rule, part of its reason, and why that is all right.
const JUDGED: &[(&str, &str, &str)] = &[
    (
        "color-contrast",
        "Obscur",
        "words scrolled out of their frame, or below a menu that is open: `probe.contrasts` reckons all words of the page",
    ),
    ("color-contrast", "shortTextContent", "single figures and dashes: `probe.contrasts` reckons them too"),
    (
        "color-contrast",
        "imgNode",
        "words over a picture stand on its ground; `crate/src/draw/palette.rs` holds all words against all grounds",
    ),
    (
        "color-contrast",
        "bgOverlap",
        "something without a ground of its own lies over the words, such as the frame that says nothing is left; \
         `probe.contrasts` reckons them",
    ),
    ("target-size", "contentOverflow", "the target lies in a frame that scrolls; `probe.targets` measures it"),
    (
        "th-has-data-cells",
        "th-has-data-cells",
        "the rows that were set aside: a cell that is empty in the file is written 'empty', but a column may be cut short",
    ),
];

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

/// What is found in the page by some rules, by all if none is named, and is not judged above.
pub(crate) fn look(browser: &Browser, rules: &[&str]) -> Vec<String> {
    if browser.value("typeof axe") == json!("undefined") {
        browser.script(AXE, Vec::new());
    }
    let found = browser.script("return probe.judged(arguments[0]);", vec![json!(rules)]);
    let found: Found = serde_json::from_value(found).expect("findings");
    let undecided = found
        .incomplete
        .into_iter()
        .filter(|one| !JUDGED.iter().any(|(rule, why, _)| one.rule == *rule && one.why.contains(why)));
    let violations = found.violations.into_iter().map(|one| format!("{} at {}: {}", one.rule, one.place, one.words));
    violations
        .chain(undecided.map(|one| format!("{} cannot be decided at {} ({})", one.rule, one.place, one.why)))
        .collect()
}

/// Looks at every state in a room, in each theme, by what `more` asks for too.
fn every_state(browser: &Browser, room: Room, themes: &[&str], more: &[&str]) {
    let mut wrong = Vec::new();
    for theme in themes {
        let rules: &[&str] = match (*theme, room) {
            ("light", _) => &[],
            (_, Room::Desk) => &OF_A_THEME,
            (_, Room::Phone) => &OF_A_THEME_BUT_COLOUR,
        };
        walk(browser, room, &format!("probe.press('#theme-{theme}')"), |state| {
            let mut found = look(browser, rules);
            for instrument in more {
                found.extend(probe(browser, instrument));
            }
            wrong.extend(found.into_iter().map(|words| format!("{theme}, {state}: {words}")));
        });
    }
    assert!(wrong.is_empty(), "{} findings:\n{}", wrong.len(), wrong.join("\n"));
}

#[test]
fn rules_hold_in_every_state_and_theme_on_a_desk() {
    let browser = Browser::start();
    browser.resize(1440, 900);
    every_state(&browser, Room::Desk, &["light", "dark", "sun"], &["contrasts()", "targets(24, 20)"]);
}

#[test]
fn rules_hold_in_every_state_and_theme_on_a_phone() {
    let browser = Browser::start();
    browser.resize(390, 844);
    every_state(&browser, Room::Phone, &["light", "dark", "sun"], &["contrasts()", "targets(44, 24)"]);
}

/// Forced colours are the reader's own; what is left to the page is that words and controls stay.
#[test]
fn rules_hold_with_forced_colours() {
    let browser = Browser::start();
    browser.resize(1440, 900);
    media(&browser, "forced-colors", "active");
    let mut wrong = Vec::new();
    walk(&browser, Room::Desk, "", |state| {
        let mut found = probe(&browser, "contrasts()");
        if ["empty", "sample, Disc", "menu of bands", "Compare, how", "run editor", "Reading"].contains(&state) {
            found.extend(look(&browser, &[]));
        }
        wrong.extend(found.into_iter().map(|words| format!("{state}: {words}")));
    });
    assert!(wrong.is_empty(), "{} findings:\n{}", wrong.len(), wrong.join("\n"));
}
