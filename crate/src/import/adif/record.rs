//! One record: the fields that make a spot, and how it becomes one.

use crate::import::account::{Account, AtFault};
use crate::import::fields::calendar::day_number;
use crate::import::fields::call::CallCell;
use crate::import::fields::cell;
use crate::import::fields::level::{self, BandCell};
use crate::import::fields::number;
use crate::import::fields::place::PlaceCell;
use crate::import::fields::stamp::{self, ClockPart, DatePart, Want};
use crate::import::stations::{End, Found, StationReader};
use crate::import::words::{DecimalMark, FreqUnit, PowerUnit, Reason, Report};
use crate::model::{Added, Band, Spot, TableBuilder};
use crate::time::UtcTime;

/// The fields that are used; names as in ADIF 3.1.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Field {
    Call,
    Gridsquare,
    GridsquareExt,
    StationCallsign,
    Operator,
    MyGridsquare,
    MyGridsquareExt,
    QsoDate,
    TimeOn,
    Freq,
    FreqRx,
    Band,
    BandRx,
    RstSent,
    RstRcvd,
    TxPwr,
    RxPwr,
    Swl,
    /// Of our own: drift in Hz per minute.
    Drift,
}

const NAMES: [(&str, Field); 19] = [
    ("CALL", Field::Call),
    ("GRIDSQUARE", Field::Gridsquare),
    ("GRIDSQUARE_EXT", Field::GridsquareExt),
    ("STATION_CALLSIGN", Field::StationCallsign),
    ("OPERATOR", Field::Operator),
    ("MY_GRIDSQUARE", Field::MyGridsquare),
    ("MY_GRIDSQUARE_EXT", Field::MyGridsquareExt),
    ("QSO_DATE", Field::QsoDate),
    ("TIME_ON", Field::TimeOn),
    ("FREQ", Field::Freq),
    ("FREQ_RX", Field::FreqRx),
    ("BAND", Field::Band),
    ("BAND_RX", Field::BandRx),
    ("RST_SENT", Field::RstSent),
    ("RST_RCVD", Field::RstRcvd),
    ("TX_PWR", Field::TxPwr),
    ("RX_PWR", Field::RxPwr),
    ("SWL", Field::Swl),
    ("APP_FARHEARD_DRIFT", Field::Drift),
];

impl Field {
    /// The field of a name in any letter case.
    pub(super) fn of(name: &[u8]) -> Option<Self> {
        NAMES.iter().find(|(own, _)| own.as_bytes().eq_ignore_ascii_case(name)).map(|&(_, field)| field)
    }

    pub(super) fn name(self) -> &'static str {
        NAMES[self as usize].0
    }
}

/// Longest value that is kept; no field that is used has more.
const LONGEST: usize = 256;

/// The values of one record.
#[derive(Debug, Default)]
pub(super) struct Record {
    values: [Vec<u8>; NAMES.len()],
    /// Where the tags of the values stand in the text.
    places: [usize; NAMES.len()],
    /// How many fields it has, used or not.
    pub(super) fields: u32,
    /// Number of the record, from 1.
    pub(super) number: u32,
    pub(super) line: u32,
    /// Where it stands in the text.
    pub(super) start: usize,
    pub(super) end: usize,
    /// Does the text end inside it?
    pub(super) cut: bool,
}

impl Record {
    pub(super) fn clear(&mut self) {
        for value in &mut self.values {
            value.clear();
        }
        self.fields = 0;
        self.cut = false;
    }

    /// Sets the value of a field, whose tag stands at `place` in the text.
    pub(super) fn set(&mut self, field: Field, value: &[u8], place: usize) {
        self.places[field as usize] = place;
        let own = &mut self.values[field as usize];
        own.clear();
        own.extend_from_slice(&value[..value.len().min(LONGEST)]);
    }

    /// Forgets the values whose tags stand at a place or behind it.
    pub(super) fn forget_from(&mut self, place: usize) {
        for (value, _) in self.values.iter_mut().zip(self.places).filter(|&(_, own)| own >= place) {
            value.clear();
        }
    }

    /// What a value of a field meets in the record.
    pub(super) fn meets(&self, field: Field, value: &[u8]) -> Meets {
        let value = cell::trim(&value[..value.len().min(LONGEST)]);
        match self.get(field) {
            [] => Meets::Nothing,
            _ if value.is_empty() => Meets::Nothing,
            own if own == value => Meets::Same,
            _ => Meets::Other,
        }
    }

