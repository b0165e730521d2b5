//! Dates and times of day as they stand in cells.
//!
//! Reading a cell gives a [`Stamp`]: what it says, with the order of day and month still open where it is.
//! The column as a whole decides that; see `columns::dates`.
//!
//! Read are ISO 8601 (calendar dates, ordinal dates, basic and extended forms), RFC 3339, RFC 5322, RFC 9557, the C
//! library's `asctime`, numbers in any order with any separator, month names in many languages, twelve-hour clocks,
//! seconds to nanoseconds since 1970, spreadsheet day numbers, and times of day that lost their leading zeros.
//! Recognised but never read as a time is what a spreadsheet has damaged: minutes and tenths, `2.02E+07`, `#####`.

use super::calendar::{SERIAL_OF_1970, day_number, full_year};
use super::number::{self, Decimal};
use super::written;
use super::zone::{self, ZoneMark};
use super::{cell, number::Marks};
use crate::import::words::{DateOrder, DecimalMark};

/// What kind of time is looked for; it decides how bare digits are read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Want {
    /// Date and time of day.
    Whole,
    /// A date.
    Date,
    /// A time of day.
    Clock,
}

/// The date of a stamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum DatePart {
    /// There is none.
    None,
    /// Days since 1970-01-01.
    Day(i32),
    /// Three numbers whose order is open.
    Triple(Triple),
    /// A date by form, but there is no such day.
    Impossible,
}

/// Three numbers of a date in the order written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Triple {
    pub(crate) numbers: [u32; 3],
    /// Has the last one four digits? Then it is the year.
    pub(crate) year_last: bool,
    /// What stands between the numbers; 0 for nothing, [`NAMED`] around the name of a month.
    pub(crate) separator: u8,
}

/// In place of a separator: the second of the numbers was a name.
pub(crate) const NAMED: u8 = b'a';
/// A year of two digits beside the name of a month is none before this mode was made (2008).
const FIRST_YEAR: u32 = 8;

/// The time of day of a stamp.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum ClockPart {
    /// There is none.
    None,
    /// Seconds since midnight, 0 to 86400 (24:00).
    At(u32),
    /// 23:59:60, or the same instant elsewhere on earth: this many seconds since midnight, the leap second not counted.
    Leap(u32),
    /// A time of day by form, but there is no such time.
    Impossible,
}

/// How a stamp is written.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Form {
    /// Year, month, day.
    YearFirst,
    /// Three numbers in an order of their own.
    Numbers,
    /// With the name of the month.
    MonthName,
    /// Digits without separators.
    Compact,
    /// Only a time of day.
    Clock,
    /// Only a time of day, as digits without separators.
    CompactClock,
    /// Seconds since 1970.
    EpochS,
    /// Milliseconds since 1970.
    EpochMs,
    /// Microseconds since 1970.
    EpochUs,
    /// Nanoseconds since 1970.
    EpochNs,
    /// Days since 30 December 1899.
    Serial,
    /// Days since noon of 1 January 4713 before Christ, or since midnight of 17 November 1858.
    JulianDay,
    /// Damage: minutes, seconds and tenths.
    Minutes,
    /// Damage: a number that was rounded to a few digits.
    Rounded,
    /// Damage: `#####`.
    Hashes,
}

impl Form {
    /// How many forms there are.
    pub(crate) const COUNT: usize = 15;

    /// Is the time lost for good?
    pub(crate) fn is_damage(self) -> bool {
        matches!(self, Self::Minutes | Self::Rounded | Self::Hashes)
    }
}

/// A date, a time of day, or both, as written.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Stamp {
    pub(crate) date: DatePart,
    pub(crate) clock: ClockPart,
    pub(crate) zone: ZoneMark,
    pub(crate) form: Form,
    /// Was the clock written with AM or PM?
    pub(crate) twelve_hours: bool,
}

impl Stamp {
    pub(super) fn new(date: DatePart, clock: ClockPart, form: Form) -> Self {
        Self { date, clock, zone: ZoneMark::None, form, twelve_hours: false }
    }

