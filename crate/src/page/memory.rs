//! Corrections remembered by the headings of the files they were made for.

use super::percent::{decoded, encoded};
use crate::import::Wishes;

/// Kinds of files remembered; the one corrected longest ago makes room.
const MOST_KINDS: usize = 50;
/// A longer text is none of ours.
const MOST_BYTES: usize = 256 * 1024;
/// The first line of what is kept: another one is none of ours.
const HEAD: &str = "corrections 1";

/// What was corrected, by headings.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Memory {
    kinds: Vec<Kind>,
}

/// Files with the same headings, and how they are read.
#[derive(Clone, Debug, PartialEq)]
struct Kind {
    headings: String,
    wishes: Wishes,
}

impl Kind {
    /// One line: the headings, then what was corrected as `word=value`, all apart by blanks.
    fn line(&self) -> String {
        let wishes = self.wishes.words().into_iter().map(|(word, value)| format!("{word}={}", encoded(&value)));
        std::iter::once(encoded(&self.headings)).chain(wishes).collect::<Vec<_>>().join(" ")
    }

    /// What [`Kind::line`] wrote; `None` for a line with a word that is not understood.
    fn of_line(line: &str) -> Option<Self> {
        let mut parts = line.split(' ');
        let headings = decoded(parts.next()?);
        let mut wishes = Wishes::default();
        for part in parts {
            let (word, value) = part.split_once('=')?;
            wishes.take(word, &decoded(value))?;
        }
        Some(Self { headings, wishes })
    }
}

impl Memory {
    /// What [`Memory::text`] wrote; anything else is nothing remembered.
    pub(super) fn from_text(text: &str) -> Self {
        let mut lines = text.lines();
        if text.len() > MOST_BYTES || lines.next() != Some(HEAD) {
            return Self::default();
        }
        Self { kinds: lines.take(MOST_KINDS).filter_map(Kind::of_line).collect() }
    }

    /// A text to keep.
    ///
    /// Not JSON: its reader and writer would weigh 20 kB in the page, most of it for numbers that are not here.
    pub(super) fn text(&self) -> String {
        let lines: Vec<String> = self.kinds.iter().map(Kind::line).collect();
        format!("{HEAD}\n{}", lines.join("\n"))
    }

    /// Is nothing remembered?
    pub(super) fn is_empty(&self) -> bool {
        self.kinds.is_empty()
    }

    /// How files with these headings are to be read, if that was ever corrected.
    pub(super) fn recall(&self, headings: &str) -> Option<&Wishes> {
        self.kinds.iter().find(|kind| kind.headings == headings).map(|kind| &kind.wishes)
    }

    /// Remembers corrections; none at all forgets these headings.
    pub(super) fn remember(&mut self, headings: &str, wishes: &Wishes) {
        self.kinds.retain(|kind| kind.headings != headings);
        // a date belongs to one file, not to its kind
        let wishes = Wishes { date: None, ..wishes.clone() };
        if wishes != Wishes::default() {
            self.kinds.insert(0, Kind { headings: headings.to_owned(), wishes });
            self.kinds.truncate(MOST_KINDS);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::import::{
        DateOrder, DecimalMark, Delimiter, Encoding, FreqUnit, HeaderWish, PowerUnit, Reason, Report, Role,
    };

    fn wish(order: DateOrder) -> Wishes {
        Wishes { date_order: Some(order), ..Wishes::default() }
    }

    #[test]
    fn the_last_correction_counts_and_none_forgets() {
        let mut memory = Memory::default();
        memory.remember("a\u{1f}b", &wish(DateOrder::DayFirst));
        memory.remember("a\u{1f}b", &wish(DateOrder::MonthFirst));
        memory.remember("c", &wish(DateOrder::DayFirst));
        assert_eq!(memory.recall("a\u{1f}b"), Some(&wish(DateOrder::MonthFirst)));
        assert_eq!(Memory::from_text(&memory.text()), memory);
        memory.remember("a\u{1f}b", &Wishes { date: Some((2031, 1, 16)), ..Wishes::default() });
        assert_eq!(memory.recall("a\u{1f}b"), None);
        assert!(!memory.is_empty());
    }

    #[test]
    fn every_correction_comes_back() {
        let wishes = Wishes {
            roles: Some(vec![Some(Role::Time), None, Some(Role::Tx)]),
            delimiter: Some(Delimiter::Char(b' ')),
            header: Some(HeaderWish::Line(3)),
            encoding: Some(Encoding::Utf16Le),
            date_order: Some(DateOrder::DayFirst),
            utc_offset_s: Some(-5400),
            freq_unit: Some(FreqUnit::ALL[0]),
            power_unit: Some(PowerUnit::ALL[0]),
            decimal_mark: Some(DecimalMark::Comma),
            date: None,
            use_set_aside: Some(vec![Reason::CutLine, Reason::TooManyColumns]),
            report: Some(Report::ALL[0]),
        };
        let mut memory = Memory::default();
        memory.remember("time, \u{e4}\u{1f}a=b\nc", &wishes);
        memory.remember("", &Wishes { header: Some(HeaderWish::Absent), ..Wishes::default() });
        assert_eq!(Memory::from_text(&memory.text()), memory);
    }

    #[test]
    fn what_is_no_memory_is_an_empty_one_and_room_is_bounded() {
        for text in [
            "",
            "{",
            "[1]",
            "corrections 2\na dates=day-first",
            "corrections 1\na unknown=1",
            "corrections 1\na dates=no",
        ] {
            assert!(Memory::from_text(text).is_empty(), "{text}");
        }
        let mut memory = Memory::default();
        for kind in 0..MOST_KINDS + 5 {
            memory.remember(&kind.to_string(), &wish(DateOrder::DayFirst));
        }
        assert_eq!(memory.recall("0"), None);
        assert!(memory.recall("6").is_some());
    }
}
