//! Plain rows, the quick way: what nearly all rows of a large file are.
//!
//! A plain row has no quotes, as many cells as the table, a time in the plain form or the one before, stations, bands
//! and powers that were met before, and plain numbers. [`Plain::read`] reads such rows and stops at the first that is
//! not plain, which is then read the long way; what that finds out is told by the `learn` functions, so that its like
//! is plain from then on. Both ways give the same spots and counts.

use super::cell::{clock_of, date_of, decimal, scaled, stamp, words};
use super::memo::{Pair, Pairs};
use super::sixteen::{SIXTEEN, Sixteen};
use super::spots::{Seen, Spot, Spots};
use super::stretch::{Place, Words};

/// The place of no column.
pub const NOWHERE: usize = usize::MAX;
/// Wider tables have no plain rows.
pub const MOST_CELLS: usize = 32;
/// Longest cells of times that are compared with the one before.
const LONGEST_TIME: usize = 24;
/// Bands and powers that are remembered: files have a handful.
const MOST_KNOWN: usize = 24;

/// Where the columns of a table stand, [`NOWHERE`] if it has none.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs, reason = "columns are named by what they hold")]
pub struct Shape {
    pub delimiter: u8,
    /// Cells per row.
    pub width: usize,
    pub time: usize,
    pub date: usize,
    pub time_of_day: usize,
    pub tx: usize,
    pub tx_loc: usize,
    pub rx: usize,
    pub rx_loc: usize,
    pub freq: usize,
    /// Power of ten that makes the numbers in that column hertz.
    pub freq_power: i32,
    /// Decimal mark of that column.
    pub freq_mark: u8,
    pub band: usize,
    pub snr: usize,
    pub drift: usize,
    pub power: usize,
    /// The band of rows that tell none.
    pub no_band: u8,
}

/// What a pair of cells, call and locator, stands for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Standing {
    /// Nothing that a plain row may have.
    Odd,
    /// A station at a whole locator.
    Placed(u32),
    /// A station without locator.
    Unplaced(u32),
}

/// What plain rows had, to be added to the account of all rows.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Counts {
    /// Rows.
    pub rows: u64,
    /// Rows that were the same spot again.
    pub repeats: u64,
    /// Senders and listeners with a whole locator.
    pub placed: [u64; 2],
    /// And without one.
    pub unplaced: [u64; 2],
    /// Cells that fit in the columns of frequency, band, SNR, drift and power.
    pub freq: u64,
    /// See `freq`.
    pub band: u64,
    /// See `freq`.
    pub snr: u64,
    /// See `freq`.
    pub drift: u64,
    /// See `freq`.
    pub power: u64,
    /// Rows whose band is not that of the frequency.
    pub bands_disagree: u64,
    /// Powers that could be a level as they stand, and others.
    pub levels: u64,
    /// See `levels`.
    pub others: u64,
    /// Rows without an empty cell.
    pub full: u64,
    /// Cells filled, per column, of the rows that have an empty one.
    pub filled: [u64; MOST_CELLS],
}

/// A cell of a time, or two of date and time of day.
type TimeKey = [u64; 6];

#[inline]
fn time_key(cell: &[u8]) -> [u64; 3] {
    let (first, second) = words(&cell[..cell.len().min(16)]);
    let third = if cell.len() > 16 { cell.last_chunk::<8>().map_or(0, |last| u64::from_le_bytes(*last)) } else { 0 };
    [first, second, third]
}

/// A cell of at most sixteen bytes.
type ShortKey = [u64; 3];

#[inline]
fn short_key(cell: &[u8]) -> Option<ShortKey> {
    if cell.len() > 16 {
        return None;
    }
    let (first, last) = words(cell);
    Some([first, last, cell.len() as u64])
}

#[inline]
fn equal<const N: usize>(a: &[u64; N], b: &[u64; N]) -> bool {
    a.iter().zip(b).fold(0, |differ, (a, b)| differ | (a ^ b)) == 0
}

/// Reads plain rows.
#[derive(Clone, Debug)]
pub struct Plain {
    shape: Shape,
    /// Cells of the last time, their lengths, and the time.
    last_time: Option<(TimeKey, [usize; 2], u32)>,
    /// Did a plain row bring another time than the last row that was read the long way?
    own_time: bool,
    /// The last stations: the tested one stands in every row.
    last: [Option<(Pair, Standing)>; 2],
    bands: Vec<(ShortKey, Option<u8>)>,
    powers: Vec<(ShortKey, f32, bool)>,
    /// Edges of bands, the last one met first.
    edges: Vec<(f64, f64, u8)>,
}

/// Where reading stopped.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stopped {
    /// Place in the text where the next row begins.
    pub at: usize,
    /// Rows that were read, each a line of the text.
    pub rows: usize,
}