    /// Has it both a date and a time of day (though perhaps impossible ones)?
    pub(crate) fn is_whole(&self) -> bool {
        self.date != DatePart::None && self.clock != ClockPart::None
    }
}

impl Triple {
    /// Days since 1970-01-01 in the given order, or `None` if there is no such day.
    pub(crate) fn day(self, order: DateOrder) -> Option<i32> {
        let [a, b, c] = self.numbers;
        let last = if self.year_last { c.cast_signed() } else { full_year(c) };
        let named = self.separator == NAMED;
        match order {
            DateOrder::DayFirst if named && c < FIRST_YEAR => None,
            DateOrder::YearFirst if named && a < FIRST_YEAR => None,
            DateOrder::MonthFirst if named => None,
            DateOrder::DayFirst => day_number(last, b, a),
            DateOrder::MonthFirst => day_number(last, a, b),
            DateOrder::YearFirst if self.year_last => None,
            DateOrder::YearFirst => day_number(full_year(a), b, c),
        }
    }
}

/// Reads a whole cell as a date, a time of day or both. `None` if it is nothing of the kind.
/// `clock_digits` (4 or 6) says whether bare digits of a time of day end with minutes or with seconds.
pub(crate) fn read(cell: &[u8], want: Want, clock_digits: u8, plain: &mut String) -> Option<Stamp> {
    let cell = cell::trim(cell);
    // the longest form, with names of day, month and place, has fewer
    if cell.len() < 80 && !cell.is_empty() {
        cell::write_plain(cell, plain);
        // the words for year, month, day, hour, minute and second in Chinese and Japanese stand where signs do
        if plain.contains('\u{5E74}') || plain.contains('\u{6642}') || plain.contains('\u{65F6}') {
            *plain = with_signs(plain);
        }
        let text = cell::without_text_mark(plain.trim());
        if want == Want::Clock
            && let Some(stamp) = short_clock(text)
        {
            return Some(stamp);
        }
        if text.bytes().any(|b| b.is_ascii_digit()) {
            return if text.bytes().all(|b| b.is_ascii_digit() || matches!(b, b'.' | b',' | b'e' | b'E' | b'+' | b'-')) {
                of_digits(text, want, clock_digits).or_else(|| written::read(text))
            } else {
                written::read(text)
            };
        }
        if text.len() >= 2 && text.bytes().all(|b| b == b'#') {
            return Some(Stamp::new(DatePart::Impossible, ClockPart::Impossible, Form::Hashes));
        }
    }
    None
}

/// Times of day that are nothing of the kind beside a date: `12.06`, `12.06.30`, `1206Z`, `120630 UTC`.
fn short_clock(text: &str) -> Option<Stamp> {
    let digits = text.find(|c: char| !c.is_ascii_digit()).filter(|digits| matches!(digits, 2 | 4 | 6))?;
    let (front, rest) = text.split_at(digits);
    if digits != 2 {
        let zone = zone::read(rest).filter(|&zone| zone == ZoneMark::Utc || matches!(zone, ZoneMark::Offset(_)))?;
        return Some(Stamp { zone, ..Stamp::new(DatePart::None, clock_of_digits(front, 0)?, Form::Clock) });
    }
    let mark = rest.chars().next().filter(|mark| matches!(mark, '.' | ','))?;
    let mut parts = text.split(mark);
    let mut two = || parts.next().map(|part| part.parse::<u32>().ok().filter(|_| part.len() == 2));
    let (hour, minute, second) = (two()??, two()??, two().unwrap_or(Some(0))?);
    let clock = clock_part(hour, minute, second);
    (parts.next().is_none() && clock != ClockPart::Impossible).then(|| Stamp::new(DatePart::None, clock, Form::Clock))
}

/// `2031年4月27日 12時00分30秒` as `2031-4-27 12:00:30`.
fn with_signs(text: &str) -> String {
    let signs: String = text
        .chars()
        .map(|c| match c {
            '\u{5E74}' | '\u{6708}' => '-',
            '\u{6642}' | '\u{65F6}' | '\u{5206}' => ':',
            '\u{65E5}' | '\u{79D2}' => ' ',
            c => c,
        })
        .collect();
    signs.trim_end_matches([':', ' ']).to_owned()
}

