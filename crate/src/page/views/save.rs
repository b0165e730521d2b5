//! The panel for saving: what is kept back, what leaves, and in which form.

use askama::Template;

use super::choice;
use crate::page::menus::Choice;
use crate::page::saving::Saving;
use crate::share::Leaves;
use crate::words::number::{count, counted};

/// The panel as markup.
#[derive(Debug, Template)]
#[template(path = "save.html")]
pub(in crate::page) struct SavePanel {
    pub(in crate::page) save: Save,
}

/// The panel.
#[derive(Debug)]
pub(in crate::page) struct Save {
    /// What leaves, line by line.
    pub(super) leaves: Vec<String>,
    /// What can be kept back, and what can be saved, with what each group is.
    pub(super) groups: Vec<(&'static str, Vec<Choice>)>,
    /// Who shares a page, if they say so.
    pub(super) by: String,
}

/// Can be kept back: word, label.
const KEPT_BACK: [(&str, &str); 4] = [
    ("places", "places to 4 characters"),
    ("calls", "others\u{2019} calls"),
    ("tested", "tested call"),
    ("notes", "names and notes"),
];
/// Forms that are no tables.
const FORMS: [(&str, &str); 4] =
    [("csv", "spots, CSV"), ("adi", "spots, ADIF"), ("geojson", "map, GeoJSON"), ("kml", "map, KML")];
/// The report: what it is.
const REPORT: (&str, &str) = ("report", "one page to read or print, without script");
/// The page to be shared: what it is.
const PAGE: (&str, &str) = ("page", "this page with these spots, to explore");
/// Forms of the picture.
const PICTURES: [(&str, &str); 7] = [
    ("svg", "SVG"),
    ("svg-work", "SVG with these spots inside"),
    ("png-1", "PNG, 800 wide"),
    ("png-2", "1\u{202f}600"),
    ("png-4", "3\u{202f}200"),
    ("copy", "copy"),
    ("send", "send"),
];

/// Forms of the picture of differences.
const DIFFERENCES: [(&str, &str); 4] = [
    ("difference-svg", "SVG"),
    ("difference-png-1", "PNG, 800 wide"),
    ("difference-png-2", "1\u{202f}600"),
    ("difference-png-4", "3\u{202f}200"),
];

impl Save {
    /// `pictured` says whether there is a Disc to save, `two` whether two runs are compared, `tables` which tables there are.
    pub(in crate::page) fn new(
        saving: Saving,
        leaves: &Leaves,
        control: Option<(String, usize)>,
        [pictured, two]: [bool; 2],
        tables: impl Iterator<Item = &'static str>,
    ) -> Self {
        let privacy = saving.privacy;
        let on = [privacy.short_locators, privacy.number_calls, privacy.hide_tested, privacy.no_notes];
        let button = |act, (value, label): (&'static str, &'static str), on| choice(act, value, label, on);
        let mut forms: Vec<Choice> = FORMS.into_iter().map(|form| button("save", form, false)).collect();
        forms.push(button("keep-back", ("paths", "with paths"), saving.paths));
        let kept_back = KEPT_BACK.into_iter().zip(on).map(|(of, on)| button("keep-back", of, on)).collect();
        let mut groups = vec![
            ("Keep back", kept_back),
            ("Report", vec![button("save", REPORT, false)]),
            ("Shareable page", vec![button("save", PAGE, false)]),
            ("Data", forms),
        ];
        if pictured {
            let pictures = PICTURES
                .into_iter()
                .filter(|(form, _)| saving.sends || *form != "send")
                .map(|form| button("save", form, false))
                .collect();
            groups.push(("The Disc as a picture", pictures));
        }
        if two {
            let forms = DIFFERENCES.into_iter().map(|form| button("save", form, false)).collect();
            groups.push(("Differences by band as a picture", forms));
        }
        let tables = tables.map(|word| choice("save", word, word.replace('-', " "), false)).collect();
        groups.push(("Tables, CSV", tables));
        let mut leaves = lines(leaves);
        leaves.extend(control.map(|(call, spots)| {
            format!("Control, with spots to explore: {call}, {}", counted(spots, "spot", "spots"))
        }));
        Self { leaves, groups, by: saving.by }
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
    lines.push(listed("Files, in the CSV of spots and in the report", &leaves.files, "no names"));
    let notes = counted(leaves.notes, "note", "notes");
    lines.push(format!("{}; {notes} on them", listed("Runs, in tables and in the report", &leaves.runs, "none")));
    lines
}