impl Plain {
    /// For a table of this shape; `None` if it can have no plain rows.
    pub fn new(shape: Shape) -> Option<Self> {
        let has_time = shape.time != NOWHERE || shape.date != NOWHERE && shape.time_of_day != NOWHERE;
        let fits = shape.width <= MOST_CELLS && shape.tx != NOWHERE && shape.rx != NOWHERE && has_time;
        fits.then(|| Self {
            shape,
            last_time: None,
            own_time: false,
            last: [None; 2],
            bands: Vec::new(),
            powers: Vec::new(),
            edges: Vec::new(),
        })
    }

    /// The time of these cells; the second is empty where date and time of day stand in one.
    pub fn learn_time(&mut self, first: &[u8], second: &[u8], time_s: u32) {
        if first.len().max(second.len()) <= LONGEST_TIME {
            let ([a, b, c], [d, e, f]) = (time_key(first), time_key(second));
            self.last_time = Some(([a, b, c, d, e, f], [first.len(), second.len()], time_s));
        }
    }

    /// Has another time been met since the last call? Then what the long way remembers is not the last one.
    pub fn take_own_time(&mut self) -> bool {
        std::mem::take(&mut self.own_time)
    }

    /// The band that a cell of the band's column names.
    pub fn learn_band(&mut self, cell: &[u8], band: Option<u8>) {
        if let Some(key) = short_key(cell)
            && self.bands.len() < MOST_KNOWN
            && !self.bands.iter().any(|(known, _)| equal(known, &key))
        {
            self.bands.push((key, band));
        }
    }

    /// The power that a cell gives, NaN for none in an empty one, and whether it could be a level as it stands.
    pub fn learn_power(&mut self, cell: &[u8], dbm: f32, is_level: bool) {
        if let Some(key) = short_key(cell)
            && self.powers.len() < MOST_KNOWN
            && !self.powers.iter().any(|(known, ..)| equal(known, &key))
        {
            self.powers.push((key, dbm, is_level));
        }
    }

    /// The band of all frequencies between two edges.
    pub fn learn_edges(&mut self, low: f64, high: f64, band: u8) {
        if self.edges.len() < MOST_KNOWN && !self.edges.iter().any(|&(.., known)| known == band) {
            self.edges.push((low, high, band));
        }
    }

    /// What was learnt, without what is only remembered for the next row: to be read elsewhere.
    pub(crate) fn words(&self) -> Vec<u64> {
        let shape = &self.shape;
        let places = [
            [shape.width, shape.time, shape.date, shape.time_of_day, shape.tx, shape.tx_loc, shape.rx],
            [shape.rx_loc, shape.freq, shape.band, shape.snr, shape.drift, shape.power, 0],
        ];
        let mut words: Vec<u64> = places.as_flattened().iter().map(|&place| place as u64).collect();
        let bytes = [shape.delimiter, shape.freq_mark, shape.no_band];
        words.extend(bytes.map(u64::from));
        words.push(i64::from(shape.freq_power).cast_unsigned());
        words.push(self.bands.len() as u64);
        for (key, band) in &self.bands {
            words.extend(key);
            words.push(band.map_or(u64::MAX, u64::from));
        }
        words.push(self.powers.len() as u64);
        for &(key, dbm, is_level) in &self.powers {
            words.extend(key);
            words.extend([u64::from(dbm.to_bits()), u64::from(is_level)]);
        }
        words.push(self.edges.len() as u64);
        for &(low, high, band) in &self.edges {
            words.extend([low.to_bits(), high.to_bits(), u64::from(band)]);
        }
        words
    }

    /// The reader of these words.
    pub(crate) fn of_words(words: &mut Words<'_>) -> Option<Self> {
        let place = |word: Option<u64>| Some(usize::try_from(word?).unwrap_or(NOWHERE));
        let byte = |word: Option<u64>| u8::try_from(word?).ok();
        let mut places = [0; 14];
        for at in &mut places {
            *at = place(words.next())?;
        }
        let [width, time, date, time_of_day, tx, tx_loc, rx, rx_loc, freq, band, snr, drift, power, _] = places;
        let (delimiter, freq_mark, no_band) = (byte(words.next())?, byte(words.next())?, byte(words.next())?);
        let freq_power = i32::try_from(words.next()?.cast_signed()).ok()?;
        let mut plain = Self::new(Shape {
            delimiter,
            width,
            time,
            date,
            time_of_day,
            tx,
            tx_loc,
            rx,
            rx_loc,
            freq,
            freq_power,
            freq_mark,
            band,
            snr,
            drift,
            power,
            no_band,
        })?;
        let key = |words: &mut Words<'_>| Some([words.next()?, words.next()?, words.next()?]);
        for _ in 0..words.number()? {
            plain.bands.push((key(words)?, u8::try_from(words.next()?).ok()));
        }
        for _ in 0..words.number()? {
            let key = key(words)?;
            let dbm = f32::from_bits(u32::try_from(words.next()?).ok()?);
            plain.powers.push((key, dbm, words.next()? > 0));
        }
        for _ in 0..words.number()? {
            let (low, high) = (f64::from_bits(words.next()?), f64::from_bits(words.next()?));
            plain.edges.push((low, high, byte(words.next())?));
        }
        Some(plain)
    }

