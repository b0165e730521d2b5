//! The columns of a spot table, frozen once built.

use farheard_scan::spots::Spots;
use farheard_scan::{Columns, column};

use super::band::Band;
use super::rows::RowSet;
use super::station::{CallId, StationId, Stations};
use crate::geography::Locator;
use crate::time::UtcTime;

/// Number of a file in the table, in the order given.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct FileId(pub(crate) u16);

impl FileId {
    /// Place in the list of files.
    pub fn index(self) -> usize {
        usize::from(self.0)
    }
}

/// What the tested antenna did.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Side {
    /// It transmitted; the far ends are listeners.
    Sends,
    /// It received; the far ends are transmitting stations.
    Hears,
}

/// Whose antenna is tested, and on which side of the path it stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Tested {
    /// The station's call.
    pub call: CallId,
    /// Does it send or hear?
    pub side: Side,
}

/// All spots that were read, one column per field, in the order of files and lines.
///
/// Missing numbers are NaN in the columns and `None` from the methods. Columns hold plain numbers, so that
/// [`SpotTable::columns`] can hand them out for scans.
#[derive(Clone, Debug, Default)]
pub struct SpotTable {
    pub(super) spots: Spots,
    pub(super) file: Vec<FileId>,
    pub(super) line: Vec<u32>,
    pub(super) stations: Stations,
    pub(super) files: Vec<String>,
    pub(super) places: Vec<Option<StationId>>,
    /// Spots by station that sends, and by station that hears.
    pub(super) by_station: [Vec<u32>; 2],
}

/// NaN stands for 'not in the file'.
fn known(value: f32) -> Option<f64> {
    (!value.is_nan()).then(|| f64::from(value))
}

/// Bytes that a column has room for.
pub(super) fn room<T>(column: &Vec<T>) -> usize {
    column.capacity() * size_of::<T>()
}

impl SpotTable {
    /// How many spots.
    pub fn len(&self) -> usize {
        self.spots.time_s.len()
    }

    /// Is there no spot?
    pub fn is_empty(&self) -> bool {
        self.spots.time_s.is_empty()
    }

    /// How many bytes of memory the table holds, by the room of its columns, whether used or not.
    ///
    /// Names and the search trees of stations count by what is entered in them, without the allocator's and the trees'
    /// own slack, which grows with the stations and not with the spots.
    pub fn bytes(&self) -> usize {
        let Self { spots, file, line, stations, files, places, by_station } = self;
        let columns = spots.bytes() + room(file) + room(line);
        let names: usize = files.iter().map(String::capacity).sum();
        let counts: usize = by_station.iter().map(room).sum();
        columns + room(places) + room(files) + names + counts + stations.bytes()
    }

    /// Every row.
    pub fn all_rows(&self) -> RowSet {
        RowSet::all(self.len())
    }

    /// Start of the slot, as reported, UTC.
    pub fn time(&self, row: usize) -> UtcTime {
        UtcTime::from_second(self.spots.time_s[row])
    }

    /// The station that transmitted.
    pub fn tx(&self, row: usize) -> StationId {
        StationId(self.spots.tx[row])
    }

    /// The station that heard it.
    pub fn rx(&self, row: usize) -> StationId {
        StationId(self.spots.rx[row])
    }

    /// The station at the tested end (`side`) of a row.
    pub fn near(&self, row: usize, side: Side) -> StationId {
        match side {
            Side::Sends => self.tx(row),
            Side::Hears => self.rx(row),
        }
    }

    /// The station at the other end of a row.
    pub fn far(&self, row: usize, side: Side) -> StationId {
        match side {
            Side::Sends => self.rx(row),
            Side::Hears => self.tx(row),
        }
    }

    /// Frequency in Hz as the listener believed it.
    pub fn freq_hz(&self, row: usize) -> Option<f64> {
        let value = self.spots.freq_hz[row];
        (!value.is_nan()).then_some(value)
    }

    /// Band of the frequency, or of the file's band column where there is none.
    pub fn band(&self, row: usize) -> Band {
        Band::numbered(self.spots.band[row])
    }

    /// SNR in dB in 2500 Hz, as reported.
    pub fn snr_db(&self, row: usize) -> Option<f64> {
        known(self.spots.snr_db[row])
    }

    /// Frequency drift in Hz per minute, as reported.
    pub fn drift_hz_min(&self, row: usize) -> Option<f64> {
        known(self.spots.drift_hz_min[row])
    }

    /// Reported transmitter power in dBm, rounded to a ten-thousandth.
    pub fn power_dbm(&self, row: usize) -> Option<f64> {
        let power = self.spots.power_dbm[row];
        (!power.is_nan()).then(|| Self::power_of(power))
    }

