//! The next test: how many hours each layout needs to tell a difference apart, from the data at hand;
//! in which order to change antennas; how often a band is sent; how long a battery lasts.

use super::compare::{self, Settings, compare};
use super::runs::Run;
use super::subject::Subject;
use crate::geography::Position;
use crate::model::{Band, RowSet};
use crate::order::distinct;
use crate::sky::{SunPlace, SunState};
use crate::time::{UtcTime, WSPR_SLOT_S};

/// Seconds in which a WSPR transmission keeps the transmitter on: 162 symbols of 8192/12000 s
/// (published description of the mode).
pub const TRANSMIT_S: f64 = 162.0 * 8192.0 / 12000.0;
/// Seconds of a slot.
pub const SLOT_S: f64 = 120.0;
/// To find a difference four times in five, the interval's half-width must be this part of it:
/// 1.96 / (1.96 + 0.84), normal quantiles for 95 % and 80 %.
const HALF_WIDTH_SHARE: f64 = 1.96 / (1.96 + 0.84);
/// Half-width of two senders at once, and of separate days with a control, against alternating for the same hours in all:
/// measured by `calibrate` (0.50 and 1.01 * sqrt(2) against 0.88 dB).
const TWO_SENDERS_WIDTH: f64 = 0.57;
/// See [`TWO_SENDERS_WIDTH`].
const CONTROL_WIDTH: f64 = 1.62;

/// A way to lay out the next test.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Layout {
    /// One sender, antennas in turn.
    Alternating,
    /// Two senders at once.
    TwoSenders,
    /// One antenna a day, with a beacon that does not change.
    NextDayControl,
    /// One antenna a day, nothing else.
    NextDay,
}

impl Layout {
    /// All, best first.
    pub const ALL: [Self; 4] = [Self::TwoSenders, Self::Alternating, Self::NextDayControl, Self::NextDay];
}

/// Hours of test in all after which a difference is found four times in five.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Need {
    /// So many hours.
    Hours(f64),
    /// However long it lasts, days and antennas stay mixed.
    Never,
    /// The data at hand are too few to foresee it.
    Unknown,
}

/// What a band needs.
#[derive(Clone, Debug, PartialEq)]
pub struct BandPlan {
    /// The band.
    pub band: Band,
    /// Half-width of the 95 % interval that alternating would have given in the hours at hand, dB.
    pub half_width_db: Option<f64>,
    /// Hours at hand.
    pub hours: f64,
}

impl BandPlan {
    /// The hours a layout needs to tell `difference_db` apart. `settings` holds what two days are assumed to differ.
    pub fn need(&self, layout: Layout, difference_db: f64, settings: Settings) -> Need {
        let wanted = difference_db * HALF_WIDTH_SHARE;
        let factor = match layout {
            Layout::Alternating => 1.0,
            Layout::TwoSenders => TWO_SENDERS_WIDTH,
            Layout::NextDayControl => CONTROL_WIDTH,
            Layout::NextDay if 1.96 * settings.day_to_day_db >= wanted => return Need::Never,
            // what is left of the wanted width after the day's own part
            Layout::NextDay => {
                CONTROL_WIDTH * wanted / (wanted.powi(2) - (1.96 * settings.day_to_day_db).powi(2)).sqrt()
            }
        };
        match self.half_width_db {
            Some(width) if wanted > 0.0 => Need::Hours(self.hours * (factor * width / wanted).powi(2)),
            _ => Need::Unknown,
        }
    }
}

/// What each band of a run would need, found by comparing the run with itself: its sends dealt in turn to two
/// antennas that are truly the same.
pub fn bands(subject: &Subject<'_>, rows: &RowSet, run: &Run, settings: Settings) -> Vec<BandPlan> {
    let table = subject.table();
    let sends = distinct(rows.iter().map(|row| (table.band(row), table.time(row).unix_s().div_euclid(WSPR_SLOT_S))));
    let turn_of = |row: usize| {
        let key = (table.band(row), table.time(row).unix_s().div_euclid(WSPR_SLOT_S));
        let first = sends.partition_point(|send| send.0 < key.0);
        sends.binary_search(&key).map_or(0, |at| at - first)
    };
    let (a, b) = (rows.filtered(|row| !is_b(turn_of(row))), rows.filtered(|row| is_b(turn_of(row))));
    let side = |rows| compare::Side { run, rows };
    let Some(itself) = compare(subject, side(&a), side(&b), None, settings) else { return Vec::new() };
    let hours = distinct(rows.iter().map(|row| table.time(row).unix_s().div_euclid(3600)));
    itself
        .bands
        .into_iter()
        .map(|(band, part)| {
            let enough = compare::enough(&part);
            let half_width_db = part.pairs_half_width_db.filter(|width| enough && width.is_finite());
            BandPlan { band, half_width_db, hours: hours.len() as f64 }
        })
        .collect()
}

/// Does turn `n` (from 0) belong to antenna B in the balanced order A B B A B A A B ...?
///
/// The order of Thue and Morse: neither a steady drift nor any simple rhythm favours one antenna.
/// Change after each whole round of the bands, so that it never lines up with the bands' own turn.
pub fn is_b(turn: usize) -> bool {
    turn.count_ones() % 2 == 1
}

/// Sends an hour on each of so many bands in turn, one slot each, `silent` slots after each round.
pub fn sends_an_hour(bands: usize, silent: usize) -> f64 {
    3600.0 / SLOT_S / (bands + silent).max(1) as f64
}

/// A battery and what drains it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Battery {
    /// Capacity in Ah that may be used.
    pub usable_ah: f64,
    /// Current while transmitting, A.
    pub transmit_a: f64,
    /// Current otherwise, A.
    pub idle_a: f64,
    /// Share of slots in which it transmits, 0 to 1.
    pub slots_used: f64,
}

