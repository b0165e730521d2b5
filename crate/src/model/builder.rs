//! Filling a spot table, and finding repeats while doing so.

use std::collections::BTreeMap;

use hashbrown::HashTable;
use hashbrown::hash_table::Entry;

use super::band::Band;
use super::hash::hash_of_words;
use super::station::{CallId, StationId};
use super::table::{FileId, SpotTable};
use crate::geography::Locator;
use crate::time::UtcTime;

/// One reception report, as import understood it. Everything but time and the two stations may be missing.
#[derive(Clone, Copy, Debug)]
pub struct Spot {
    /// Start of the slot, UTC.
    pub time: UtcTime,
    /// The station that transmitted, from [`TableBuilder::station`].
    pub tx: StationId,
    /// The station that heard it, from [`TableBuilder::station`].
    pub rx: StationId,
    /// Frequency in Hz.
    pub freq_hz: Option<f64>,
    /// Band from the frequency, else from the file's own band column, else unknown.
    pub band: Band,
    /// SNR in dB in 2500 Hz.
    pub snr_db: Option<f64>,
    /// Drift in Hz per minute.
    pub drift_hz_min: Option<f64>,
    /// Transmitter power in dBm.
    pub power_dbm: Option<f64>,
    /// Physical line in the unpacked file, from 1.
    pub line: u32,
}

/// What became of a spot that was added.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Added {
    /// It is a row of the table now.
    Kept,
    /// The same spot (all fields but file and line alike) is there already; nothing was added.
    Repeated,
}

/// A number of rows to come back to; see [`TableBuilder::mark`].
#[derive(Clone, Copy, Debug)]
pub struct Mark(usize);

/// A table being filled. Rows keep the order in which they are added.
#[derive(Clone, Debug, Default)]
pub struct TableBuilder {
    table: SpotTable,
    run: TimeRun,
    /// Rows that a new one could repeat: those of the last time while times run one way, else all.
    seen: HashTable<u32>,
}

/// How the times of the rows follow each other. Files are nearly always sorted by time, and then a row can only repeat
/// one of the same time: the few rows to compare with stay in the processor's nearest memory.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum TimeRun {
    /// All rows have one time.
    #[default]
    Level,
    /// Never falling.
    Rising,
    /// Never rising.
    Falling,
    /// Both ways.
    Mixed,
}

/// Reports an f64 as bits for exact comparison; all NaN are one, and minus zero is zero.
fn bits(value: Option<f64>) -> u64 {
    value.map_or(u64::MAX, |v| (v + 0.0).to_bits())
}

#[expect(clippy::cast_possible_truncation, reason = "levels are stored to seven digits, more than any report has")]
fn single(value: Option<f64>) -> f32 {
    value.map_or(f32::NAN, |v| v as f32 + 0.0)
}

impl TableBuilder {
    /// An empty table.
    pub fn new() -> Self {
        Self::default()
    }

    /// Announces the next file; the spots that follow are its own.
    pub fn begin_file(&mut self, name: &str) -> FileId {
        let id = FileId(u16::try_from(self.table.files.len()).unwrap_or(u16::MAX));
        self.table.files.push(name.to_owned());
        id
    }

    /// The number of a call at a locator. `call` must be upper case and trimmed.
    pub fn station(&mut self, call: &str, locator: Option<Locator>) -> StationId {
        self.table.stations.station_id(call, locator)
    }

    /// How many rows there are so far.
    pub fn len(&self) -> usize {
        self.table.len()
    }

    /// Is there no row yet?
    pub fn is_empty(&self) -> bool {
        self.table.is_empty()
    }

    /// Makes room for so many further rows, so that adding them moves nothing.
    pub fn reserve(&mut self, rows: usize) {
        let table = &mut self.table;
        table.time_s.reserve(rows);
        table.tx.reserve(rows);
        table.rx.reserve(rows);
        table.freq_hz.reserve(rows);
        table.band.reserve(rows);
        table.snr_db.reserve(rows);
        table.drift_hz_min.reserve(rows);
        table.power_dbm.reserve(rows);
        table.file.reserve(rows);
        table.line.reserve(rows);
    }

    /// The rows so far, to come back to with [`TableBuilder::return_to`].
    pub fn mark(&self) -> Mark {
        Mark(self.table.len())
    }

    /// Takes all rows out again that were added after a mark. Calls and stations entered since then stay known;
    /// they stand in no row.
    pub fn return_to(&mut self, mark: Mark) {
        let rows = mark.0;
        let table = &mut self.table;
        if rows >= table.len() {
            return;
        }
        table.time_s.truncate(rows);
        table.tx.truncate(rows);
        table.rx.truncate(rows);
        table.freq_hz.truncate(rows);
        table.band.truncate(rows);
        table.snr_db.truncate(rows);
        table.drift_hz_min.truncate(rows);
        table.power_dbm.truncate(rows);
        table.file.truncate(rows);
        table.line.truncate(rows);
        self.seen.retain(|&mut row| (row as usize) < rows);
        if self.run != TimeRun::Mixed {
            self.see_all();
        }
    }

