//! Instants in UTC to the second, without a clock: time always comes from data or from the caller.

use chrono::{DateTime, Datelike, NaiveDate, TimeDelta};
use serde::{Serialize, Serializer};

/// Seconds since 1970-01-01T00:00:00Z, leap seconds not counted (POSIX time), from 1970 to 2105.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct UtcTime(u32);

/// Seconds in a UTC day; leap seconds are not counted.
pub const DAY_S: i64 = 86_400;

/// Seconds in a slot of the WSPR mode; slots begin with the even UTC minutes (common practice, no source).
pub const WSPR_SLOT_S: i64 = 120;

/// Whole sends each band gets in `duration_s` when a beacon sends in every slot, one band after the other;
/// 0 without bands or without time.
pub fn sends_per_band(duration_s: i64, bands: usize) -> i64 {
    let bands = i64::try_from(bands).unwrap_or(i64::MAX);
    if bands == 0 { 0 } else { duration_s.max(0) / WSPR_SLOT_S / bands }
}

impl UtcTime {
    /// The instant so many seconds after 1970 began, or `None` outside 1970 to early 2106.
    pub fn from_unix_s(seconds: i64) -> Option<Self> {
        u32::try_from(seconds).ok().map(Self)
    }

    /// The instant of a calendar date and time of day, or `None` where that does not exist.
    pub fn from_calendar(year: i32, month: u32, day: u32, hour: u32, minute: u32, second: u32) -> Option<Self> {
        let instant = NaiveDate::from_ymd_opt(year, month, day)?.and_hms_opt(hour, minute, second)?;
        Self::from_unix_s(instant.and_utc().timestamp())
    }

    /// Reads `2031-04-27T06:30:00Z` and its shorter forms (`2031-04-27`, `2031-04-27T06:30`, a blank for the `T`, the `Z`
    /// left out), with parts of a second, which do not count, with 24:00, or with an offset instead of the `Z`: as options
    /// and fields of the page take them. Without an offset always UTC.
    pub fn parse_iso(text: &str) -> Option<Self> {
        let text = text.trim();
        let (date, clock) =
            text.split_once(['T', 't', ' ']).unwrap_or((text.strip_suffix(['Z', 'z']).unwrap_or(text), "00:00"));
        let [year, month, day] = numbers(date, '-', [4, 2, 2])?;
        let (clock, ahead_s) = match (clock.strip_suffix(['Z', 'z']), clock.find(['+', '-'])) {
            (Some(clock), _) => (clock, 0),
            (None, Some(at)) => {
                let [hours, minutes, _] = numbers(&format!("{}:00", clock.get(at + 1..)?), ':', [2, 2, 2])?;
                let ahead = i64::from(hours) * 3600 + i64::from(minutes) * 60;
                (clock.get(..at)?, if clock.get(at..)?.starts_with('-') { -ahead } else { ahead })
            }
            (None, None) => (clock, 0),
        };
        let clock = match clock.split_once('.') {
            Some((whole, parts)) if whole.len() == 8 && parts.bytes().all(|byte| byte.is_ascii_digit()) => whole,
            Some(_) => return None,
            None => clock,
        };
        let clock = if clock.len() == 5 { format!("{clock}:00") } else { clock.to_owned() };
        let [hour, minute, second] = numbers(&clock, ':', [2, 2, 2])?;
        let (hour, late_s) = if (hour, minute, second) == (24, 0, 0) { (0, DAY_S) } else { (hour, 0) };
        Self::from_calendar(i32::try_from(year).ok()?, month, day, hour, minute, second)?.plus_s(late_s - ahead_s)
    }

    /// The instant so many seconds after 1970 began, all of which there are.
    pub const fn from_second(second: u32) -> Self {
        Self(second)
    }

    /// Seconds since 1970, as they fit.
    pub const fn second(self) -> u32 {
        self.0
    }

    /// Seconds since 1970.
    pub fn unix_s(self) -> i64 {
        i64::from(self.0)
    }

    /// The instant `seconds` later (earlier if negative), or `None` beyond the range.
    pub fn plus_s(self, seconds: i64) -> Option<Self> {
        Self::from_unix_s(self.unix_s().checked_add(seconds)?)
    }

