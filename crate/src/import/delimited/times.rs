//! The time of a row from its cells, after the plan's rules.

use farheard_scan::cell::words;

use super::rules::Rules;
use crate::import::columns::decide::Basis;
use crate::import::columns::evidence::OrderTally;
use crate::import::fields::calendar::{day_number, ends_with_leap_second};
use crate::import::fields::cell;
use crate::import::fields::stamp::{self, ClockPart, DatePart, Form, Stamp, Want};
use crate::import::fields::zone::ZoneMark;
use crate::import::words::{DateOrder, Reason, Zone};
use crate::time::UtcTime;

/// A time, or why there is none; and whether the cell's own zone was turned into UTC.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Timed {
    pub(crate) time: Result<UtcTime, Reason>,
    pub(crate) offset: bool,
}

/// Reads times of rows; the same cell again costs nothing.
#[derive(Debug)]
pub(crate) struct TimeReader {
    order: DateOrder,
    mixed: bool,
    offset_s: i64,
    chosen: bool,
    clock_digits: u8,
    twelve_hours: bool,
    plain: String,
    last: [u64; 4],
    last_timed: Timed,
    /// Triples seen, to judge the order over the whole file.
    pub(crate) tally: OrderTally,
    /// Bare times of day with five or six digits, where four were expected.
    pub(crate) long_clocks: u64,
    /// For files without dates: the day of the row before and its time of day; before the first row only its day.
    running: Option<(i32, Option<u32>)>,
    flow: Flow,
}

/// How times of day without dates follow each other.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(crate) enum Flow {
    /// The oldest row comes first.
    #[default]
    Rising,
    /// The newest row comes first.
    Falling,
    /// The rows are in no order of time.
    Mixed,
}

const DAY_S: i32 = 86_400;
/// A step over more than half a day passes midnight.
const PAST_MIDNIGHT_S: i32 = DAY_S / 2;
/// Rows out of order are out by less.
const OUT_OF_ORDER_S: i32 = 3600;

impl Flow {
    /// Of times of day, in seconds, in the order of their rows. A few rows may be out of order by minutes.
    pub(crate) fn of(clocks: impl Iterator<Item = u32>) -> Self {
        // steps up and down, and those of more than an hour
        let (mut up, mut down, mut far_up, mut far_down) = (0, 0, 0, 0);
        let mut before = None;
        for clock in clocks {
            let clock = clock.cast_signed();
            let step = before.map_or(0, |before| (clock - before + 3 * PAST_MIDNIGHT_S) % DAY_S - PAST_MIDNIGHT_S);
            before = Some(clock);
            up += i32::from(step > 0);
            down += i32::from(step < 0);
            far_up += i32::from(step > OUT_OF_ORDER_S);
            far_down += i32::from(step < -OUT_OF_ORDER_S);
        }
        if up >= 3 * down && up >= 20 * (far_down - 1) {
            Self::Rising
        } else if down >= 3 * up && down >= 20 * (far_up - 1) {
            Self::Falling
        } else {
            Self::Mixed
        }
    }

    /// Days from one row to the next by their times of day.
    fn days(self, before: u32, clock: u32) -> i32 {
        let step = clock.cast_signed() - before.cast_signed();
        // what goes nearly a whole day the wrong way is a row out of order at midnight
        match self {
            Self::Rising if step < -PAST_MIDNIGHT_S => 1,
            Self::Rising if step > DAY_S - OUT_OF_ORDER_S => -1,
            Self::Falling if step > PAST_MIDNIGHT_S => -1,
            Self::Falling if step < OUT_OF_ORDER_S - DAY_S => 1,
            _ => 0,
        }
    }
}

const BAD: Timed = Timed { time: Err(Reason::BadTime), offset: false };

impl TimeReader {
    pub(crate) fn new(rules: &Rules, first_date: Option<(i32, u32, u32)>) -> Self {
        Self {
            order: rules.order.order,
            mixed: rules.order.basis == Basis::Mixed,
            offset_s: i64::from(rules.zone.offset_s),
            chosen: rules.zone.zone == Zone::Chosen,
            clock_digits: rules.clock_digits,
            twelve_hours: rules.twelve_hours,
            plain: String::new(),
            last: [u64::MAX; 4],
            last_timed: BAD,
            tally: OrderTally::default(),
            long_clocks: 0,
            running: first_date.and_then(|(y, m, d)| day_number(y, m, d)).map(|day| (day, None)),
            flow: rules.flow.unwrap_or_default(),
        }
    }

    /// Forgets the last cell: rows that were read elsewhere came in between.
    pub(crate) fn forget(&mut self) {
        self.last = [u64::MAX; 4];
    }

    /// What was counted of cells that tell an order of dates or the length of a clock.
    pub(crate) fn counted(&self) -> (u32, u64) {
        (self.tally.total(), self.long_clocks)
    }

    /// Is a time that names no zone in UTC?
    pub(crate) fn is_utc(&self) -> bool {
        self.offset_s == 0
    }