    /// Where call and locator of a row's two stations stand, as far as the row could be plain.
    pub fn stations(&self, text: &[u8], at: usize) -> Option<[[Place; 2]; 2]> {
        let mut ends = [0; MOST_CELLS];
        self.split(text, at, &mut ends)?;
        let cell = |column: usize| -> Place {
            let Some(&end) = ends.get(column) else { return at..at };
            (if column == 0 { at } else { ends[column - 1] + 1 })..end
        };
        let shape = &self.shape;
        Some([[cell(shape.tx), cell(shape.tx_loc)], [cell(shape.rx), cell(shape.rx_loc)]])
    }

    /// What pairs of cells stand for has changed.
    pub fn forget_stations(&mut self) {
        self.last = [None; 2];
    }

    /// Reads plain rows from a place on, the beginning of line `line`, until one is not plain or begins at `until` or
    /// behind it. Stations are looked up among `pairs`, which stand for `standing`. `lines` gets the line of each spot.
    #[inline(never)]
    #[expect(clippy::too_many_arguments, reason = "what a table is built of")]
    pub fn read(
        &mut self,
        text: &[u8],
        at: usize,
        line: u32,
        until: usize,
        pairs: &Pairs,
        standing: &[Standing],
        spots: &mut Spots,
        seen: &mut Seen,
        lines: &mut Vec<u32>,
        counts: &mut Counts,
    ) -> Stopped {
        let (mut at, mut rows) = (at, 0);
        let mut ends = [0; MOST_CELLS];
        while at < until
            && let Some(next) = self.split(text, at, &mut ends)
            && let Some(spot) = self.row(text, at, &ends, pairs, standing, counts)
        {
            if seen.add(spots, &spot) {
                lines.push(line.saturating_add(u32::try_from(rows).unwrap_or(u32::MAX)));
            } else {
                counts.repeats += 1;
            }
            rows += 1;
            at = next;
        }
        counts.rows += rows as u64;
        Stopped { at, rows }
    }

    /// Ends of the cells of a row, and where the next one begins; `None` if it is not plain.
    #[inline]
    fn split(&self, text: &[u8], start: usize, ends: &mut [usize; MOST_CELLS]) -> Option<usize> {
        if !text.get(start)?.is_ascii_alphanumeric() {
            return None;
        }
        let delimiter = self.shape.delimiter;
        let (mut at, mut cell) = (start, 0);
        // the last bytes of a text are left to the long way
        while let Some(bytes) = Sixteen::at(text, at) {
            let mut found = bytes.end_cells(delimiter);
            while found != 0 {
                let place = at + found.trailing_zeros() as usize;
                found &= found - 1;
                let byte = *text.get(place)?;
                *ends.get_mut(cell)? = place;
                if byte == delimiter {
                    cell += 1;
                } else {
                    if cell + 1 != self.shape.width {
                        return None;
                    }
                    return match byte {
                        b'\n' => Some(place + 1),
                        b'\r' if text.get(place + 1) == Some(&b'\n') => Some(place + 2),
                        _ => None,
                    };
                }
            }
            at += SIXTEEN;
        }
        None
    }