    pub(super) fn get(&self, field: Field) -> &[u8] {
        cell::trim(&self.values[field as usize])
    }

    fn has(&self, field: Field) -> bool {
        !self.get(field).is_empty()
    }

    /// Is it the report of a listener (SWL=Y)?
    pub(super) fn is_listened(&self) -> bool {
        matches!(self.get(Field::Swl), [b'Y' | b'y', ..])
    }

    /// Has it anything that a spot needs?
    pub(super) fn has_substance(&self) -> bool {
        self.has(Field::Call) || self.has(Field::StationCallsign) || self.has(Field::QsoDate) || self.has(Field::TimeOn)
    }

    /// Has it a call, date and time?
    pub(super) fn is_whole(&self) -> bool {
        self.has(Field::Call) && self.has(Field::QsoDate) && self.has(Field::TimeOn)
    }

    /// The logging station: its call on the air, else its operator.
    fn own_call(&self) -> Field {
        if self.has(Field::StationCallsign) { Field::StationCallsign } else { Field::Operator }
    }
}

/// What a value meets in a record.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Meets {
    Nothing,
    /// The same value of the same field.
    Same,
    /// Another value of the same field.
    Other,
}

/// What the records of a file have, for the choice of the report.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Survey {
    pub(super) listened: u64,
    /// Two-way records with a level in decibels sent, received, and both.
    pub(super) sent: u64,
    pub(super) received: u64,
    pub(super) two_way: u64,
    pub(super) with_own_call: u64,
    pub(super) with_call: u64,
}

impl Survey {
    pub(super) fn add(&mut self, record: &Record, plain: &mut String) {
        self.with_call += u64::from(record.has(Field::Call));
        self.with_own_call += u64::from(record.has(record.own_call()));
        if record.is_listened() {
            self.listened += 1;
            return;
        }
        let mut level = |field: Field| level::report_db(record.get(field), DecimalMark::Point, plain).is_some();
        let (sent, received) = (level(Field::RstSent), level(Field::RstRcvd));
        self.two_way += 1;
        self.sent += u64::from(sent);
        self.received += u64::from(received);
    }

    /// The report to show where nothing is wished: what the logging station gave, unless only the other way is logged.
    pub(super) fn report(&self, wish: Option<Report>) -> Report {
        wish.unwrap_or(if self.sent == 0 && self.received > 0 { Report::Received } else { Report::Given })
    }
}

/// Turns records into spots.
#[derive(Debug, Default)]
pub(super) struct Writer {
    stations: StationReader,
    plain: String,
    own_place: Vec<u8>,
    other_place: Vec<u8>,
    pub(super) account: Account,
}

/// The mark of a number in ADIF: a point by the description (data type Number), a comma where a program wrote one.
fn mark_of(value: &[u8]) -> DecimalMark {
    if value.contains(&b',') && !value.contains(&b'.') { DecimalMark::Comma } else { DecimalMark::Point }
}

/// The fields of one direction.
#[derive(Clone, Copy, Debug)]
struct Direction {
    /// Did the other station (CALL) transmit?
    other_sends: bool,
    level: Field,
    power: Field,
    freq: Field,
    band: Field,
}

const GIVEN: Direction = Direction {
    other_sends: true,
    level: Field::RstSent,
    power: Field::RxPwr,
    freq: Field::FreqRx,
    band: Field::BandRx,
};
const RECEIVED: Direction =
    Direction { other_sends: false, level: Field::RstRcvd, power: Field::TxPwr, freq: Field::Freq, band: Field::Band };

impl Writer {
    /// Adds a record's spots, or sets it aside.
    pub(super) fn write(&mut self, record: &Record, report: Report, text: &[u8], table: &mut TableBuilder) {
        let raw = text.get(record.start..record.end).unwrap_or_default();
        let time = time_of(record, &mut self.plain);
        join(record, Field::Gridsquare, Field::GridsquareExt, &mut self.other_place);
        join(record, Field::MyGridsquare, Field::MyGridsquareExt, &mut self.own_place);
        let own = record.own_call();
        let other = self.stations.read(End::Sends, record.get(Field::Call), cell::trim(&self.other_place), table);
        let own_found = self.stations.read(End::Hears, record.get(own), cell::trim(&self.own_place), table);
        let report = if record.is_listened() { Report::Given } else { report };
        let (Ok(time), Some(_), Some(_), false) = (time, other.station, own_found.station, record.cut) else {
            self.set_aside(record, time, other, own_found, report, raw);
            return;
        };
        let directions: &[Direction] = match report {
            Report::Given => &[GIVEN],
            Report::Received => &[RECEIVED],
            Report::Both => &[GIVEN, RECEIVED],
        };
        for direction in directions {
            self.spot(record, *direction, time, other, own_found, table);
        }
    }