    /// Compares with all rows from now on.
    fn see_all(&mut self) {
        self.run = TimeRun::Mixed;
        self.seen.clear();
        let table = &self.table;
        let hasher = |&row: &u32| hash_of(&key_of(table, row));
        self.seen.reserve(table.time_s.capacity(), hasher);
        for row in 0..u32::try_from(table.len()).unwrap_or(u32::MAX) {
            self.seen.insert_unique(hasher(&row), row, hasher);
        }
    }

    /// Prepares for a row of another time than the last one's.
    fn next_time(&mut self, last: UtcTime, time: UtcTime) {
        let way = if time > last { TimeRun::Rising } else { TimeRun::Falling };
        if self.run == TimeRun::Level || self.run == way {
            self.run = way;
            // clearing costs as much as there is room: give up room that one crowded time needed
            if self.seen.capacity() > 1024 && self.seen.capacity() > 16 * self.seen.len() {
                self.seen = HashTable::new();
            } else {
                self.seen.clear();
            }
        } else if self.run != TimeRun::Mixed {
            self.see_all();
        }
    }

    /// Adds a spot of the current file, unless the same spot is there already, from whatever file.
    pub fn push(&mut self, spot: Spot) -> Added {
        if let Some(&last) = self.table.time_s.last()
            && last != spot.time.second()
        {
            self.next_time(UtcTime::from_second(last), spot.time);
        }
        let table = &mut self.table;
        let key = Key {
            time: spot.time,
            tx: spot.tx,
            rx: spot.rx,
            freq: bits(spot.freq_hz),
            band: spot.band,
            snr: single(spot.snr_db).to_bits(),
            drift: single(spot.drift_hz_min).to_bits(),
            power: single(spot.power_dbm).to_bits(),
        };
        let hash = hash_of(&key);
        let row = u32::try_from(table.len()).unwrap_or(u32::MAX);
        match self.seen.entry(hash, |&row| key_of(table, row) == key, |&row| hash_of(&key_of(table, row))) {
            Entry::Occupied(_) => return Added::Repeated,
            Entry::Vacant(place) => {
                place.insert(row);
            }
        }
        table.time_s.push(spot.time.second());
        table.tx.push(spot.tx.0);
        table.rx.push(spot.rx.0);
        table.freq_hz.push(spot.freq_hz.unwrap_or(f64::NAN));
        table.band.push(spot.band.number());
        table.snr_db.push(single(spot.snr_db));
        table.drift_hz_min.push(single(spot.drift_hz_min));
        table.power_dbm.push(single(spot.power_dbm));
        table.file.push(FileId(u16::try_from(table.files.len().saturating_sub(1)).unwrap_or(u16::MAX)));
        table.line.push(spot.line);
        Added::Kept
    }

    /// The finished table. Where each call stands is settled here, once for all filters.
    pub fn freeze(self) -> SpotTable {
        let mut table = self.table;
        settle_places(&mut table);
        table
    }
}

/// Settles where each call stands.
pub(super) fn settle_places(table: &mut SpotTable) {
    let mut reports: BTreeMap<(CallId, Locator), u32> = BTreeMap::new();
    let mut by_station = vec![0_u32; table.stations.len()];
    for &station in table.tx.iter().chain(&table.rx) {
        by_station[station as usize] += 1;
    }
    for (id, &count) in (0..).map(StationId).zip(&by_station) {
        if let Some(locator) = table.stations.locator(id).filter(|_| count > 0) {
            *reports.entry((table.stations.call_of(id), locator)).or_default() += count;
        }
    }
    let mut places: Vec<Option<(u32, Locator)>> = vec![None; table.stations.calls()];
    for (&(call, locator), &own) in &reports {
        let shorter = reports.range((call, locator.shortened(2))..=(call, locator));
        let inherited: u32 =
            shorter.filter(|((_, other), _)| other.len() < locator.len() && other.holds(locator)).map(|(_, n)| n).sum();
        let count = own + inherited;
        let place = &mut places[call.index()];
        // ascending order of locators: on a tie only a longer one takes the place
        if place.is_none_or(|(best, chosen)| (count, locator.len()) > (best, chosen.len())) {
            *place = Some((count, locator));
        }
    }
    table.places = vec![None; table.stations.calls()];
    for index in 0..table.stations.len() {
        let station = StationId(u32::try_from(index).unwrap_or(u32::MAX));
        let call = table.stations.call_of(station).index();
        if places[call].is_some() && places[call].map(|(_, locator)| locator) == table.stations.locator(station) {
            table.places[call] = Some(station);
        }
    }
}

