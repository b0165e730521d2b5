//! The numbers of a row after the plan's rules: frequency, band, level, drift, power.

use farheard_scan::cell::words;

use super::rules::Rules;
use crate::import::columns::decide::{BELIEVABLE_HZ, Basis};
use crate::import::fields::cell;
use crate::import::fields::level::{self, BandCell};
use crate::import::fields::number::{self, Decimal};
use crate::import::words::{DecimalMark, FreqUnit};
use crate::model::Band;

/// What stands in a cell for a number.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Value {
    /// Nothing.
    Empty,
    /// The value in the unit of the spot table.
    Known(f64),
    /// Something that is no such value.
    Unreadable,
}

impl Value {
    /// The value, if it is known.
    #[inline]
    pub(super) fn known(self) -> Option<f64> {
        match self {
            Self::Known(value) => Some(value),
            Self::Empty | Self::Unreadable => None,
        }
    }
}

fn known_or_unreadable(value: Option<f64>) -> Value {
    value.map_or(Value::Unreadable, Value::Known)
}

/// Spellings of bands that are remembered: files have a handful.
const MOST_BANDS: usize = 24;

/// Reads the numbers of rows.
#[derive(Debug)]
pub(super) struct Values<'a> {
    rules: &'a Rules,
    plain: String,
    /// Cells of bands as words with their length, and what they stand for.
    bands: Vec<([u64; 3], Option<Band>)>,
    /// The band of the frequency before, with its edges.
    last_band: (Band, f64, f64),
    /// Was the last frequency in another unit than the column's?
    pub(super) is_in_other_unit: bool,
}

impl<'a> Values<'a> {
    pub(super) fn new(rules: &'a Rules) -> Self {
        Self {
            rules,
            plain: String::new(),
            bands: Vec::new(),
            last_band: (Band::UNKNOWN, f64::NAN, f64::NAN),
            is_in_other_unit: false,
        }
    }

    /// A frequency in Hz.
    #[inline]
    pub(super) fn frequency(&mut self, cell: &[u8]) -> Value {
        let freq = &self.rules.freq;
        let mark = if freq.mark == DecimalMark::Comma { b',' } else { b'.' };
        self.is_in_other_unit = false;
        match number::quick(cell, mark) {
            Some(number) if freq.basis != Basis::Mixed => known_or_unreadable(self.in_unit(number)),
            _ => self.frequency_slowly(cell),
        }
    }

    /// A number in the column's unit; but where nobody sends, and another unit meets a band, in that.
    #[inline]
    fn in_unit(&mut self, number: Decimal) -> Option<f64> {
        let freq = &self.rules.freq;
        let hz = level::frequency_hz(number, freq.unit)?;
        if BELIEVABLE_HZ.contains(&hz) || freq.basis == Basis::Wished || level::band_of(hz).edges_hz().is_some() {
            return Some(hz);
        }
        let other = unit_in_band(number).and_then(|unit| level::frequency_hz(number, unit));
        self.is_in_other_unit = other.is_some();
        other.or(Some(hz))
    }

    fn frequency_slowly(&mut self, cell: &[u8]) -> Value {
        let cell = cell::trim(cell);
        if cell.is_empty() {
            return Value::Empty;
        }
        let freq = &self.rules.freq;
        let read = number::read_any(cell, freq.mark, &mut self.plain);
        let read = read.and_then(|(number, unit)| Some((number, level::frequency_unit(unit).ok()?)));
        known_or_unreadable(read.and_then(|(number, unit)| match unit {
            Some(unit) => level::frequency_hz(number, unit),
            None if freq.basis == Basis::Mixed => level::frequency_hz(number, unit_in_band(number)?),
            None => self.in_unit(number),
        }))
    }

    /// The band of a frequency.
    #[inline]
    pub(super) fn band_of(&mut self, hz: f64) -> Band {
        let (band, low, high) = self.last_band;
        if low <= hz && hz <= high {
            return band;
        }
        let band = level::band_of(hz);
        if let Some((low, high)) = level::edges_of(band) {
            self.last_band = (band, low, high);
        }
        band
    }

