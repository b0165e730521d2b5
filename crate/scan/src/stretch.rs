//! Plain rows of a part of a text, read ahead by another worker, and how they cross to it and back.
//!
//! An [`Errand`] goes out: what [`Plain`] knows of the table, and the text of the part. A [`Stretch`] comes [`Back`]: runs of
//! plain rows ([`Piece`]) with columns and counts. Rows that are not plain stand between the pieces and are left to who
//! sent the errand, and so is whether a piece begins where a row does. Stations are numbered in the order in which the
//! pieces meet them.
//!
//! Both cross as bytes, whole numbers with the lowest byte first. What does not hold together gives nothing.

use super::plain::{Counts, MOST_CELLS, Plain};
use super::spots::{Seen, Spot, Spots};

/// Where a cell stands in the text of a part.
pub type Place = std::ops::Range<usize>;

/// A run of plain rows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Piece {
    /// Where its first row begins in the text of the part, and where the row behind its last would.
    pub place: Place,
    /// How many stations were met up to its end.
    pub stations: usize,
    /// How many spots there are up to its end.
    pub spots: usize,
    /// What its rows had.
    pub counts: Counts,
}

/// The plain rows of a part.
#[derive(Clone, Debug, Default)]
pub struct Stretch {
    /// In order, with rows that are not plain between them.
    pub pieces: Vec<Piece>,
    /// Call and locator of each station, as they stand in the text.
    pub stations: Vec<[Place; 2]>,
    /// The spots of all pieces; their stations are numbers into `stations`.
    pub spots: Spots,
    /// Lines of the spots, from 0 at the beginning of each piece.
    pub lines: Vec<u32>,
}

/// What another worker needs to read a part.
#[derive(Clone, Debug)]
pub struct Errand<'t> {
    /// Reads the rows; knows what was learnt of the table so far.
    pub plain: Plain,
    /// The text of the part.
    pub text: &'t [u8],
}

/// Words as they come out of bytes.
#[derive(Debug)]
pub(crate) struct Words<'b>(&'b [u8]);

impl Words<'_> {
    pub(crate) fn next(&mut self) -> Option<u64> {
        let (word, rest) = self.0.split_first_chunk::<8>()?;
        self.0 = rest;
        Some(u64::from_le_bytes(*word))
    }

    pub(crate) fn number(&mut self) -> Option<usize> {
        usize::try_from(self.next()?).ok()
    }

    /// A count of things that have so many bytes each at least: no more than there can be.
    fn count(&mut self, bytes: usize) -> Option<usize> {
        self.number().filter(|&count| count <= self.0.len() / bytes)
    }
}

fn put(bytes: &mut Vec<u8>, words: impl IntoIterator<Item = u64>) {
    bytes.extend(words.into_iter().flat_map(u64::to_le_bytes));
}

impl<'t> Errand<'t> {
    /// What goes before the text.
    pub fn head(plain: &Plain) -> Vec<u8> {
        let mut bytes = Vec::new();
        put(&mut bytes, plain.words());
        bytes
    }

    /// The errand of its bytes: head and text.
    pub fn read(bytes: &'t [u8]) -> Option<Self> {
        let mut words = Words(bytes);
        let plain = Plain::of_words(&mut words)?;
        Some(Self { plain, text: words.0 })
    }
}

impl Counts {
    fn words(&self) -> impl Iterator<Item = u64> {
        let sums = [self.rows, self.repeats, self.freq, self.band, self.snr, self.drift, self.power];
        let doubts = [self.bands_disagree, self.levels, self.others, self.full];
        sums.into_iter().chain(doubts).chain(self.placed).chain(self.unplaced).chain(self.filled)
    }

    fn of_words(words: &mut Words<'_>) -> Option<Self> {
        let mut next = || words.next();
        let [rows, repeats, freq, band, snr, drift, power] =
            [next()?, next()?, next()?, next()?, next()?, next()?, next()?];
        let [bands_disagree, levels, others, full] = [next()?, next()?, next()?, next()?];
        let [placed, unplaced] = [[next()?, next()?], [next()?, next()?]];
        let mut filled = [0; MOST_CELLS];
        for filled in &mut filled {
            *filled = next()?;
        }
        Some(Self {
            rows,
            repeats,
            placed,
            unplaced,
            freq,
            band,
            snr,
            drift,
            power,
            bands_disagree,
            levels,
            others,
            full,
            filled,
        })
    }
}

/// The columns that cross, by the bytes of a number: frequencies; times, senders, listeners and lines; levels, drifts and
/// powers; bands.
const WIDE: usize = 8;
const NARROW: usize = 4;
const NARROW_COLUMNS: usize = 7;
const ROW_BYTES: usize = WIDE + NARROW * NARROW_COLUMNS + 1;