impl Battery {
    /// Mean current, A; `None` unless all figures make sense.
    pub fn mean_a(&self) -> Option<f64> {
        let on = TRANSMIT_S / SLOT_S * self.slots_used;
        let sensible = self.transmit_a >= 0.0 && self.idle_a >= 0.0 && (0.0..=1.0).contains(&self.slots_used);
        let mean_a = self.transmit_a * on + self.idle_a * (1.0 - on);
        (sensible && mean_a.is_finite()).then_some(mean_a)
    }

    /// Running time in hours; `None` unless all figures make sense and some current flows.
    pub fn hours(&self) -> Option<f64> {
        let mean_a = self.mean_a().filter(|&mean_a| mean_a > 0.0 && self.usable_ah >= 0.0)?;
        Some(self.usable_ah / mean_a)
    }
}

/// Spans between two instants in which the sun is down at home ([`crate::sky::sun::SUNSET_DEG`]), to the minute.
/// At most a year is looked at.
pub fn dark_spans(home: Position, from: UtcTime, to: UtcTime) -> Vec<(UtcTime, UtcTime)> {
    let end = to.unix_s().min(from.unix_s().saturating_add(366 * 86_400));
    let mut spans: Vec<(UtcTime, UtcTime)> = Vec::new();
    let mut dark_since = None;
    for at in (from.unix_s()..end).step_by(60).chain([end]) {
        let Some(time) = UtcTime::from_unix_s(at) else { break };
        let dark = at < end && SunPlace::at(time).state(home) != SunState::Day;
        match dark_since {
            None if dark => dark_since = Some(time),
            Some(since) if !dark => {
                spans.push((since, time));
                dark_since = None;
            }
            _ => {}
        }
    }
    spans
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_order_is_balanced_and_keeps_no_rhythm() {
        let order: String = (0..8).map(|turn| if is_b(turn) { 'B' } else { 'A' }).collect();
        assert_eq!(order, "ABBABAAB");
        // neither antenna leads by more than a turn, and a steady drift cancels over each eight turns
        for eight in 0..32 {
            let turns = eight * 8..eight * 8 + 8;
            let place = |b: bool| turns.clone().filter(|&turn| is_b(turn) == b).sum::<usize>();
            assert_eq!(place(true), place(false));
        }
    }

    /// 162 x 8192 / 12000 = 110.592 s (published description of the mode).
    #[test]
    fn a_battery_lasts_as_reckoned_by_hand() {
        assert!((TRANSMIT_S - 110.592).abs() < 1e-9);
        let battery = Battery { usable_ah: 4.0, transmit_a: 0.25, idle_a: 0.05, slots_used: 1.0 };
        // 0.9216 of the time 0.25 A, else 0.05 A: 0.23432 A
        assert!((battery.hours().unwrap() - 4.0 / 0.23432).abs() < 1e-6);
        assert_eq!(Battery { transmit_a: 0.0, idle_a: 0.0, ..battery }.hours(), None);
        assert_eq!(Battery { slots_used: 1.5, ..battery }.hours(), None);
        assert!((sends_an_hour(5, 0) * 24.0 - 144.0).abs() < 1e-9);
    }

    /// Sunset and sunrise in Greenwich at the March equinox lie near 18:10 and 06:05 UTC: the equation of time is +7.5 min,
    /// and the disc with its refraction stays up some 5 min longer at either end.
    #[test]
    fn the_night_at_an_equinox_lasts_nearly_twelve_hours() {
        let home = Position { lat_deg: 51.48, lon_deg: 0.0 };
        let noon = UtcTime::parse_iso("2031-03-20T12:00Z").unwrap();
        let spans = dark_spans(home, noon, noon.plus_s(86_400).unwrap());
        let [(from, to)] = spans.as_slice() else { panic!("{spans:?}") };
        assert!(("18:08".."18:20").contains(&from.clock().as_str()), "{}", from.clock());
        assert!(("05:58".."06:10").contains(&to.clock().as_str()), "{}", to.clock());
        // polar day and polar night
        let north = Position { lat_deg: 78.0, lon_deg: 16.0 };
        let midsummer = UtcTime::parse_iso("2031-06-21T00:00Z").unwrap();
        assert_eq!(dark_spans(north, midsummer, midsummer.plus_s(86_400).unwrap()), []);
        let midwinter = UtcTime::parse_iso("2031-12-21T00:00Z").unwrap();
        let end = midwinter.plus_s(86_430).unwrap();
        assert_eq!(dark_spans(north, midwinter, end), [(midwinter, end)]);
        assert_eq!(dark_spans(north, midwinter, midwinter), []);
    }

    #[test]
    fn days_alone_cannot_answer_and_hours_grow_with_the_square() {
        let band = BandPlan { band: Band::UNKNOWN, half_width_db: Some(1.0), hours: 24.0 };
        let settings = Settings::default();
        assert_eq!(band.need(Layout::NextDay, 3.0, settings), Need::Never);
        let hours = |db: f64| match band.need(Layout::Alternating, db, settings) {
            Need::Hours(hours) => hours,
            other => panic!("{other:?}"),
        };
        assert!((hours(1.0) / hours(2.0) - 4.0).abs() < 1e-9);
        assert!((hours(1.0) - 24.0 * (2.8_f64 / 1.96).powi(2)).abs() < 1e-9);
        let blind = BandPlan { half_width_db: None, ..band };
        assert_eq!(blind.need(Layout::TwoSenders, 1.0, settings), Need::Unknown);
    }
}
