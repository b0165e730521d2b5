//! Files that gave no spot: saying so, asking for what they lack, and reading them as a person says.

use super::files::{SourceFile, error_words};
use super::message::{Origin, Patch};
use super::session::Session;
use super::task::Purpose;
use super::views::choice;
use super::views::frame::{Ask, Words};
use crate::import::{ErrorKind, Reading};
use crate::time::UtcTime;
use crate::words::number::counted;

/// Files that gave no spot.
#[derive(Debug)]
pub(super) struct Unread {
    pub(super) files: Vec<SourceFile>,
    pub(super) readings: Vec<Reading>,
    /// For each reading the place of its file.
    pub(super) file_of: Vec<usize>,
    /// Is a person saying what the columns are?
    pub(super) by_hand: bool,
}

impl Unread {
    /// The first reading whose columns can be given a meaning.
    fn table(&self) -> Option<usize> {
        self.readings.iter().position(|reading| reading.columns.len() > 1)
    }
}

impl Session {
    /// Says why files gave no spot, and offers what may help.
    pub(super) fn say_unread(&mut self, mut unread: Unread) {
        unread.by_hand = self.unread.take().is_some_and(|before| before.by_hand) && unread.table().is_some();
        let readings = unread.readings.as_slice();
        let head = match readings {
            [one] => format!("{} was not read.", one.name),
            many => format!("None of {} was read.", counted(many.len(), "file", "files")),
        };
        let lines: Vec<String> = readings.iter().map(|reading| error_words(reading, readings.len() > 1)).collect();
        self.announce(format!("{head} {}", lines.join(" ")));
        // a file of times of day needs no more than its first date
        let undated = |reading: &Reading| reading.error.as_ref().is_some_and(|error| error.kind == ErrorKind::NoDate);
        let ask = readings.iter().any(undated).then(|| ask_date(""));
        let choices = match unread.table() {
            Some(_) if !unread.by_hand => vec![choice("by-hand", "", "Say what its columns are", false)],
            _ => Vec::new(),
        };
        // the panel says the same beside the columns
        self.notice = (!unread.by_hand || ask.is_some()).then_some(Words { head, lines, choices, ask });
        self.unread = Some(unread);
    }

    /// Puts their columns away; what may help them is still asked for.
    pub(super) fn leave_by_hand(&mut self) {
        if let Some(unread) = &mut self.unread {
            unread.by_hand = false;
        }
    }

    /// Shows the columns of files that gave no spot, to be given a meaning.
    pub(super) fn read_by_hand(&mut self) {
        let Some(unread) = &mut self.unread else { return };
        let Some(at) = unread.table() else { return };
        unread.by_hand = true;
        self.state.file = at;
        self.state.menu = None;
        if self.notice.as_ref().is_some_and(|notice| notice.ask.is_none()) {
            self.notice = None;
        }
        self.out.push(Patch::Focus { id: "role-0".to_owned() });
    }

    /// The date of the first row of files without dates was typed.
    pub(super) fn date_files(&mut self, typed: &str) {
        if self.is_busy() {
            return;
        }
        let Some(unread) = &self.unread else { return };
        let date = UtcTime::parse_iso(typed.trim()).filter(|_| typed.trim().len() == 10);
        let Some(date) = date.map(UtcTime::date) else {
            if let Some(notice) = &mut self.notice {
                notice.lines =
                    vec![format!("\u{201c}{}\u{201d} is no date. Write it like {EXAMPLE_DATE}.", typed.trim())];
                notice.ask = Some(ask_date(typed));
            }
            return;
        };
        let mut files = unread.files.clone();
        for file in &mut files {
            file.wishes.date = Some(date);
        }
        self.notice = None;
        self.begin(files, Purpose::Fresh(Origin::Person));
    }
}

/// How a date is to be written.
const EXAMPLE_DATE: &str = "2031-01-16";

fn ask_date(typed: &str) -> Ask {
    Ask {
        act: "first-date",
        label: "Date of the first row, UTC",
        example: EXAMPLE_DATE,
        typed: typed.to_owned(),
        button: "Read it with this date",
    }
}
