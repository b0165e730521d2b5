//! Counting while rows are read, and turning the counts into notes.

use std::borrow::Cow;

use super::delimited::lines::count_lines;
use super::problem;
use super::reading::{Note, Reading, SetAside, SoFar};
use super::words::{NoteKind, Reason};

/// Rows set aside whose text is kept and quoted; the rest keep line and reason.
const MOST_QUOTED: usize = 5_000;
/// Longest row whose text is kept, in bytes.
const LONGEST_KEPT: usize = 64 * 1024;

/// What happened to the rows of one pass over a table.
#[derive(Debug, Default)]
pub(crate) struct Account {
    pub(crate) rows: u64,
    pub(crate) spots: u64,
    pub(crate) duplicates: u64,
    pub(crate) set_aside: Vec<SetAside>,
    pub(crate) locator_missing: u64,
    pub(crate) locator_unreadable: u64,
    pub(crate) locator_shortened: u64,
    pub(crate) freq_unreadable: u64,
    /// ADIF frequencies that are not in megahertz.
    pub(crate) freq_in_other_unit: u64,
    /// Frequencies of a table that are in another unit than their column.
    pub(crate) freq_in_units: u64,
    pub(crate) snr_unreadable: u64,
    pub(crate) power_unreadable: u64,
    pub(crate) band_disagrees: u64,
    pub(crate) brackets: u64,
    pub(crate) calls_changed: u64,
    pub(crate) offsets: u64,
    pub(crate) lines_skipped: u64,
    pub(crate) repeated_headers: u64,
    pub(crate) bad_quotes: u64,
    pub(crate) first_bad_quote: u32,
}

/// The cell for which a row is set aside.
#[derive(Clone, Copy, Debug)]
pub(crate) struct AtFault<'a> {
    /// Its column in words.
    pub(crate) column: &'a str,
    /// Its column counted from 0, in a table.
    pub(crate) number: Option<usize>,
    pub(crate) cell: &'a [u8],
}

impl Account {
    /// Sets a row aside.
    pub(crate) fn set_aside(&mut self, reason: Reason, line: u32, at: &AtFault<'_>, raw: &[u8]) {
        self.rows += 1;
        let &AtFault { column, number, cell } = at;
        let column_number = number.and_then(|number| u16::try_from(number).ok());
        let lines = u16::try_from(count_lines(raw) + 1).unwrap_or(u16::MAX);
        let (text, raw) = if self.set_aside.len() < MOST_QUOTED {
            let raw = (raw.len() <= LONGEST_KEPT).then(|| String::from_utf8_lossy(raw).into());
            (Cow::Owned(problem::set_aside(reason, line, column, cell)), raw)
        } else {
            (Cow::Borrowed(problem::general(reason)), None)
        };
        self.set_aside.push(SetAside { line, reason, text, column: column_number, lines, raw });
    }

    /// Rows, spots, repeats and rows set aside.
    pub(crate) fn so_far(&self) -> SoFar {
        SoFar {
            rows: self.rows,
            spots: self.spots,
            duplicates: self.duplicates,
            set_aside: self.set_aside.len() as u64,
        }
    }

    /// Adds another pass over a later part of the same file.
    pub(crate) fn join(&mut self, later: Self) {
        self.rows += later.rows;
        self.spots += later.spots;
        self.duplicates += later.duplicates;
        self.set_aside.extend(later.set_aside);
        self.locator_missing += later.locator_missing;
        self.locator_unreadable += later.locator_unreadable;
        self.locator_shortened += later.locator_shortened;
        self.freq_unreadable += later.freq_unreadable;
        self.freq_in_other_unit += later.freq_in_other_unit;
        self.freq_in_units += later.freq_in_units;
        self.snr_unreadable += later.snr_unreadable;
        self.power_unreadable += later.power_unreadable;
        self.band_disagrees += later.band_disagrees;
        self.brackets += later.brackets;
        self.calls_changed += later.calls_changed;
        self.offsets += later.offsets;
        self.lines_skipped += later.lines_skipped;
        self.repeated_headers += later.repeated_headers;
        if self.bad_quotes == 0 {
            self.first_bad_quote = later.first_bad_quote;
        }
        self.bad_quotes += later.bad_quotes;
    }

    /// Are all rows set aside for this reason, and is there one?
    pub(crate) fn is_all(&self, reason: Reason) -> bool {
        !self.set_aside.is_empty() && self.set_aside.iter().all(|s| s.reason == reason)
    }