    /// UTC hour, 0 to 23.
    pub fn hour(self) -> u8 {
        (self.0 % 86_400 / 3_600) as u8
    }

    /// UTC minute of the hour, 0 to 59.
    pub fn minute(self) -> u8 {
        (self.0 % 3_600 / 60) as u8
    }

    /// Seconds since the last UTC midnight.
    pub fn second_of_day(self) -> u32 {
        self.0 % 86_400
    }

    /// Days since 1970-01-01, the UTC date as a number.
    pub fn day_number(self) -> u32 {
        self.0 / 86_400
    }

    /// Year, month 1 to 12 and day 1 to 31 of the UTC date.
    pub fn date(self) -> (i32, u32, u32) {
        let date = self.calendar();
        (date.year(), date.month(), date.day())
    }

    /// `2031-04-27T06:30:00Z`, the form of every file and of the JSON.
    pub fn iso(self) -> String {
        let (year, month, day) = self.date();
        format!("{year:04}-{month:02}-{day:02}T{}:{:02}Z", self.clock(), self.0 % 60)
    }

    /// `2031-04-27 06:30`, for tables and fields that say UTC beside it.
    pub fn date_and_minute(self) -> String {
        let (year, month, day) = self.date();
        format!("{year:04}-{month:02}-{day:02} {}", self.clock())
    }

    /// `06:30`, for tables that name date and zone elsewhere.
    pub fn clock(self) -> String {
        format!("{:02}:{:02}", self.hour(), self.minute())
    }

    fn calendar(self) -> NaiveDate {
        DateTime::UNIX_EPOCH.date_naive() + TimeDelta::days(i64::from(self.day_number()))
    }
}

/// Three numbers between marks, each of so many digits.
fn numbers(text: &str, mark: char, digits: [usize; 3]) -> Option<[u32; 3]> {
    let mut found = [0; 3];
    let mut parts = text.split(mark);
    for (number, digits) in found.iter_mut().zip(digits) {
        let part =
            parts.next().filter(|part| part.len() == digits && part.bytes().all(|byte| byte.is_ascii_digit()))?;
        *number = part.parse().ok()?;
    }
    parts.next().is_none().then_some(found)
}

impl Serialize for UtcTime {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.serialize_str(&self.iso())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn iso_forms_read_alike_and_write_back() {
        let whole = UtcTime::parse_iso("2031-04-27T06:30:00Z").unwrap();
        for form in [
            "2031-04-27T06:30",
            "2031-04-27 06:30",
            "2031-04-27 06:30:00",
            "2031-04-27T06:30Z",
            "2031-04-27T06:30:00.000Z",
            "2031-04-27T08:30+02:00",
            "2031-04-27T01:00:00-05:30",
        ] {
            assert_eq!(UtcTime::parse_iso(form), Some(whole), "{form}");
        }
        assert_eq!(whole.iso(), "2031-04-27T06:30:00Z");
        assert_eq!(UtcTime::parse_iso("2031-04-27").unwrap().iso(), "2031-04-27T00:00:00Z");
        assert_eq!(UtcTime::parse_iso("2031-04-26T24:00"), UtcTime::parse_iso("2031-04-27"));
        assert_eq!((whole.hour(), whole.minute(), whole.date()), (6, 30, (2031, 4, 27)));
    }

    #[test]
    fn what_does_not_exist_is_refused() {
        assert_eq!(UtcTime::parse_iso("2017-02-29"), None);
        for wrong in [
            "soon",
            "",
            "2031-4-27",
            "2031-04-27T6:30",
            "2031-04-27-01",
            "2031-04-27T24:01",
            "+031-04-27",
            "2031-04-27ZZ",
            "2031-04-27T06:30:00.5.5Z",
        ] {
            assert_eq!(UtcTime::parse_iso(wrong), None, "{wrong}");
        }
        assert_eq!(UtcTime::from_unix_s(-1), None);
        assert_eq!(UtcTime::from_calendar(2024, 4, 3, 24, 0, 0), None);
    }
}
