//! The panel for saving: what is kept back, what leaves, and in which form.

use super::choice;
use crate::page::menus::Choice;
use crate::page::saving::Saving;
use crate::share::Leaves;
use crate::words::number::{count, counted};

/// The panel.
#[derive(Debug)]
pub(in crate::page) struct Save {
    pub(super) kept_back: [Choice; 4],
    /// What leaves, line by line.
    pub(super) leaves: Vec<String>,
    pub(super) paths: Choice,
    pub(super) forms: [Choice; 4],
    pub(super) tables: Vec<Choice>,
}

impl Save {
    pub(in crate::page) fn new(saving: Saving, leaves: &Leaves, tables: impl Iterator<Item = &'static str>) -> Self {
        let privacy = saving.privacy;
        let back = |value: &str, label: &str, on| choice("keep-back", value, label, on);
        let form = |value: &str, label: &str| choice("save", value, label, false);
        Self {
            kept_back: [
                back("places", "places to 4 characters", privacy.short_locators),
                back("calls", "others\u{2019} calls", privacy.number_calls),
                back("tested", "tested call", privacy.hide_tested),
                back("notes", "names and notes", privacy.no_notes),
            ],
            leaves: lines(leaves),
            paths: back("paths", "with paths", saving.paths),
            forms: [
                form("csv", "Spots, CSV"),
                form("adi", "Spots, ADIF"),
                form("geojson", "Map, GeoJSON"),
                form("kml", "Map, KML"),
            ],
            tables: tables.map(|word| form(word, &word.replace('-', " "))).collect(),
        }
    }
}

fn lines(leaves: &Leaves) -> Vec<String> {
    let span = leaves.span.map_or_else(String::new, |(first, last)| {
        format!(", {} to {} UTC", first.date_and_minute(), last.date_and_minute())
    });
    let far = counted(leaves.far, "call", "calls");
    let mut lines = vec![
        format!("{}{span}", counted(leaves.spots, "spot", "spots")),
        format!(
            "Tested: {}; others: {far}{}",
            leaves.tested.join(", "),
            if leaves.numbered { ", as numbers" } else { "" }
        ),
    ];
    let locators = leaves.locators.iter().zip([2, 4, 6, 8, 10]).filter(|(n, _)| **n > 0);
    let locators: Vec<String> = locators.map(|(n, chars)| format!("{} of {chars}", count(*n))).collect();
    let listed = |head: &str, items: &[String], none: &str| {
        format!("{head}: {}", if items.is_empty() { none.to_owned() } else { items.join(", ") })
    };
    lines.push(listed("Locators by characters", &locators, "none"));
    lines.push(listed("Files, in the CSV of spots", &leaves.files, "no names"));
    let notes = counted(leaves.notes, "note", "notes");
    lines.push(format!("{}; {notes} on them", listed("Runs, in tables", &leaves.runs, "none")));
    lines
}
