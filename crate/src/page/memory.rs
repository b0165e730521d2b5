//! Corrections remembered by the headings of the files they were made for.

use serde::{Deserialize, Serialize};

use crate::import::Wishes;

/// Kinds of files remembered; the one corrected longest ago makes room.
const MOST_KINDS: usize = 50;
/// A longer text is none of ours.
const MOST_BYTES: usize = 256 * 1024;

/// What was corrected, by headings.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(transparent)]
pub(super) struct Memory {
    kinds: Vec<Kind>,
}

/// Files with the same headings, and how they are read.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
struct Kind {
    headings: String,
    wishes: Wishes,
}

impl Memory {
    /// What [`Memory::text`] wrote; anything else is nothing remembered.
    pub(super) fn from_text(text: &str) -> Self {
        if text.len() > MOST_BYTES {
            return Self::default();
        }
        let mut memory: Self = serde_json::from_str(text).unwrap_or_default();
        memory.kinds.truncate(MOST_KINDS);
        memory
    }

    /// A text to keep.
    pub(super) fn text(&self) -> String {
        serde_json::to_string(self).unwrap_or_default()
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
    use crate::import::DateOrder;

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
    fn what_is_no_memory_is_an_empty_one_and_room_is_bounded() {
        for text in ["", "{", "[1]", "[{\"headings\":\"a\",\"wishes\":{\"unknown\":1}}]"] {
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