/// Cells that are one number.
fn of_digits(text: &str, want: Want, clock_digits: u8) -> Option<Stamp> {
    if text.bytes().all(|b| b.is_ascii_digit()) {
        return of_bare_digits(text, want, clock_digits);
    }
    let (number, rest) = number::read(text.as_bytes(), DecimalMark::Point)?;
    if !rest.is_empty() || number.negative {
        return None;
    }
    if number.scientific {
        // what a spreadsheet shows of 20240403 or 1712145600: the last digits are lost
        let value = number.value();
        return (value >= 1e5).then(|| Stamp::new(DatePart::Impossible, ClockPart::Impossible, Form::Rounded));
    }
    if !matches!(number.marks, Marks::Sure(_)) {
        return None;
    }
    of_decimal(number, want)
}

/// Numbers with decimals: spreadsheet days, fractions of a day, seconds since 1970.
fn of_decimal(number: Decimal, want: Want) -> Option<Stamp> {
    let value = number.value();
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within the ranges just tested")]
    match want {
        Want::Clock if value < 1.0 => {
            Some(Stamp::new(DatePart::None, ClockPart::At((value * 86_400.0).round() as u32), Form::Serial))
        }
        _ if (JULIAN_FROM..JULIAN_TO).contains(&value) => julian_day(value),
        _ if (JULIAN_FROM..JULIAN_TO).contains(&(value - BEFORE_MODIFIED)) => julian_day(value - BEFORE_MODIFIED),
        _ if (20_000.0..JULIAN_FROM).contains(&value) => {
            let seconds = (value * 86_400.0).round() as i64;
            let day = i32::try_from(seconds / 86_400).ok()? - SERIAL_OF_1970;
            Some(Stamp::new(DatePart::Day(day), ClockPart::At((seconds % 86_400) as u32), Form::Serial))
        }
        _ if (EPOCH_FROM as f64..EPOCH_TO as f64).contains(&value) => epoch(value as u64, 1, Form::EpochS),
        _ if (EPOCH_FROM as f64 * 1e3..EPOCH_TO as f64 * 1e3).contains(&value) => {
            epoch(value as u64, 1000, Form::EpochMs)
        }
        _ => None,
    }
}

/// Modified Julian days that are taken for such: from November 2008 on, where days of a spreadsheet would be of 2050.
const JULIAN_FROM: f64 = 54_789.0;
const JULIAN_TO: f64 = 80_000.0;
/// Julian days less modified ones, and the modified one that 1970 began with: IAU Resolution B1 of 1997 and arithmetic.
const BEFORE_MODIFIED: f64 = 2_400_000.5;
const JULIAN_OF_1970: i32 = 40_587;

/// A modified Julian day with its fraction.
fn julian_day(value: f64) -> Option<Stamp> {
    #[expect(clippy::cast_possible_truncation, reason = "a number of seconds within a few centuries")]
    let seconds = (value * 86_400.0).round() as i64;
    let day = i32::try_from(seconds / 86_400).ok()? - JULIAN_OF_1970;
    let clock = ClockPart::At(u32::try_from(seconds % 86_400).ok()?);
    Some(Stamp::new(DatePart::Day(day), clock, Form::JulianDay))
}

/// Seconds since 1970 that are taken for such: 1990 to 2100.
const EPOCH_FROM: u64 = 631_152_000;
const EPOCH_TO: u64 = 4_102_444_800;

fn epoch(count: u64, per_second: u64, form: Form) -> Option<Stamp> {
    let seconds = count / per_second;
    if !(EPOCH_FROM..EPOCH_TO).contains(&seconds) {
        return None;
    }
    let day = i32::try_from(seconds / 86_400).ok()?;
    let mut stamp = Stamp::new(DatePart::Day(day), ClockPart::At(u32::try_from(seconds % 86_400).ok()?), form);
    stamp.zone = ZoneMark::Utc;
    Some(stamp)
}