    fn spot(
        &mut self,
        record: &Record,
        direction: Direction,
        time: UtcTime,
        other: Found,
        own: Found,
        table: &mut TableBuilder,
    ) {
        let (tx, rx) = if direction.other_sends { (other, own) } else { (own, other) };
        let (Some(tx_station), Some(rx_station)) = (tx.station, rx.station) else { return };
        for found in [tx, rx] {
            let account = &mut self.account;
            match found.call {
                CallCell::Bracketed => account.brackets += 1,
                CallCell::Changed => account.calls_changed += 1,
                _ => {}
            }
            match found.place {
                PlaceCell::Whole(_) => {}
                PlaceCell::Shortened(_) => account.locator_shortened += 1,
                PlaceCell::Missing => account.locator_missing += 1,
                PlaceCell::Unreadable => account.locator_unreadable += 1,
            }
        }
        // without a frequency of its own the receiving side is that of the sending one
        let freq = if record.has(direction.freq) { direction.freq } else { Field::Freq };
        let band_field = if record.has(direction.band) { direction.band } else { Field::Band };
        let named = match level::band(record.get(band_field), &mut self.plain) {
            BandCell::Band(band) => Some(band),
            BandCell::Bare(metres) => level::band_of_metres(metres),
            BandCell::None => None,
        };
        let freq_hz = self.frequency(record.get(freq), named);
        let band = match (freq_hz, named) {
            (Some(hz), named) => {
                let band = level::band_of(hz);
                self.account.band_disagrees += u64::from(named.is_some_and(|named| named != band));
                band
            }
            (None, Some(named)) => named,
            (None, None) => Band::UNKNOWN,
        };
        // of what was only listened to there is one report, under whichever name
        let level_field = match direction.level {
            Field::RstSent if record.is_listened() && !record.has(Field::RstSent) => Field::RstRcvd,
            level => level,
        };
        let snr_db = level::report_db(record.get(level_field), DecimalMark::Point, &mut self.plain);
        self.account.snr_unreadable += u64::from(snr_db.is_none() && record.has(level_field));
        let power_dbm = self.power(record.get(direction.power));
        let drift = number::read_any(record.get(Field::Drift), DecimalMark::Point, &mut self.plain);
        let spot = Spot {
            time,
            tx: tx_station,
            rx: rx_station,
            freq_hz,
            band,
            snr_db,
            drift_hz_min: drift.map(|(drift, _)| drift.value()),
            power_dbm,
            line: record.line,
        };
        self.account.rows += 1;
        match table.push(spot) {
            Added::Kept => self.account.spots += 1,
            Added::Repeated => self.account.duplicates += 1,
        }
    }

    /// FREQ is in megahertz (ADIF 3.1, field FREQ). Some programs write kilohertz or hertz all the same: that is taken
    /// where the record's own band is met so and not in megahertz, or where no band is named and megahertz would be in
    /// none, or in one of gigahertz and in kilohertz in one as well.
    fn frequency(&mut self, value: &[u8], named: Option<Band>) -> Option<f64> {
        if value.is_empty() {
            return None;
        }
        let hz = number::read_any(value, mark_of(value), &mut self.plain).and_then(|(number, unit)| {
            if let Some(unit) = level::frequency_unit(unit).ok()? {
                return level::frequency_hz(number, unit);
            }
            let in_megahertz = level::frequency_hz(number, FreqUnit::MHz);
            let meets = |hz: f64| match named {
                Some(named) => level::band_of(hz) == named,
                None => level::edges_of(level::band_of(hz)).is_some(),
            };
            let in_kilohertz = level::frequency_hz(number, FreqUnit::KHz);
            // at ten gigahertz nobody sends where 30 m is in kilohertz (common practice, no source)
            let doubtful = named.is_none() && in_kilohertz.is_some_and(meets);
            if in_megahertz.is_some_and(|hz| meets(hz) && !(hz >= 1e9 && doubtful)) {
                return in_megahertz;
            }
            let other = [FreqUnit::KHz, FreqUnit::Hz]
                .into_iter()
                .find_map(|unit| level::frequency_hz(number, unit).filter(|&hz| meets(hz)));
            self.account.freq_in_other_unit += u64::from(other.is_some());
            other.or(in_megahertz)
        });
        self.account.freq_unreadable += u64::from(hz.is_none());
        hz
    }