    /// Writes the counts and their notes into a reading.
    pub(crate) fn settle(self, reading: &mut Reading) {
        let mut note = |kind: NoteKind, count: u64, text: &dyn Fn(&str) -> String| {
            if count > 0 {
                let number = count.to_string();
                reading.notes.push(Note { kind, count: Some(count), text: text(&number) });
            }
        };
        note(NoteKind::OffsetsConverted, self.offsets, &|n| {
            format!("{n} {} given with an offset and turned into UTC.", were(self.offsets, "time", "times"))
        });
        note(NoteKind::LinesSkipped, self.lines_skipped, &|n| {
            format!(
                "{n} {} outside the table (comments, titles, rules, row counts) and skipped.",
                were(self.lines_skipped, "line", "lines")
            )
        });
        note(NoteKind::RepeatedHeader, self.repeated_headers, &|n| {
            format!(
                "The header line comes again {} among the rows and is no spot.",
                if self.repeated_headers == 1 { "once".to_owned() } else { format!("{n} times") }
            )
        });
        note(NoteKind::BadQuote, self.bad_quotes, &|n| {
            format!(
                "Quotes that are not closed were taken as text in {n} {}, first on line {}.",
                plural(self.bad_quotes, "row", "rows"),
                self.first_bad_quote
            )
        });
        note(NoteKind::DuplicatesDropped, self.duplicates, &|n| {
            format!(
                "{n} {} a spot exactly and {} once.",
                plural(self.duplicates, "row repeats", "rows repeat"),
                plural(self.duplicates, "counts", "count")
            )
        });
        note(NoteKind::LocatorMissing, self.locator_missing, &|n| {
            format!(
                "{n} {} no locator: kept, but without distance and bearing.",
                plural(self.locator_missing, "cell has", "cells have")
            )
        });
        note(NoteKind::LocatorUnreadable, self.locator_unreadable + self.locator_shortened, &|n| {
            let shortened = match self.locator_shortened {
                0 => String::new(),
                some => format!("; {some} of them {} shortened to a whole locator", plural(some, "was", "were")),
            };
            format!(
                "{n} {} something that is no whole locator{shortened}.",
                plural(self.locator_unreadable + self.locator_shortened, "cell has", "cells have")
            )
        });
        note(NoteKind::FrequencyUnreadable, self.freq_unreadable, &|n| {
            format!(
                "{n} {} cannot be read: kept without frequency.",
                plural(self.freq_unreadable, "frequency", "frequencies")
            )
        });
        note(NoteKind::FrequencyUnit, self.freq_in_other_unit, &|n| {
            format!(
                "{n} {} not in MHz, as ADIF has them, but in kHz or Hz: no other unit meets a band.",
                were(self.freq_in_other_unit, "frequency", "frequencies")
            )
        });
        note(NoteKind::FrequencyUnitsMixed, self.freq_in_units, &|n| {
            format!(
                "{n} {} where nobody sends in the unit of the others, and read in the one in which a band is met.",
                were(self.freq_in_units, "frequency", "frequencies")
            )
        });
        note(NoteKind::BandFrequencyDisagree, self.band_disagrees, &|n| {
            format!(
                "In {n} {} band and frequency disagree; the frequency counts.",
                plural(self.band_disagrees, "row", "rows")
            )
        });
        note(NoteKind::SnrUnreadable, self.snr_unreadable, &|n| {
            format!(
                "{n} {} no SNR in decibels (599 is a report of readability, strength and tone): kept without SNR.",
                plural(self.snr_unreadable, "level is", "levels are")
            )
        });
        note(NoteKind::PowerUnreadable, self.power_unreadable, &|n| {
            format!(
                "{n} {} cannot be read as a power: kept without power.",
                plural(self.power_unreadable, "cell", "cells")
            )
        });
        note(NoteKind::CallBracketsRemoved, self.brackets, &|n| {
            format!("{n} {} in brackets, which were taken away.", were(self.brackets, "call", "calls"))
        });
        note(NoteKind::CallChanged, self.calls_changed, &|n| {
            format!(
                "{n} {} with unusual characters (a stroked zero, wide letters, blanks) and put right.",
                were(self.calls_changed, "call", "calls")
            )
        });
        reading.rows = self.rows;
        reading.spots = self.spots;
        reading.duplicates = self.duplicates;
        reading.set_aside = self.set_aside;
    }
}

fn plural<'a>(count: u64, one: &'a str, many: &'a str) -> &'a str {
    if count == 1 { one } else { many }
}

fn were(count: u64, one: &str, many: &str) -> String {
    if count == 1 { format!("{one} was") } else { format!("{many} were") }
}