fn put_column<const N: usize, T: Copy>(bytes: &mut Vec<u8>, column: &[T], write: impl Fn(T) -> [u8; N]) {
    let from = bytes.len();
    bytes.resize(from + N * column.len(), 0);
    for (place, &value) in bytes[from..].as_chunks_mut::<N>().0.iter_mut().zip(column) {
        *place = write(value);
    }
}

impl Stretch {
    /// Its bytes.
    #[inline(never)]
    pub fn bytes(&self) -> Vec<u8> {
        let rows = self.spots.len();
        let mut bytes = Vec::with_capacity(ROW_BYTES * rows + 512 * self.pieces.len() + 32 * self.stations.len() + 64);
        put(&mut bytes, [self.pieces.len() as u64]);
        for Piece { place, stations, spots, counts } in &self.pieces {
            put(&mut bytes, [place.start, place.end, *stations, *spots].map(|number| number as u64));
            put(&mut bytes, counts.words());
        }
        put(&mut bytes, [self.stations.len() as u64]);
        for [call, place] in &self.stations {
            put(&mut bytes, [call.start, call.end, place.start, place.end].map(|number| number as u64));
        }
        put(&mut bytes, [rows as u64]);
        let spots = &self.spots;
        put_column(&mut bytes, &spots.freq_hz, f64::to_le_bytes);
        for column in [&spots.time_s, &spots.tx, &spots.rx, &self.lines] {
            put_column(&mut bytes, column, u32::to_le_bytes);
        }
        for column in [&spots.snr_db, &spots.drift_hz_min, &spots.power_dbm] {
            put_column(&mut bytes, column, f32::to_le_bytes);
        }
        bytes.extend(&spots.band);
        bytes
    }
}

/// A stretch as it came back.
#[derive(Clone, Debug)]
pub struct Back {
    /// In order, with rows that are not plain between them.
    pub pieces: Vec<Piece>,
    /// Call and locator of each station, as they stand in the text.
    pub stations: Vec<[Place; 2]>,
    /// All of it, and where the columns begin.
    bytes: Vec<u8>,
    columns: usize,
}

impl Back {
    /// The stretch of its bytes.
    #[inline(never)]
    pub fn of_bytes(bytes: Vec<u8>) -> Option<Self> {
        let mut words = Words(&bytes);
        let mut pieces = Vec::new();
        for _ in 0..words.count(8)? {
            let place = words.number()?..words.number()?;
            let (stations, spots) = (words.number()?, words.number()?);
            pieces.push(Piece { place, stations, spots, counts: Counts::of_words(&mut words)? });
        }
        let mut stations = Vec::new();
        for _ in 0..words.count(32)? {
            stations.push([words.number()?..words.number()?, words.number()?..words.number()?]);
        }
        let rows = words.count(ROW_BYTES)?;
        let fits = pieces.last().map_or(0, |piece| piece.spots) == rows
            && words.0.len() == ROW_BYTES * rows
            && pieces.is_sorted_by(|a, b| a.place.end <= b.place.start && a.spots <= b.spots);
        let columns = bytes.len() - words.0.len();
        fits.then_some(Self { pieces, stations, bytes, columns })
    }