    /// A power of the column in dBm, rounded to a ten-thousandth.
    pub fn power_of(power: f32) -> f64 {
        (f64::from(power) * 1e4).round() / 1e4
    }

    /// SNR in dB normalised to 1 W by the reported power.
    pub fn snr_1w_db(&self, row: usize) -> Option<f64> {
        Some(crate::units::snr_at_1w(self.snr_db(row)?, self.power_dbm(row)?))
    }

    /// The columns for scans: groups are bands by [`Band::index`]. Numbers of the far calls are not among its own.
    pub fn columns<'a>(&'a self, far: &'a [u32]) -> Columns<'a> {
        let spots = &self.spots;
        Columns { time_s: &spots.time_s, far, group: &spots.band, level: &spots.snr_db, power: &spots.power_dbm }
    }

    /// The numbers of the stations at the tested end (`side`), for scans.
    pub fn near_column(&self, side: Side) -> &[u32] {
        match side {
            Side::Sends => &self.spots.tx,
            Side::Hears => &self.spots.rx,
        }
    }

    /// The numbers of the stations at the other end, for scans.
    pub fn far_column(&self, side: Side) -> &[u32] {
        match side {
            Side::Sends => &self.spots.rx,
            Side::Hears => &self.spots.tx,
        }
    }

    /// How many spots each station at the tested end (`side`) has.
    pub fn spots_by_station(&self, side: Side) -> &[u32] {
        &self.by_station[usize::from(side == Side::Hears)]
    }

    /// Seconds since 1970, for scans.
    pub fn time_column(&self) -> &[u32] {
        &self.spots.time_s
    }

    /// Bands by [`Band::index`], for scans.
    pub fn band_column(&self) -> &[u8] {
        &self.spots.band
    }

    /// Powers as read, NaN where there is none, for scans.
    pub fn power_column(&self) -> &[f32] {
        &self.spots.power_dbm
    }

    /// Levels as read, NaN where there is none, for scans.
    pub fn level_column(&self) -> &[f32] {
        &self.spots.snr_db
    }

    /// The file the row came from.
    pub fn file(&self, row: usize) -> FileId {
        self.file[row]
    }

    /// Physical line in the unpacked file, from 1 (ADIF: where the record begins).
    pub fn line(&self, row: usize) -> u32 {
        self.line[row]
    }

    /// Name of a file.
    pub fn file_name(&self, file: FileId) -> &str {
        &self.files[file.index()]
    }

    /// Names of all files, in order.
    pub fn files(&self) -> &[String] {
        &self.files
    }

    /// All calls and stations.
    pub fn stations(&self) -> &Stations {
        &self.stations
    }

    /// Where a call most likely stands: the locator most of its reports give,
    /// where a shorter locator counts for the longer one it begins
    /// (ties: the longer, then the earlier in the alphabet). `None` if no report gives one.
    pub fn place(&self, call: CallId) -> Option<Locator> {
        self.stations.locator(self.places[call.index()]?)
    }

    /// Rows in which the tested station stands on its side.
    pub fn rows_of(&self, tested: Tested) -> RowSet {
        let own: Vec<bool> = self.stations.call_of_each().iter().map(|&call| call == tested.call.0).collect();
        self.all_rows().of_bits(column::holding(self.near_column(tested.side), &own))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::model::{Spot, TableBuilder};

    #[test]
    fn bytes_are_those_of_all_columns_and_of_each_station_once() {
        let spots = |count: u32, stations: u32| {
            let mut builder = TableBuilder::new();
            builder.begin_file("a.csv");
            builder.reserve(count as usize);
            for at in 0..count {
                let tx = builder.station("Q7TST", None);
                let rx = builder.station(&format!("Q{}AA", at % stations), None);
                builder.push(Spot {
                    time: UtcTime::from_second(at),
                    tx,
                    rx,
                    freq_hz: None,
                    band: Band::of_hz(14_097_100.0),
                    snr_db: None,
                    drift_hz_min: None,
                    power_dbm: None,
                    line: at,
                });
            }
            builder.freeze().bytes()
        };
        // time, two stations, frequency, band, three levels, file, line: 4 + 8 + 8 + 1 + 12 + 2 + 4
        assert_eq!(spots(2000, 10) - spots(1000, 10), 39 * 1000);
        assert!(spots(1000, 500) > spots(1000, 10) + 490 * "Q10AA".len());
        assert!(SpotTable::default().bytes() < 100);
    }
}