    /// The band that a cell names.
    #[inline]
    pub(super) fn band(&mut self, cell: &[u8]) -> Option<Band> {
        let (first, last) = words(&cell[..cell.len().min(16)]);
        let key = [first, last, cell.len() as u64];
        let known =
            self.bands.iter().find(|(known, _)| (known[0] ^ key[0]) | (known[1] ^ key[1]) | (known[2] ^ key[2]) == 0);
        match known {
            Some((_, band)) => *band,
            None => self.band_slowly(cell, key),
        }
    }

    fn band_slowly(&mut self, cell: &[u8], key: [u64; 3]) -> Option<Band> {
        let band = match level::band(cell, &mut self.plain) {
            BandCell::Band(band) => Some(band),
            BandCell::Bare(value) if self.rules.band_in_mhz => level::band_of_mhz(value),
            BandCell::Bare(value) => level::band_of_metres(value),
            BandCell::None => None,
        };
        if self.bands.len() < MOST_BANDS && cell.len() <= 16 {
            self.bands.push((key, band));
        }
        band
    }

    /// An SNR in dB.
    #[inline]
    pub(super) fn snr(&mut self, cell: &[u8]) -> Value {
        match number::quick(cell, b'.').map(Decimal::value) {
            Some(db) if !self.rules.reports && db.abs() < 100.0 => Value::Known(db),
            _ => self.snr_slowly(cell),
        }
    }

    fn snr_slowly(&mut self, cell: &[u8]) -> Value {
        if cell::is_blank(cell) {
            return Value::Empty;
        }
        known_or_unreadable(if self.rules.reports {
            level::report_db(cell, self.rules.snr_mark, &mut self.plain)
        } else {
            level::snr_db(cell, self.rules.snr_mark, &mut self.plain)
        })
    }

    /// A drift in Hz per minute.
    #[inline]
    pub(super) fn drift(&mut self, cell: &[u8]) -> Option<f64> {
        let number = match number::quick(cell, b'.') {
            Some(number) => number,
            None => number::read_any(cell::trim(cell), self.rules.drift_mark, &mut self.plain)?.0,
        };
        // no transmitter drifts by kilohertz in a minute
        Some(number.value()).filter(|drift| drift.abs() < 1e4)
    }

    /// A power in dBm, and whether the number could be a level in dBm as it stands.
    #[inline]
    pub(super) fn power(&mut self, cell: &[u8]) -> (Value, bool) {
        if cell.is_empty() {
            return (Value::Empty, true);
        }
        let rules = self.rules;
        let (number, unit) = match number::quick(cell, b'.') {
            Some(number) if rules.power_mark == DecimalMark::Point || number.places == 0 => (number, Ok(None)),
            _ => match number::read_any(cell::trim(cell), rules.power_mark, &mut self.plain) {
                Some((number, unit)) => (number, level::power_unit(unit)),
                None if cell::is_blank(cell) => return (Value::Empty, true),
                None => return (Value::Unreadable, true),
            },
        };
        let is_level = unit != Ok(None) || number.is_whole() && (0.0..=60.0).contains(&number.value());
        let dbm = unit.ok().and_then(|unit| level::power_dbm(number, unit.unwrap_or(rules.power.unit)));
        (known_or_unreadable(dbm), is_level)
    }
}

/// In a column of mixed units: the unit in which a number is in an amateur band below the microwaves, megahertz first
/// (ten thousand and more would be microwaves in megahertz, and are kilohertz).
fn unit_in_band(number: Decimal) -> Option<FreqUnit> {
    [FreqUnit::MHz, FreqUnit::KHz, FreqUnit::Hz].into_iter().find(|&unit| {
        level::frequency_hz(number, unit).is_some_and(|hz| hz < 1.5e9 && level::band_of(hz).edges_hz().is_some())
    })
}