    #[inline]
    fn row(
        &mut self,
        text: &[u8],
        start: usize,
        ends: &[usize; MOST_CELLS],
        pairs: &Pairs,
        standing: &[Standing],
        counts: &mut Counts,
    ) -> Option<Spot> {
        let shape = self.shape;
        let cell = |column: usize| -> &[u8] {
            let Some(&end) = ends.get(column) else { return &[] };
            let from = if column == 0 { start } else { ends[column - 1] + 1 };
            text.get(from..end).unwrap_or_default()
        };
        let time_s = self.time(
            cell(if shape.time == NOWHERE { shape.date } else { shape.time }),
            if shape.time == NOWHERE { cell(shape.time_of_day) } else { &[] },
        )?;
        let (tx, tx_placed) = self.station(0, cell(shape.tx), cell(shape.tx_loc), pairs, standing)?;
        let (rx, rx_placed) = self.station(1, cell(shape.rx), cell(shape.rx_loc), pairs, standing)?;
        let (mut freq_hz, mut band) = (f64::NAN, None);
        if shape.freq != NOWHERE {
            let number = decimal(cell(shape.freq), shape.freq_mark).filter(|number| !number.negative)?;
            freq_hz = scaled(number.mantissa, shape.freq_power - number.places)?;
            let at = self.edges.iter().position(|&(low, high, _)| low <= freq_hz && freq_hz <= high)?;
            self.edges.swap(0, at);
            band = self.edges.first().map(|&(.., band)| band);
        }
        let mut named = None;
        if shape.band != NOWHERE {
            let key = short_key(cell(shape.band))?;
            named = self.bands.iter().find(|(known, _)| equal(known, &key))?.1;
        }
        let plain = |column: usize| -> Option<f32> {
            let cell = cell(column);
            if column == NOWHERE || cell.is_empty() {
                return Some(f32::NAN);
            }
            let number = decimal(cell, b'.')?;
            // larger ones are no levels or drifts, or must be looked at
            let value = scaled(number.mantissa, -number.places).filter(|&value| value < 100.0)?;
            #[expect(clippy::cast_possible_truncation, reason = "kept to seven digits, more than any report has")]
            let value = (if number.negative { -value } else { value }) as f32;
            Some(value + 0.0)
        };
        let (snr_db, drift_hz_min) = (plain(shape.snr)?, plain(shape.drift)?);
        let mut power_dbm = f32::NAN;
        if shape.power != NOWHERE {
            let key = short_key(cell(shape.power))?;
            let at = self.powers.iter().position(|(known, ..)| equal(known, &key))?;
            let (_, dbm, is_level) = self.powers[at];
            self.powers.swap(0, at);
            power_dbm = dbm;
            counts.levels += u64::from(is_level);
            counts.others += u64::from(!is_level);
        }
        // nothing stops the row any more
        for (end, placed) in [tx_placed, rx_placed].into_iter().enumerate() {
            counts.placed[end] += u64::from(placed);
            counts.unplaced[end] += u64::from(!placed);
        }
        counts.freq += u64::from(shape.freq != NOWHERE);
        counts.band += u64::from(named.is_some());
        counts.bands_disagree += u64::from(band.is_some() && named.is_some() && named != band);
        counts.snr += u64::from(!snr_db.is_nan());
        counts.drift += u64::from(!drift_hz_min.is_nan());
        counts.power += u64::from(!power_dbm.is_nan());
        let mut before = start;
        let mut full = true;
        for &end in &ends[..shape.width] {
            full &= before != end;
            before = end + 1;
        }
        if full {
            counts.full += 1;
        } else {
            for (column, filled) in counts.filled.iter_mut().enumerate().take(shape.width) {
                *filled += u64::from(!cell(column).is_empty());
            }
        }
        Some(Spot {
            time_s,
            tx,
            rx,
            freq_hz,
            band: band.or(named).unwrap_or(shape.no_band),
            snr_db,
            drift_hz_min,
            power_dbm,
        })
    }

    #[inline]
    fn time(&mut self, first: &[u8], second: &[u8]) -> Option<u32> {
        if first.len().max(second.len()) > LONGEST_TIME {
            return None;
        }
        let ([a, b, c], [d, e, f]) = (time_key(first), if second.is_empty() { [0; 3] } else { time_key(second) });
        let (key, lengths) = ([a, b, c, d, e, f], [first.len(), second.len()]);
        if let Some((known, known_lengths, time_s)) = self.last_time
            && equal(&known, &key)
            && known_lengths == lengths
        {
            return Some(time_s);
        }
        let (day, second) = if self.shape.time == NOWHERE {
            (date_of(first)?, clock_of(second)?)
        } else {
            let stamp = stamp(first)?;
            (stamp.day, stamp.second)
        };
        let time_s = u32::try_from(i64::from(day) * 86_400 + i64::from(second)).ok()?;
        self.last_time = Some((key, lengths, time_s));
        self.own_time = true;
        Some(time_s)
    }

    /// A station, and whether it has a locator.
    #[inline]
    fn station(
        &mut self,
        end: usize,
        call: &[u8],
        place: &[u8],
        pairs: &Pairs,
        standing: &[Standing],
    ) -> Option<(u32, bool)> {
        let pair = Pair::of(call, place)?;
        let known = match self.last[end] {
            Some((last, known)) if last == pair => known,
            _ => {
                let known = *standing.get(pairs.find(&pair)?)?;
                self.last[end] = Some((pair, known));
                known
            }
        };
        match known {
            Standing::Odd => None,
            Standing::Placed(station) => Some((station, true)),
            Standing::Unplaced(station) => Some((station, false)),
        }
    }
}