    /// The time of a row whose date and time of day stand in one cell.
    #[inline]
    pub(crate) fn whole(&mut self, cell: &[u8]) -> Timed {
        if cell.len() > 24 {
            return self.whole_slowly(cell);
        }
        // a cell of at most 24 bytes is its first sixteen, its last eight and its length
        let (first, second) = words(&cell[..cell.len().min(16)]);
        let third =
            if cell.len() > 16 { cell.last_chunk::<8>().map_or(0, |last| u64::from_le_bytes(*last)) } else { 0 };
        let key = [first, second, third, cell.len() as u64];
        let differ = key.iter().zip(&self.last).fold(0, |differ, (a, b)| differ | (a ^ b));
        if differ == 0 {
            return self.last_timed;
        }
        let timed = match farheard_scan::cell::stamp(cell) {
            Some(stamp) if !self.twelve_hours => self.timed(stamp.day, stamp.second, stamp.utc),
            _ => self.whole_slowly(cell),
        };
        self.last = key;
        self.last_timed = timed;
        timed
    }

    /// From a day and a second that exist, without or with UTC.
    #[inline]
    fn timed(&self, day: i32, second: u32, utc: bool) -> Timed {
        let offset_s = if utc { 0 } else { self.offset_s };
        let seconds = i64::from(day) * 86_400 + i64::from(second) - offset_s;
        Timed { time: UtcTime::from_unix_s(seconds).ok_or(Reason::BadTime), offset: offset_s != 0 }
    }

    fn whole_slowly(&mut self, cell: &[u8]) -> Timed {
        match stamp::read(cell, Want::Whole, self.clock_digits, &mut self.plain) {
            Some(stamp) if stamp.is_whole() => self.resolve(&stamp, stamp.date),
            _ => BAD,
        }
    }

    /// The time of a row whose date and time of day stand apart.
    pub(crate) fn apart(&mut self, date: &[u8], clock: &[u8]) -> Timed {
        let Some(dated) = stamp::read(date, Want::Date, self.clock_digits, &mut self.plain) else { return BAD };
        let Some(clocked) = self.clock(clock) else { return BAD };
        if dated.date == DatePart::None || clocked.clock == ClockPart::None || dated.form.is_damage() {
            return BAD;
        }
        let zone = if clocked.zone == ZoneMark::None { dated.zone } else { clocked.zone };
        // a database's date cell may carry a midnight of its own, and an epoch is no date to add a clock to
        let zone = if matches!(dated.form, Form::EpochS | Form::EpochMs | Form::EpochUs | Form::EpochNs) {
            clocked.zone
        } else {
            zone
        };
        self.resolve(&Stamp { zone, ..clocked }, dated.date)
    }

    fn clock(&mut self, cell: &[u8]) -> Option<Stamp> {
        let clocked = stamp::read(cell, Want::Clock, self.clock_digits, &mut self.plain)?;
        if clocked.form == Form::CompactClock && self.clock_digits == 4 && cell::trim(cell).len() > 4 {
            self.long_clocks += 1;
        }
        Some(clocked)
    }

    /// The time of a row without date, in a file whose first date the person gave: days are counted on from that.
    pub(crate) fn running(&mut self, clock: &[u8]) -> Timed {
        let (Some((day, before)), Some(clocked)) = (self.running, self.clock(clock)) else { return BAD };
        let ClockPart::At(second) = clocked.clock else { return BAD };
        let day = day + before.map_or(0, |before| self.flow.days(before, second));
        self.running = Some((day, Some(second)));
        self.resolve(&clocked, DatePart::Day(day))
    }

    fn resolve(&mut self, stamp: &Stamp, date: DatePart) -> Timed {
        let day = match date {
            DatePart::None | DatePart::Impossible => return BAD,
            DatePart::Day(day) => day,
            DatePart::Triple(triple) => {
                self.tally.add(triple, 1);
                let mut days = DateOrder::ALL.iter().filter_map(|&order| triple.day(order));
                let (first, second) = (days.next(), days.next());
                let ordered = triple.day(self.order);
                // in a mixed column only what can be read one way is sure
                let sure = if self.mixed { first.filter(|_| second.is_none() || first == second) } else { ordered };
                match (sure, first) {
                    (Some(day), _) => day,
                    (None, Some(_)) => return Timed { time: Err(Reason::DateAmbiguous), offset: false },
                    (None, None) => return BAD,
                }
            }
        };
        let offset_s = match stamp.zone {
            ZoneMark::None => self.offset_s,
            ZoneMark::Utc => 0,
            ZoneMark::Offset(seconds) => i64::from(seconds),
            ZoneMark::Ambiguous if self.chosen => self.offset_s,
            ZoneMark::Ambiguous => return Timed { time: Err(Reason::ZoneAmbiguous), offset: false },
        };
        let (second, leap) = match stamp.clock {
            // one to twelve without AM or PM, among those with it
            ClockPart::At(3_600..46_800) if self.twelve_hours && !stamp.twelve_hours => return BAD,
            ClockPart::At(second) => (second, false),
            ClockPart::Leap(second) => (second, true),
            ClockPart::None | ClockPart::Impossible => return BAD,
        };
        let seconds = i64::from(day) * 86_400 + i64::from(second) - offset_s;
        // the leap second is the last of a UTC day, and only of some; it is kept as the second before
        if leap {
            let next = seconds + 1;
            let ended = i32::try_from(next.div_euclid(86_400) - 1).ok().filter(|_| next % 86_400 == 0);
            if !ended.is_some_and(ends_with_leap_second) {
                return BAD;
            }
        }
        Timed { time: UtcTime::from_unix_s(seconds).ok_or(Reason::BadTime), offset: offset_s != 0 }
    }
}