/// Digits and nothing else.
fn of_bare_digits(text: &str, want: Want, clock_digits: u8) -> Option<Stamp> {
    let value: u64 = text.parse().ok()?;
    let part = |from: usize, to: usize| text.get(from..to)?.parse::<u32>().ok();
    let clock = |from: usize| clock_of_digits(text.get(from..)?, 0);
    let length = text.len();
    match (want, length) {
        (Want::Clock, 1..=6) => {
            let digits = if length > 4 { 6 } else { clock_digits };
            Some(Stamp::new(DatePart::None, clock_of_digits(text, digits)?, Form::CompactClock))
        }
        (_, 5) if (20_000..80_000).contains(&value) => {
            let clock = if want == Want::Whole { ClockPart::At(0) } else { ClockPart::None };
            let (first, form) =
                if value < 54_789 { (SERIAL_OF_1970, Form::Serial) } else { (JULIAN_OF_1970, Form::JulianDay) };
            Some(Stamp::new(DatePart::Day(i32::try_from(value).ok()? - first), clock, form))
        }
        (Want::Date | Want::Whole, 6) => {
            let numbers = [part(0, 2)?, part(2, 4)?, part(4, 6)?];
            let date = triple(Triple { numbers, year_last: false, separator: 0 })?;
            Some(Stamp::new(date, ClockPart::None, Form::Compact))
        }
        (_, 7) => {
            let numbers = [part(0, 1)?, part(1, 3)?, part(3, 7)?];
            let date = triple(Triple { numbers, year_last: true, separator: 0 })?;
            Some(Stamp::new(date, ClockPart::None, Form::Compact))
        }
        (_, 8) => Some(Stamp::new(compact_date(text)?, ClockPart::None, Form::Compact)),
        (_, 10) => {
            // as seconds since 1970 from 2033 on, so rather YYMMDDhhmm where that is a time
            let numbers = [part(0, 2)?, part(2, 4)?, part(4, 6)?];
            let compact = Triple { numbers, year_last: false, separator: 0 };
            match (value >= 2_000_000_000, clock(6)) {
                (true, Some(at @ ClockPart::At(_))) if compact.day(DateOrder::YearFirst).is_some() => {
                    let date = DatePart::Day(compact.day(DateOrder::YearFirst)?);
                    Some(Stamp::new(date, at, Form::Compact))
                }
                // nor is that what YYYYMMDDhh of this century would be
                _ => match (compact_date(text.get(..8)?), part(8, 10)?) {
                    (Some(date @ DatePart::Day(_)), hour @ 0..=23) if value >= 2_000_000_000 => {
                        Some(Stamp::new(date, ClockPart::At(hour * 3600), Form::Compact))
                    }
                    _ => epoch(value, 1, Form::EpochS),
                },
            }
        }
        (_, 12 | 14) => {
            let whole =
                |date: Option<DatePart>, clock: Option<ClockPart>| Some(Stamp::new(date?, clock?, Form::Compact));
            let short = Triple { numbers: [part(0, 2)?, part(2, 4)?, part(4, 6)?], year_last: false, separator: 0 };
            let short = short.day(DateOrder::YearFirst).map(DatePart::Day).filter(|_| length == 12);
            whole(compact_date(text.get(..8)?), clock(8)).or_else(|| whole(short, clock(6)))
        }
        (_, 13) => epoch(value, 1_000, Form::EpochMs),
        (_, 16) => epoch(value, 1_000_000, Form::EpochUs),
        (_, 19) => epoch(value, 1_000_000_000, Form::EpochNs),
        _ => None,
    }
}

/// A triple that makes a day in one order at least.
pub(super) fn triple(triple: Triple) -> Option<DatePart> {
    DateOrder::ALL.iter().any(|&order| triple.day(order).is_some()).then_some(DatePart::Triple(triple))
}

/// `YYYYMMDD`, else `DDMMYYYY` or `MMDDYYYY`.
pub(super) fn compact_date(digits: &str) -> Option<DatePart> {
    let part = |from: usize, to: usize| digits.get(from..to)?.parse::<u32>().ok();
    let year = part(0, 4)?.cast_signed();
    if (1980..=2105).contains(&year) && (1..=12).contains(&part(4, 6)?) && (1..=31).contains(&part(6, 8)?) {
        return Some(day_number(year, part(4, 6)?, part(6, 8)?).map_or(DatePart::Impossible, DatePart::Day));
    }
    let numbers = [part(0, 2)?, part(2, 4)?, part(4, 8)?];
    if !(1980..=2105).contains(&numbers[2]) {
        return None;
    }
    triple(Triple { numbers, year_last: true, separator: 0 })
}