    /// Adds the spots of a piece to the columns of a table whose numbers of stations are `ids`; `line` is that of the
    /// piece's first row, and `lines` gets the line of each spot. Gives how many were there already; nothing, having added
    /// nothing, if a station has no number.
    #[inline(never)]
    pub fn add(
        &self,
        piece: usize,
        ids: &Ids,
        line: u32,
        spots: &mut Spots,
        seen: &mut Seen,
        lines: &mut Vec<u32>,
    ) -> Option<u64> {
        let from = piece.checked_sub(1).map_or(0, |before| self.pieces[before].spots);
        let to = self.pieces.get(piece)?.spots;
        let rows = self.pieces.last()?.spots;
        let (wide, rest) = self.bytes.get(self.columns..)?.split_at_checked(WIDE * rows)?;
        let (narrow, bands) = rest.split_at_checked(NARROW * NARROW_COLUMNS * rows)?;
        let freq = wide.as_chunks::<WIDE>().0.get(from..to)?;
        let narrow = narrow.as_chunks::<NARROW>().0;
        let column = |number: usize| narrow.get(number * rows + from..number * rows + to);
        let (time, tx, rx, line_of) = (column(0)?, column(1)?, column(2)?, column(3)?);
        let (snr, drift, power) = (column(4)?, column(5)?, column(6)?);
        let bands = bands.get(from..to)?;
        let most = tx.iter().chain(rx).map(|&station| u32::from_le_bytes(station)).max();
        if most.is_some_and(|most| most as usize >= ids.of.len()) {
            return None;
        }
        let times = time.iter().map(|&time| u32::from_le_bytes(time));
        // rows that are the same but for the spelling of a station were not told as repeats
        let singly = if ids.shared { time.len() } else { seen.singly(spots, times.clone()) };
        let mut repeats = 0;
        for row in 0..singly {
            let spot = Spot {
                time_s: u32::from_le_bytes(time[row]),
                tx: ids.of[u32::from_le_bytes(tx[row]) as usize],
                rx: ids.of[u32::from_le_bytes(rx[row]) as usize],
                freq_hz: f64::from_le_bytes(freq[row]),
                band: bands[row],
                snr_db: f32::from_le_bytes(snr[row]),
                drift_hz_min: f32::from_le_bytes(drift[row]),
                power_dbm: f32::from_le_bytes(power[row]),
            };
            if seen.add(spots, &spot) {
                lines.push(line.saturating_add(u32::from_le_bytes(line_of[row])));
            } else {
                repeats += 1;
            }
        }
        if singly < time.len() {
            let there = spots.len();
            let station = |&number: &[u8; NARROW]| ids.of[u32::from_le_bytes(number) as usize];
            let level = |&level: &[u8; NARROW]| f32::from_le_bytes(level);
            spots.time_s.extend(times.skip(singly));
            spots.tx.extend(tx[singly..].iter().map(station));
            spots.rx.extend(rx[singly..].iter().map(station));
            spots.freq_hz.extend(freq[singly..].iter().map(|&hz| f64::from_le_bytes(hz)));
            spots.band.extend(&bands[singly..]);
            spots.snr_db.extend(snr[singly..].iter().map(level));
            spots.drift_hz_min.extend(drift[singly..].iter().map(level));
            spots.power_dbm.extend(power[singly..].iter().map(level));
            lines.extend(line_of[singly..].iter().map(|&own| line.saturating_add(u32::from_le_bytes(own))));
            seen.after_append(spots, there);
        }
        Some(repeats)
    }
}

/// Numbers, in a table, of the stations that a stretch met.
#[derive(Clone, Debug, Default)]
pub struct Ids {
    of: Vec<u32>,
    /// By number in the table: has a station of the stretch it?
    taken: Vec<bool>,
    /// Have two stations of the stretch one number, as with two spellings of a call?
    shared: bool,
}

impl Ids {
    /// How many there are.
    pub fn len(&self) -> usize {
        self.of.len()
    }

    /// Is there none?
    pub fn is_empty(&self) -> bool {
        self.of.is_empty()
    }

    /// Adds the number of the next station.
    pub fn push(&mut self, id: u32) {
        let at = id as usize;
        if at >= self.taken.len() {
            self.taken.resize(at + 1, false);
        }
        self.shared |= std::mem::replace(&mut self.taken[at], true);
        self.of.push(id);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn stretch() -> Stretch {
        let mut spots = Spots::default();
        let mut seen = Seen::default();
        for row in 0..5 {
            let spot = Spot {
                time_s: row,
                tx: 0,
                rx: 1,
                freq_hz: 14e6,
                band: 3,
                snr_db: -9.0,
                drift_hz_min: 0.0,
                power_dbm: 23.0,
            };
            assert!(seen.add(&mut spots, &spot));
        }
        let piece = |place: Place, spots: usize| Piece { place, stations: 2, spots, counts: Counts::default() };
        Stretch {
            pieces: vec![piece(0..30, 2), piece(40..90, 5)],
            stations: vec![[0..2, 3..5], [6..8, 9..11]],
            spots,
            lines: vec![0, 1, 0, 1, 2],
        }
    }

    #[test]
    fn what_came_back_is_added_piece_by_piece() {
        let back = Back::of_bytes(stretch().bytes()).unwrap();
        let (mut spots, mut seen, mut lines) = (Spots::default(), Seen::default(), Vec::new());
        let mut ids = Ids::default();
        assert_eq!(back.add(0, &ids, 10, &mut spots, &mut seen, &mut lines), None, "its stations have no numbers");
        ids.push(7);
        ids.push(4);
        assert_eq!(back.add(0, &ids, 10, &mut spots, &mut seen, &mut lines), Some(0));
        assert_eq!(back.add(1, &ids, 20, &mut spots, &mut seen, &mut lines), Some(0));
        assert_eq!((spots.time_s, lines), (vec![0, 1, 2, 3, 4], vec![10, 11, 20, 21, 22]));
        assert_eq!((spots.tx, spots.rx), (vec![7; 5], vec![4; 5]));
    }

    #[test]
    fn what_does_not_hold_together_is_nothing() {
        let bytes = stretch().bytes();
        for length in 0..bytes.len() {
            assert!(Back::of_bytes(bytes[..length].to_vec()).is_none(), "{length} bytes of {}", bytes.len());
        }
        assert!(Errand::read(&bytes[..7]).is_none());
    }
}
