//! Cells to stations, each pair of spellings read once.

use farheard_scan::memo::{Pair, Pairs};
use farheard_scan::plain::Standing;

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
    pairs: Pairs,
    found: Vec<Found>,
    /// The same for rows that are read the quick way.
    standing: Vec<Standing>,
    /// What was read last: the tested station stands in every row.
    last: [Option<(Pair, Found)>; 2],
    upper: String,
    plain: String,
}

/// Which of the two stations of a row is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum End {
    Sends,
    Hears,
}

/// Whether a call and a locator as a plain row may have them tell a place; nothing if no plain row may have them.
pub(crate) fn has_place(call: CallCell, place: PlaceCell) -> Option<bool> {
    match (call, place) {
        (CallCell::Call, PlaceCell::Whole(_)) => Some(true),
        (CallCell::Call, PlaceCell::Missing) => Some(false),
        _ => None,
    }
}

/// What a pair of cells stands for that is the station of this number.
pub(crate) fn standing(station: u32, has_place: bool) -> Standing {
    if has_place { Standing::Placed(station) } else { Standing::Unplaced(station) }
}

impl StationReader {
    /// Reads a pair of cells. `place` may be empty.
    #[inline]
    pub(crate) fn read(&mut self, end: End, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        let Some(pair) = Pair::of(call, place) else { return self.read_anew(call, place, table) };
        if let Some((last, found)) = self.last[end as usize]
            && last == pair
        {
            return found;
        }
        let found = self.look_up(pair, call, place, table);
        self.last[end as usize] = Some((pair, found));
        found
    }

    fn look_up(&mut self, pair: Pair, call: &[u8], place: &[u8], table: &mut TableBuilder) -> Found {
        if let Some(at) = self.pairs.find(&pair) {
            return self.found[at];
        }
        let found = self.read_anew(call, place, table);
        self.pairs.enter(pair);
        self.found.push(found);
        let plain = found.station.zip(has_place(found.call, found.place));
        self.standing.push(plain.map_or(Standing::Odd, |(station, has_place)| standing(station.0, has_place)));
        found
    }

    /// Pairs of cells that were read, and what each stands for.
    pub(crate) fn known(&self) -> (&Pairs, &[Standing]) {
        (&self.pairs, &self.standing)
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
