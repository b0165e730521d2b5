//! The clock that times are shown in: UTC, or the local zone as the page describes it.

use crate::order::LightSort;
use crate::time::UtcTime;

/// From an instant on, the local clock is so far ahead of UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct ZoneChange {
    /// Seconds since 1970.
    pub from_unix_s: i64,
    /// Minutes ahead of UTC, negative west of Greenwich.
    pub ahead_min: i32,
}

/// A clock for people. Results are always reckoned in UTC; this only shows and reads times.
#[derive(Clone, Debug, Default)]
pub(super) struct Clock {
    changes: Vec<ZoneChange>,
    local: bool,
}

impl Clock {
    /// The local zone by its changes, in order; shown only once [`Clock::show_local`] says so.
    pub(super) fn new(mut changes: Vec<ZoneChange>) -> Self {
        changes.order_by_key(|change| change.from_unix_s);
        Self { changes, local: false }
    }

    /// Shows local time.
    pub(super) fn show_local(&mut self) {
        self.local = true;
    }

    /// Shows UTC.
    pub(super) fn show_utc(&mut self) {
        self.local = false;
    }

    /// Is local time shown?
    pub(super) fn is_local(&self) -> bool {
        self.local
    }

    fn ahead_min(&self, unix_s: i64) -> i32 {
        if !self.local {
            return 0;
        }
        let known = self.changes.iter().take_while(|change| change.from_unix_s <= unix_s).last();
        known.or(self.changes.first()).map_or(0, |change| change.ahead_min)
    }

    /// The instant whose UTC face shows what this clock shows.
    fn face(&self, time: UtcTime) -> UtcTime {
        time.plus_s(i64::from(self.ahead_min(time.unix_s())) * 60).unwrap_or(time)
    }

    /// `06:30`.
    pub(super) fn clock(&self, time: UtcTime) -> String {
        self.face(time).clock()
    }

    /// `2031-04-27 06:30`.
    pub(super) fn date_and_minute(&self, time: UtcTime) -> String {
        self.face(time).date_and_minute()
    }

    /// The instant as this clock names its day, for words about dates.
    pub(super) fn day_of(&self, time: UtcTime) -> UtcTime {
        self.face(time)
    }

    /// Reads `2031-04-27 06:30` as this clock means it. A `Z` at the end always means UTC.
    /// Of an hour that the clock shows twice the earlier one is taken.
    pub(super) fn parse(&self, text: &str) -> Option<UtcTime> {
        let face = UtcTime::parse_iso(text)?;
        if !self.local || text.trim_end().ends_with(['Z', 'z']) {
            return Some(face);
        }
        let mut offsets: Vec<i32> = self.changes.iter().map(|change| change.ahead_min).collect();
        offsets.order_by(|a, b| b.cmp(a));
        offsets.dedup();
        let instants = offsets.iter().filter_map(|&ahead| face.plus_s(-i64::from(ahead) * 60));
        let mut fallback = None;
        for instant in instants {
            if self.face(instant) == face {
                return Some(instant);
            }
            fallback = Some(instant);
        }
        fallback.or(Some(face))
    }

    /// `UTC`, or `UTC+02:00` for the local clock at an instant.
    pub(super) fn label(&self, at: UtcTime) -> String {
        if !self.local {
            return "UTC".to_owned();
        }
        let ahead = self.ahead_min(at.unix_s());
        let sign = if ahead < 0 { '\u{2212}' } else { '+' };
        format!("UTC{sign}{:02}:{:02}", ahead.abs() / 60, ahead.abs() % 60)
    }

    /// The label of a span: one offset, or both where the clock changes within it.
    pub(super) fn label_of_span(&self, first: UtcTime, last: UtcTime) -> String {
        let (begin, end) = (self.label(first), self.label(last));
        if begin == end { begin } else { format!("{begin}, later {end}") }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// An hour ahead, two from 2031-03-30 01:00 UTC, one again from 2031-10-26 01:00 UTC.
    fn with_summer() -> Clock {
        let at = |text: &str| UtcTime::parse_iso(text).unwrap().unix_s();
        let mut clock = Clock::new(vec![
            ZoneChange { from_unix_s: 0, ahead_min: 60 },
            ZoneChange { from_unix_s: at("2031-03-30T01:00"), ahead_min: 120 },
            ZoneChange { from_unix_s: at("2031-10-26T01:00"), ahead_min: 60 },
        ]);
        clock.show_local();
        clock
    }

    #[test]
    fn local_times_show_and_read_back() {
        let clock = with_summer();
        for text in ["2031-01-16T23:30", "2031-03-30T00:59", "2031-03-30T01:00", "2031-07-01T12:00"] {
            let time = UtcTime::parse_iso(text).unwrap();
            assert_eq!(clock.parse(&clock.date_and_minute(time)), Some(time), "{text}");
        }
        assert_eq!(clock.date_and_minute(UtcTime::parse_iso("2031-01-16T23:30").unwrap()), "2031-01-17 00:30");
        assert_eq!(clock.label(UtcTime::parse_iso("2031-07-01").unwrap()), "UTC+02:00");
    }

    #[test]
    fn of_an_hour_shown_twice_the_earlier_is_read_and_z_means_utc() {
        let clock = with_summer();
        let earlier = UtcTime::parse_iso("2031-10-26T00:30").unwrap();
        assert_eq!(clock.parse("2031-10-26 02:30"), Some(earlier));
        assert_eq!(clock.parse("2031-10-26 02:30Z"), UtcTime::parse_iso("2031-10-26T02:30"));
    }

    #[test]
    fn without_a_zone_local_is_utc() {
        let mut clock = Clock::new(Vec::new());
        clock.show_local();
        let time = UtcTime::parse_iso("2031-10-26T00:30").unwrap();
        assert_eq!(clock.parse(&clock.date_and_minute(time)), Some(time));
        assert_eq!(clock.label(time), "UTC+00:00");
    }
}