/// `hhmm` or `hhmmss`, where `digits` says how many there were before leading zeros were lost (0: as many as there are).
pub(super) fn clock_of_digits(text: &str, digits: u8) -> Option<ClockPart> {
    let value: u32 = text.parse().ok()?;
    let seconds = if digits == 0 { text.len() == 6 } else { digits == 6 };
    if digits == 0 && !matches!(text.len(), 4 | 6) {
        return None;
    }
    let (hour, minute, second) =
        if seconds { (value / 10_000, value / 100 % 100, value % 100) } else { (value / 100, value % 100, 0) };
    (hour <= 29 && minute < 100).then(|| clock_part(hour, minute, second))
}

/// The time of day, with 24:00 and leap seconds.
pub(super) fn clock_part(hour: u32, minute: u32, second: u32) -> ClockPart {
    match (hour, minute, second) {
        (0..=23, 0..=59, 0..=59) | (24, 0, 0) => ClockPart::At(hour * 3600 + minute * 60 + second),
        (0..=23, 0..=59, 60) => ClockPart::Leap(hour * 3600 + minute * 60 + 59),
        _ => ClockPart::Impossible,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{DateTime, Datelike, Timelike};

    fn read(text: &str, want: Want) -> Option<Stamp> {
        super::read(text.as_bytes(), want, 4, &mut String::new())
    }

    fn whole(text: &str) -> Option<(i32, u32, ZoneMark)> {
        let stamp = read(text, Want::Whole)?;
        let DatePart::Day(day) = stamp.date else { return None };
        let ClockPart::At(second) = stamp.clock else { return None };
        Some((day, second, stamp.zone))
    }

    #[test]
    fn one_instant_in_many_forms() {
        let day = day_number(2024, 4, 3).unwrap();
        for text in [
            "2024-04-03 12:00",
            "2024-04-03T12:00:00Z",
            "2024-04-03 12:00:00.000",
            "2024/04/03 12:00",
            "2024.04.03. 12:00",
            "2024-4-3 12:00",
            "2024 04 03 12:00",
            "2024-04-03 1200",
            "2024-04-03_12:00",
            "2024-04-03-12:00",
            "20240403T120000Z",
            "20240403 1200",
            "202404031200",
            "20240403120000",
            "2404031200",
            "240403120000",
            "2024040312",
            "2024-094T12:00",
            "3 Apr 2024 12:00",
            "03-Apr-2024 12:00:00",
            "3. April 2024, 12:00 Uhr",
            "3rd April 2024 12:00",
            "3 de abril de 2024 12:00",
            "3 avr. 2024 12h00",
            "1712145600",
            "1712145600000",
            "1712145600000000",
            "1712145600.0",
            "Apr 3, 2024 12:00 PM",
            "Wed Apr  3 12:00:00 2024",
            "Wed, 03 Apr 2024 12:00:00 GMT",
            "2024-Apr-03 12:00",
            "03/Apr/2024:12:00:00 +0000",
            "12:00 3 Apr 2024",
            "2024-04-03 12.00",
            "45385.5",
            "45385,5",
            "'2024-04-03 12:00",
            "2024-04-03\u{a0}12:00 UTC",
            "2024-04-03 at 12:00",
        ] {
            let found = whole(text).unwrap_or_else(|| panic!("{text}: {:?}", read(text, Want::Whole)));
            assert_eq!((found.0, found.1), (day, 43_200), "{text}");
            assert!(matches!(found.2, ZoneMark::None | ZoneMark::Utc), "{text}");
        }
    }

    #[test]
    fn what_does_not_exist_and_what_is_lost() {
        for text in ["2016-12-31 24:01", "2017-01-01 25:10:00", "2024-04-03 12:60"] {
            assert_eq!(read(text, Want::Whole).unwrap().clock, ClockPart::Impossible, "{text}");
        }
        assert_eq!(read("2017-02-29 10:00", Want::Whole).unwrap().date, DatePart::Impossible);
        assert_eq!(read("2016-12-31 24:00", Want::Whole).unwrap().clock, ClockPart::At(86_400));
        assert_eq!(read("2016-12-31 23:59:60", Want::Whole).unwrap().clock, ClockPart::Leap(86_399));
        for (text, form) in [("58:00.0", Form::Minutes), ("2.02E+07", Form::Rounded), ("########", Form::Hashes)] {
            assert_eq!(read(text, Want::Whole).unwrap().form, form, "{text}");
        }
        for none in
            ["", "yesterday", "Q1ABC", "JO22ob", "14.0971", "-12", "12-Mar", "37", "14,097,118", "Total: 8", "599"]
        {
            assert_eq!(read(none, Want::Whole), None, "{none}");
        }
    }

    #[test]
    fn orders_stay_open() {
        let stamp = read("03/04/2024 09:30", Want::Whole).unwrap();
        let DatePart::Triple(triple) = stamp.date else { panic!("{stamp:?}") };
        assert_eq!(triple.day(DateOrder::DayFirst), day_number(2024, 4, 3));
        assert_eq!(triple.day(DateOrder::MonthFirst), day_number(2024, 3, 4));
        let stamp = read("4/13/2024 12:05\u{202f}AM", Want::Whole).unwrap();
        assert_eq!(stamp.clock, ClockPart::At(300));
        let stamp = read("24/04/03 1:05 PM", Want::Whole).unwrap();
        assert_eq!(stamp.clock, ClockPart::At(13 * 3600 + 300));
        assert!(matches!(stamp.date, DatePart::Triple(t) if t.day(DateOrder::YearFirst) == day_number(2024, 4, 3)));
    }

    #[test]
    fn times_of_day_that_lost_their_zeros() {
        for (text, digits, right) in [
            ("5", 4, 300),
            ("45", 4, 2700),
            ("930", 4, 34_200),
            ("0", 4, 0),
            ("2358", 4, 86_280),
            ("500", 6, 300),
            ("93000", 4, 34_200),
        ] {
            let stamp = super::read(text.as_bytes(), Want::Clock, digits, &mut String::new()).unwrap();
            assert_eq!(stamp.clock, ClockPart::At(right), "{text}");
        }
        assert_eq!(read("0.5", Want::Clock).unwrap().clock, ClockPart::At(43_200));
        for text in ["12:02", "12.02", "12,02", "12.02.00", "1202Z", "120200 UTC"] {
            assert_eq!(read(text, Want::Clock).unwrap().clock, ClockPart::At(43_320), "{text}");
        }
        assert_eq!(read("00.02", Want::Clock).unwrap().clock, ClockPart::At(120));
        assert_eq!(read("0.02", Want::Clock).unwrap().clock, ClockPart::At(1728));
    }

    /// Instants all over 2000 to 2099 in the forms that chrono writes.
    #[test]
    fn forms_written_by_chrono() {
        let mut seed = 7_u64;
        for _ in 0..4_000 {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let seconds = 946_684_800 + i64::try_from((seed >> 20) % 3_155_760_000).unwrap();
            let time = DateTime::from_timestamp(seconds, 0).unwrap();
            let right = (day_number(time.year(), time.month(), time.day()).unwrap(), time.num_seconds_from_midnight());
            for form in [
                "%Y-%m-%dT%H:%M:%SZ",
                "%Y-%m-%d %H:%M:%S",
                "%d %b %Y %H:%M:%S",
                "%b %e, %Y %I:%M:%S %p",
                "%Y%m%d%H%M%S",
                "%Y%m%dT%H%M%S",
                "%a %b %e %H:%M:%S %Y",
                "%a, %d %b %Y %H:%M:%S +0000",
                "%Y-%jT%H:%M:%S",
                "%-d. %B %Y %H:%M:%S",
            ] {
                let text = time.format(form).to_string();
                assert_eq!(whole(&text).map(|(day, second, _)| (day, second)), Some(right), "{text}");
            }
        }
    }
}
