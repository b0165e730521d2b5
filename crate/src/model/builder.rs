//! Filling a spot table, and finding repeats while doing so.

use std::collections::BTreeMap;

use farheard_scan::spots::{Seen, Spot as Row, Spots};
use farheard_scan::tallied;

use super::band::Band;
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
    seen: Seen,
}

/// A number as columns keep it: NaN for none, never minus zero.
#[expect(clippy::cast_possible_truncation, reason = "levels are stored to seven digits, more than any report has")]
pub(crate) fn single(value: Option<f64>) -> f32 {
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
        table.spots.reserve(rows);
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
        table.spots.truncate(rows);
        table.file.truncate(rows);
        table.line.truncate(rows);
        self.seen.after_truncation(&table.spots);
    }

    /// Adds a spot of the current file, unless the same spot is there already, from whatever file.
    pub fn push(&mut self, spot: Spot) -> Added {
        let row = Row {
            time_s: spot.time.second(),
            tx: spot.tx.0,
            rx: spot.rx.0,
            freq_hz: spot.freq_hz.map_or(f64::NAN, |hz| hz + 0.0),
            band: spot.band.number(),
            snr_db: single(spot.snr_db),
            drift_hz_min: single(spot.drift_hz_min),
            power_dbm: single(spot.power_dbm),
        };
        if !self.seen.add(&mut self.table.spots, &row) {
            return Added::Repeated;
        }
        self.table.line.push(spot.line);
        self.own_the_new();
        Added::Kept
    }

    /// Adds spots of the current file by way of `read`, which gets the columns, what tells repeats, and the lines of the
    /// spots, and must fill the latter two alike.
    pub(crate) fn push_rows<T>(&mut self, read: impl FnOnce(&mut Spots, &mut Seen, &mut Vec<u32>) -> T) -> T {
        let given = read(&mut self.table.spots, &mut self.seen, &mut self.table.line);
        self.own_the_new();
        given
    }

    /// New rows are of the current file.
    fn own_the_new(&mut self) {
        let table = &mut self.table;
        let file = FileId(u16::try_from(table.files.len().saturating_sub(1)).unwrap_or(u16::MAX));
        table.file.resize(table.spots.len(), file);
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
    let (rows, stations) = (table.all_rows(), table.stations.len());
    let sends = tallied(&table.spots.tx, rows.bits(), stations);
    let hears = tallied(&table.spots.rx, rows.bits(), stations);
    for (id, count) in (0..).map(StationId).zip(sends.iter().zip(&hears).map(|(sends, hears)| sends + hears)) {
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
    table.by_station = [sends, hears];
    table.places = vec![None; table.stations.calls()];
    for index in 0..table.stations.len() {
        let station = StationId(u32::try_from(index).unwrap_or(u32::MAX));
        let call = table.stations.call_of(station).index();
        if places[call].is_some() && places[call].map(|(_, locator)| locator) == table.stations.locator(station) {
            table.places[call] = Some(station);
        }
    }
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
