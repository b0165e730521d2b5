//! Cells to stations, each pair of spellings read once.

use hashbrown::HashTable;

use super::fields::call::{self, CallCell};
use super::fields::place::{self, PlaceCell};
use crate::geography::Locator;
use crate::model::{StationId, TableBuilder};

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
    entries: Vec<Entry>,
    keys: Vec<u8>,
    upper: String,
    plain: String,
}

#[derive(Clone, Copy, Debug)]
struct Entry {
    start: usize,
    call_length: usize,
    end: usize,
    hash: u64,
    found: Found,
}

/// Longer pairs are read anew each time: they are no stations, and keeping them could fill memory.
const LONGEST_KEY: usize = 64;

/// Hash of two cells, eight bytes at a time; the same in every run.
fn hash(call: &[u8], place: &[u8]) -> u64 {
    let mut hash = call.len() as u64;
    let mut mix = |word: u64| hash = (hash.rotate_left(26) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    for cell in [call, place] {
        let mut words = cell.chunks_exact(8);
        for word in &mut words {
            mix(u64::from_le_bytes(word.try_into().unwrap_or_default()));
        }
        let mut last = [0; 8];
        last[..words.remainder().len()].copy_from_slice(words.remainder());
        mix(u64::from_le_bytes(last));
    }
    hash ^ (hash >> 29)
}

impl StationReader {
    /// Reads a pair of cells. `place` may be empty.
    #[inline]
    pub(crate) fn read(&mut self, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        if call.len() + place.len() > LONGEST_KEY {
            return self.read_anew(call, place, table);
        }
        let hash = hash(call, place);
        let (entries, keys) = (&self.entries, &self.keys);
        let same = |&at: &u32| {
            let entry = &entries[at as usize];
            entry.call_length == call.len()
                && keys[entry.start..entry.start + entry.call_length] == *call
                && keys[entry.start + entry.call_length..entry.end] == *place
        };
        if let Some(&at) = self.known.find(hash, same) {
            return self.entries[at as usize].found;
        }
        let found = self.read_anew(call, place, table);
        let start = self.keys.len();
        self.keys.extend_from_slice(call);
        self.keys.extend_from_slice(place);
        let at = u32::try_from(self.entries.len()).unwrap_or(u32::MAX);
        self.entries.push(Entry { start, call_length: call.len(), end: self.keys.len(), hash, found });
        let entries = &self.entries;
        self.known.insert_unique(hash, at, |&at| entries[at as usize].hash);
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