    /// `TX_PWR` and `RX_PWR` are in watts.
    fn power(&mut self, value: &[u8]) -> Option<f64> {
        if value.is_empty() {
            return None;
        }
        let dbm = number::read_any(value, mark_of(value), &mut self.plain)
            .and_then(|(number, unit)| level::power_dbm(number, level::power_unit(unit).ok()?.unwrap_or(PowerUnit::W)));
        self.account.power_unreadable += u64::from(dbm.is_none());
        dbm
    }

    fn set_aside(
        &mut self,
        record: &Record,
        time: Result<UtcTime, Reason>,
        other: Found,
        own: Found,
        report: Report,
        raw: &[u8],
    ) {
        // the other station transmits, unless only its own report is shown
        let (no_other, no_own) =
            if report == Report::Received { (Reason::NoRx, Reason::NoTx) } else { (Reason::NoTx, Reason::NoRx) };
        let reason_of = |call: CallCell, empty: Reason| match call {
            CallCell::Empty => empty,
            CallCell::Unresolved => Reason::CallUnresolved,
            CallCell::Damaged => Reason::CallDamaged,
            _ => Reason::NotACall,
        };
        let own_field = record.own_call();
        let dated = day_of(record.get(Field::QsoDate), &mut self.plain).is_some();
        let time_field = if dated { Field::TimeOn } else { Field::QsoDate };
        let (reason, field) = if record.cut {
            (Reason::CutLine, Field::Call)
        } else if !record.has_substance() {
            (Reason::NotASpot, Field::Call)
        } else if let Err(reason) = time {
            (reason, time_field)
        } else if other.station.is_none() {
            (reason_of(other.call, no_other), Field::Call)
        } else {
            (reason_of(own.call, no_own), own_field)
        };
        let name = format!("the field {} of record {}", field.name(), record.number);
        let at = AtFault { column: &name, number: None, cell: record.get(field) };
        self.account.set_aside(reason, record.line, &at, raw);
    }
}

fn join(record: &Record, field: Field, extension: Field, joined: &mut Vec<u8>) {
    joined.clear();
    joined.extend_from_slice(record.get(field));
    // four more characters behind a locator of eight (ADIF 3.1.4, GRIDSQUARE_EXT)
    if joined.len() == 8 {
        joined.extend_from_slice(record.get(extension));
    }
}

/// The days since 1970-01-01. Eight digits are a date in this field from 1930 on (ADIF 3.1, data type Date), of which we
/// have room for those from 1970 on; in a column of any table old ones would not be taken for dates.
fn day_of(cell: &[u8], plain: &mut String) -> Option<i32> {
    let digits = std::str::from_utf8(cell.trim_ascii())
        .ok()
        .filter(|text| text.len() == 8 && text.bytes().all(|byte| byte.is_ascii_digit()));
    let part = |from: usize, to: usize| digits?.get(from..to)?.parse::<u32>().ok();
    if let (Some(year @ 1970..), Some(month), Some(day)) = (part(0, 4), part(4, 6), part(6, 8))
        && let Some(day) = day_number(year.cast_signed(), month, day)
    {
        return Some(day);
    }
    match stamp::read(cell, Want::Date, 4, plain)?.date {
        DatePart::Day(day) => Some(day),
        _ => None,
    }
}

/// `QSO_DATE` is `YYYYMMDD`, `TIME_ON` `HHMM` or `HHMMSS`, both UTC (ADIF 3.1, data types Date and Time).
fn time_of(record: &Record, plain: &mut String) -> Result<UtcTime, Reason> {
    let day = day_of(record.get(Field::QsoDate), plain);
    let clock = record.get(Field::TimeOn);
    let digits = if clock.len() > 4 { 6 } else { 4 };
    let clock = stamp::read(clock, Want::Clock, digits, plain).map(|stamp| stamp.clock);
    match (day, clock) {
        (Some(day), Some(ClockPart::At(second) | ClockPart::Leap(second))) => {
            UtcTime::from_unix_s(i64::from(day) * 86_400 + i64::from(second)).ok_or(Reason::BadTime)
        }
        _ => Err(Reason::BadTime),
    }
}
