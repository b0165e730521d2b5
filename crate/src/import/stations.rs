//! Cells to stations, each pair of spellings read once.

use hashbrown::HashTable;

use super::fields::call::{self, CallCell};
use super::fields::cell;
use super::fields::place::{self, PlaceCell};
use crate::geography::Locator;
use crate::model::{StationId, TableBuilder, hash_of_words};

/// What a pair of cells, call and locator, stands for.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Found {
    /// The station, if the call is one.
    pub(crate) station: Option<StationId>,
    pub(crate) call: CallCell,
    pub(crate) place: PlaceCell,
}

/// Remembers what pairs of cells stand for.
#[derive(Debug, Default)]
pub(crate) struct StationReader {
    known: HashTable<u32>,
    entries: Vec<(Key, Found)>,
    /// What was read last: the tested station stands in every row.
    last: [Option<(Key, Found)>; 2],
    upper: String,
    plain: String,
}

/// Which of the two stations of a row is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Sends,
    Hears,
}

/// Two short cells, exactly: their lengths with the words that begin and end them.
#[derive(Clone, Copy, Debug)]
struct Key([u64; 5]);

impl PartialEq for Key {
    /// Word by word without a branch: quicker than comparing memory, which calls the C library.
    #[inline]
    fn eq(&self, other: &Self) -> bool {
        self.0.iter().zip(&other.0).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
    }
}

/// Longer cells are read anew each time: they are no stations, and keeping them could fill memory.
const LONGEST: usize = 16;

impl Key {
    #[inline]
    fn of(call: &[u8], place: &[u8]) -> Option<Self> {
        if call.len() > LONGEST || place.len() > LONGEST {
            return None;
        }
        let ((a, b), (c, d)) = (cell::words(call), cell::words(place));
        Some(Self([(call.len() << 8 | place.len()) as u64, a, b, c, d]))
    }

    #[inline]
    fn hash(&self) -> u64 {
        hash_of_words(self.0)
    }
}

impl StationReader {
    /// Reads a pair of cells. `place` may be empty.
    #[inline]
    pub(crate) fn read(&mut self, end: End, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        let Some(key) = Key::of(call, place) else { return self.read_anew(call, place, table) };
        if let Some((last, found)) = self.last[end as usize]
            && last == key
        {
            return found;
        }
        let found = self.look_up(key, call, place, table);
        self.last[end as usize] = Some((key, found));
        found
    }

    fn look_up(&mut self, key: Key, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        let hash = key.hash();
        let entries = &self.entries;
        if let Some(&at) = self.known.find(hash, |&at| entries[at as usize].0 == key) {
            return entries[at as usize].1;
        }
        let found = self.read_anew(call, place, table);
        let at = u32::try_from(self.entries.len()).unwrap_or(u32::MAX);
        self.entries.push((key, found));
        let entries = &self.entries;
        self.known.insert_unique(hash, at, |&at| entries[at as usize].0.hash());
        found
    }

    fn read_anew(&mut self, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        let kind = call::read(call, &mut self.upper, &mut self.plain);
        let place = place::read(place);
        let locator: Option<Locator> = place.locator();
        let station = kind.is_call().then(|| table.station(&self.upper, locator));
        Found { station, call: kind, place }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_tell_all_short_cells_apart() {
        let cells: Vec<Vec<u8>> = (0..=16_usize)
            .flat_map(|n| {
                [
                    vec![b'a'; n],
                    [vec![b'a'; n.saturating_sub(1)], vec![b'b'; n.min(1)]].concat(),
                    [vec![b'b'; n.min(1)], vec![b'a'; n.saturating_sub(1)]].concat(),
                ]
            })
            .collect();
        for a in &cells {
            for b in &cells {
                assert_eq!(Key::of(a, b"x") == Key::of(b, b"x"), a == b, "{a:?} {b:?}");
                assert_eq!(Key::of(b"x", a) == Key::of(b"x", b), a == b, "{a:?} {b:?}");
            }
        }
        assert_eq!(Key::of(&[b'a'; 17], b""), None);
    }

    #[test]
    fn the_same_cells_give_the_same_station() {
        let mut table = TableBuilder::new();
        let mut reader = StationReader::default();
        let first = reader.read(End::Sends, b"Q1ABC", b"JO22ob", &mut table);
        let other = reader.read(End::Sends, b" q1abc", b"jo22OB", &mut table);
        assert_eq!(first.station, other.station);
        assert_eq!(reader.read(End::Hears, b"Q1ABC", b"JO22ob", &mut table).station, first.station);
        assert_ne!(reader.read(End::Sends, b"Q1ABC", b"", &mut table).station, first.station);
        assert_eq!(reader.read(End::Sends, b"<...>", b"", &mut table).station, None);
    }
}