/// What makes two rows the same spot.
#[derive(Clone, Copy, PartialEq)]
struct Key {
    time: UtcTime,
    tx: StationId,
    rx: StationId,
    freq: u64,
    band: Band,
    snr: u32,
    drift: u32,
    power: u32,
}

/// The key of a row of the table.
fn key_of(table: &SpotTable, row: u32) -> Key {
    let row = row as usize;
    Key {
        time: table.time(row),
        tx: table.tx(row),
        rx: table.rx(row),
        freq: bits(table.freq_hz(row)),
        band: table.band(row),
        snr: table.snr_db[row].to_bits(),
        drift: table.drift_hz_min[row].to_bits(),
        power: table.power_dbm[row].to_bits(),
    }
}

fn hash_of(key: &Key) -> u64 {
    let pair = |high: u32, low: u32| u64::from(high) << 32 | u64::from(low);
    hash_of_words([
        key.time.unix_s().unsigned_abs() << 32 | u64::from(key.tx.0),
        pair(key.rx.0, key.power),
        key.freq ^ key.band.index() as u64,
        pair(key.snr, key.drift),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn spot(builder: &mut TableBuilder, minute: u32, rx: &str, locator: &str, snr: f64) -> Added {
        let tx = builder.station("Q7TST", Locator::parse("JN99fl").ok());
        let rx = builder.station(rx, Locator::parse(locator).ok());
        builder.push(Spot {
            time: UtcTime::from_calendar(2031, 4, 27, 6, minute, 0).unwrap(),
            tx,
            rx,
            freq_hz: Some(14_097_100.0),
            band: Band::of_hz(14_097_100.0),
            snr_db: Some(snr),
            drift_hz_min: None,
            power_dbm: Some(23.0),
            line: minute + 2,
        })
    }

    #[test]
    fn the_same_spot_counts_once_and_another_level_is_another_spot() {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        assert_eq!(spot(&mut builder, 0, "Q1AA", "JO10", -20.0), Added::Kept);
        assert_eq!(spot(&mut builder, 0, "Q1AA", "JO10", -19.0), Added::Kept);
        builder.begin_file("b.csv");
        assert_eq!(spot(&mut builder, 0, "Q1AA", "JO10", -20.0), Added::Repeated);
        let table = builder.freeze();
        assert_eq!(table.len(), 2);
        assert_eq!(table.file_name(table.file(1)), "a.csv");
    }

    #[test]
    fn rows_after_a_mark_go_and_may_come_again() {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        spot(&mut builder, 0, "Q1AA", "JO10", -20.0);
        let mark = builder.mark();
        spot(&mut builder, 2, "Q1AA", "JO10", -20.0);
        builder.return_to(mark);
        assert_eq!(builder.len(), 1);
        assert_eq!(spot(&mut builder, 0, "Q1AA", "JO10", -20.0), Added::Repeated);
        assert_eq!(spot(&mut builder, 2, "Q1AA", "JO10", -20.0), Added::Kept);
    }

    /// Rising, falling and mixed times: repeats are found wherever they stand.
    #[test]
    fn repeats_are_found_in_any_order_of_times() {
        for minutes in [&[0, 2, 2, 4, 4, 2, 0][..], &[4, 2, 2, 0, 4], &[2, 2, 4, 0, 4, 0, 2], &[0, 0, 0]] {
            let mut builder = TableBuilder::new();
            builder.begin_file("a.csv");
            let mut known = Vec::new();
            for &minute in minutes {
                let repeated = known.contains(&minute);
                let right = if repeated { Added::Repeated } else { Added::Kept };
                assert_eq!(spot(&mut builder, minute, "Q1AA", "JO10", -20.0), right, "{minutes:?} at {minute}");
                known.push(minute);
            }
        }
    }

    #[test]
    fn a_call_stands_where_most_reports_say_and_a_short_locator_supports_the_long() {
        let mut builder = TableBuilder::new();
        builder.begin_file("a.csv");
        for (minute, locator) in [(0, "JO10"), (2, "JO10"), (4, "JO10ab"), (6, "KP20"), (8, "KP20"), (10, "")] {
            spot(&mut builder, minute, "Q1AA", locator, -20.0);
        }
        spot(&mut builder, 12, "Q2BB", "", -20.0);
        let table = builder.freeze();
        let call = table.stations().find_call("q1aa").unwrap();
        assert_eq!(table.place(call).unwrap().to_string(), "JO10ab");
        assert_eq!(table.place(table.stations().find_call("Q2BB").unwrap()), None);
    }
}
