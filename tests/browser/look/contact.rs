//! All screenshots on one page, for people: a row for each state, a column for each look.

use std::fmt::Write as _;
use std::fs;
use std::path::PathBuf;

use super::looks::LOOKS;
use crate::access::states::STATES;
use crate::harness::scratch::root;

pub(super) fn folder() -> PathBuf {
    root().join("target").join("pictures").join("page")
}

/// The name of a screenshot's file: states keep their order in it, and what lies below has a number.
pub(super) fn file(state: &str, screen: usize) -> String {
    let at = STATES.iter().position(|it| it.name == state).expect("a state of the walk");
    let words: Vec<_> =
        state.split(|letter: char| !letter.is_ascii_alphanumeric()).filter(|it| !it.is_empty()).collect();
    let below = if screen == 0 { String::new() } else { format!("-{}", screen + 1) };
    format!("{:02}-{}{below}.png", at + 1, words.join("-"))
}

/// Writes it; each test does, whichever ends last.
pub(super) fn write() {
    let mut html = String::from(
        "<!doctype html><meta charset=utf-8><title>The page in all its states</title><style>\
         body{font:14px/20px sans-serif;background:#888}td,th{vertical-align:top;text-align:left;padding:4px}\
         th{position:sticky;top:0;background:#ccc}img{width:360px}\
         </style><table><tr><th>state</th>",
    );
    for look in LOOKS {
        write!(html, "<th>{}", look.name).expect("memory takes it");
    }
    for state in STATES {
        write!(html, "<tr><th>{}", state.name).expect("memory takes it");
        for look in LOOKS {
            html.push_str("<td>");
            for screen in (0..2).filter(|_| look.shows(state)) {
                // a page that fills one window only has no second file
                let address = format!("{}/{}", look.name, file(state.name, screen));
                write!(html, "<a href=\"{address}\"><img loading=lazy alt=\"\" src=\"{address}\"></a><br>")
                    .expect("memory takes it");
            }
        }
    }
    fs::create_dir_all(folder()).expect("target/pictures/page/ can be made");
    fs::write(folder().join("index.html"), html).expect("target/pictures/page/ can be written");
}
