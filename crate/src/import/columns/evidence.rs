//! What the cells of one column could be: counted, never stored.

use super::vocabulary::LengthUnit;
use crate::import::fields::call::{self, CallCell};
use crate::import::fields::cell;
use crate::import::fields::level::{self, BandCell};
use crate::import::fields::number::{self, Decimal, Marks};
use crate::import::fields::place::{self, PlaceCell};
use crate::import::fields::stamp::{self, ClockPart, DatePart, Form, NAMED, Stamp, Triple, Want};
use crate::import::fields::zone::ZoneMark;
use crate::import::words::{DateOrder, DecimalMark, FreqUnit};

/// Counts over the cells of one column.
#[derive(Clone, Debug, Default)]
pub(crate) struct Evidence {
    /// Cells that are not blank.
    pub(crate) filled: u32,
    /// Of these, words and signs for 'nothing'.
    pub(crate) missing: u32,
    pub(crate) calls: u32,
    /// Calls in brackets, unresolved or damaged ones: nothing else looks like them.
    pub(crate) call_traces: u32,
    pub(crate) locators: u32,
    /// Locators of 6, 8 or 10 characters whose shape is that of a call, too, are counted as both.
    pub(crate) times: TimeEvidence,
    pub(crate) numbers: NumberEvidence,
    /// Bands with their unit.
    pub(crate) bands: u32,
    /// Bare numbers that name a band in metres, and in megahertz.
    pub(crate) band_metres: u32,
    pub(crate) band_mhz: u32,
    /// First cells that differ, as hashes; more than a few are not kept.
    distinct: Vec<u64>,
}

/// Counts over cells that are dates or times of day.
#[derive(Clone, Debug, Default)]
pub(crate) struct TimeEvidence {
    /// Date and time of day.
    pub(crate) whole: u32,
    /// Dates alone (bare digits that are a date included).
    pub(crate) dates: u32,
    /// Times of day alone, written with separators.
    pub(crate) clocks: u32,
    /// Bare digits that can be a time of day.
    pub(crate) bare_clocks: u32,
    /// Of these, written with four or six digits.
    pub(crate) padded_clocks: u32,
    /// Longest run of bare digits among them.
    pub(crate) clock_digits: usize,
    /// Largest of them.
    pub(crate) largest_clock: u32,
    /// Fractions of a day.
    pub(crate) fractions: u32,
    /// Damage by form: minutes and tenths, small and large rounded numbers, hashes.
    pub(crate) minutes: u32,
    pub(crate) rounded_dates: u32,
    pub(crate) rounded_times: u32,
    pub(crate) hashes: u32,
    /// By zone: none, UTC, offset, ambiguous word.
    pub(crate) no_zone: u32,
    pub(crate) utc: u32,
    pub(crate) offset: u32,
    pub(crate) twelve_hours: u32,
    pub(crate) forms: [u32; Form::COUNT],
    pub(crate) order: OrderTally,
}

/// Which orders the dates of a column allow.
#[derive(Clone, Debug, Default, PartialEq)]
pub(crate) struct OrderTally {
    /// Count of triples by the set of orders that make a day of them: bit 0 day first, 1 month first, 2 year first.
    pub(crate) by_set: [u32; 8],
    /// First and last day in each order, over the triples that it makes days of.
    pub(crate) span: [Option<(i32, i32)>; 3],
    /// Written with points, as is customary where the day comes first.
    pub(crate) points: u32,
    /// Written with dashes or nothing between, as is customary where a year of two digits comes first.
    pub(crate) dashes: u32,
    /// With a year of four digits at the end.
    pub(crate) year_last: u32,
    /// With the name of the month.
    pub(crate) named: u32,
}

/// Counts over cells that are numbers.
#[derive(Clone, Debug, Default)]
pub(crate) struct NumberEvidence {
    /// Numbers, with or without a unit behind.
    pub(crate) count: u32,
    /// Without unit.
    pub(crate) bare: u32,
    pub(crate) whole: u32,
    pub(crate) negative: u32,
    pub(crate) smallest: f64,
    pub(crate) largest: f64,
    pub(crate) sum: f64,
    pub(crate) sure_point: u32,
    pub(crate) sure_comma: u32,
    pub(crate) open_point: u32,
    pub(crate) open_comma: u32,
    /// With a unit of frequency, power, level.
    pub(crate) with_freq_unit: u32,
    pub(crate) with_power_unit: u32,
    pub(crate) with_db: u32,
    /// With kilometres, miles, nautical miles.
    pub(crate) with_length: [u32; 3],
    /// In an amateur band, by decimal mark (point, comma) and unit (Hz, kHz, MHz, GHz), of the numbers without unit.
    pub(crate) in_band: [[u32; 4]; 2],
    /// In a band in one unit at least, with the point.
    pub(crate) in_any_band: u32,
    /// Whole, 0 to 60, ending in 0, 3 or 7: the levels that the mode can send.
    pub(crate) mode_levels: u32,
}

/// Above this, 'in an amateur band' says nothing: ADIF's last band begins here and has no real upper edge.
const HIGHEST_USUAL_HZ: f64 = 3e11;

/// Distinct cells that are remembered.
const MOST_DISTINCT: usize = 32;

/// A hash of a cell, the same in every run (FNV-1a, 64 bits).
pub(crate) fn hash(cell: &[u8]) -> u64 {
    cell.iter().fold(0xCBF2_9CE4_8422_2325, |hash, &byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01B3))
}

/// Room for spelling, kept between cells.
#[derive(Debug, Default)]
pub(crate) struct Scratch {
    plain: String,
    upper: String,
}

impl OrderTally {
    /// Counts a triple that stands there `n` times.
    pub(crate) fn add(&mut self, triple: Triple, n: u32) {
        let mut set = 0;
        for (at, &order) in DateOrder::ALL.iter().enumerate() {
            if let Some(day) = triple.day(order) {
                set |= 1 << at;
                let span = self.span[at].get_or_insert((day, day));
                *span = (span.0.min(day), span.1.max(day));
            }
        }
        self.by_set[set] += n;
        self.points += n * u32::from(triple.separator == b'.');
        self.dashes += n * u32::from(matches!(triple.separator, b'-' | 0));
        self.year_last += n * u32::from(triple.year_last);
        self.named += n * u32::from(triple.separator == NAMED);
    }

    /// How many triples there are that make a day in some order.
    pub(crate) fn total(&self) -> u32 {
        self.by_set[1..].iter().sum()
    }

    /// How many of them make no day in the given order, though in another.
    pub(crate) fn against(&self, order: DateOrder) -> u32 {
        let bit = 1 << (order as usize);
        (1..8).filter(|set| set & bit == 0).map(|set| self.by_set[set]).sum()
    }
}

impl TimeEvidence {
    fn add(&mut self, stamp: &Stamp, n: u32) {
        self.forms[stamp.form as usize] += n;
        match stamp.form {
            Form::Minutes => self.minutes += n,
            Form::Hashes => self.hashes += n,
            _ => {}
        }
        if stamp.form.is_damage() {
            return;
        }
        match (stamp.date, stamp.clock) {
            (DatePart::None, ClockPart::None) => {}
            (_, ClockPart::None) => self.dates += n,
            (DatePart::None, _) => self.clocks += n,
            _ => self.whole += n,
        }
        if let DatePart::Triple(triple) = stamp.date {
            self.order.add(triple, n);
        }
        if stamp.clock != ClockPart::None {
            match stamp.zone {
                ZoneMark::None => self.no_zone += n,
                ZoneMark::Utc => self.utc += n,
                ZoneMark::Offset(_) => self.offset += n,
                ZoneMark::Ambiguous => {}
            }
        }
        self.twelve_hours += n * u32::from(stamp.twelve_hours);
    }
}

impl NumberEvidence {
    fn add(&mut self, number: Decimal, unit: &str, other_mark: Option<Decimal>, n: u32) {
        let value = number.value();
        if self.count == 0 {
            (self.smallest, self.largest) = (value, value);
        }
        self.count += n;
        self.whole += n * u32::from(number.is_whole());
        self.negative += n * u32::from(value < 0.0);
        self.smallest = self.smallest.min(value);
        self.largest = self.largest.max(value);
        self.sum += value * f64::from(n);
        match number.marks {
            Marks::Sure(DecimalMark::Point) => self.sure_point += n,
            Marks::Sure(DecimalMark::Comma) => self.sure_comma += n,
            Marks::OpenPoint => self.open_point += n,
            Marks::OpenComma => self.open_comma += n,
            Marks::None | Marks::Grouped => {}
        }
        if !unit.is_empty() {
            self.with_freq_unit += n * u32::from(level::frequency_unit(unit).is_ok());
            self.with_power_unit += n * u32::from(level::power_unit(unit).is_ok());
            self.with_db += n * u32::from(unit.eq_ignore_ascii_case("db"));
            if let Some(length) = LengthUnit::of(unit) {
                self.with_length[length as usize] += n;
            }
            return;
        }
        self.bare += n;
        let mut any = false;
        for (mark, number) in [Some(number), other_mark.or(Some(number))].into_iter().enumerate() {
            for (at, &unit) in FreqUnit::ALL.iter().enumerate() {
                let in_band = number
                    .and_then(|number| level::frequency_hz(number, unit))
                    .is_some_and(|hz| hz < HIGHEST_USUAL_HZ && level::band_of(hz).edges_hz().is_some());
                self.in_band[mark][at] += n * u32::from(in_band);
                any |= in_band && mark == 0;
            }
        }
        self.in_any_band += n * u32::from(any);
        if number.is_whole() && (0.0..=60.0).contains(&value) && matches!(value % 10.0, 0.0 | 3.0 | 7.0) {
            self.mode_levels += n;
        }
    }

    /// Share of all numbers that lie in an amateur band in the unit that suits them best.
    pub(crate) fn best_band_share(&self) -> f64 {
        let best = self.in_band.iter().flatten().copied().max().unwrap_or(0).max(self.in_any_band);
        share(best + self.with_freq_unit, self.count)
    }
}

/// A share of a count, 0 where there is nothing.
pub(crate) fn share(part: u32, whole: u32) -> f64 {
    if whole == 0 { 0.0 } else { (f64::from(part) / f64::from(whole)).min(1.0) }
}

impl Evidence {
    /// Counts a cell that stands there `n` times.
    pub(crate) fn add(&mut self, cell: &[u8], n: u32, scratch: &mut Scratch) {
        let cell = cell::trim(cell);
        let Some(&first) = cell.first() else { return };
        self.filled += n;
        if self.distinct.len() < MOST_DISTINCT {
            let hash = hash(cell);
            if !self.distinct.contains(&hash) {
                self.distinct.push(hash);
            }
        }
        // nothing that a spot is made of is as long
        if cell.len() > 80 {
            return;
        }
        // what cannot be is not tried: most cells are settled by what characters they are made of
        let plain_text = cell.is_ascii();
        let digits = !plain_text || cell.iter().any(u8::is_ascii_digit);
        let letters = !plain_text || cell.iter().any(u8::is_ascii_alphabetic);
        if !digits && cell::is_missing_word(cell) {
            self.missing += n;
            return;
        }
        if letters && digits || matches!(first, b'<' | b'(' | b'[' | b'#' | b'.') {
            self.add_call(cell, n, scratch);
        }
        if letters && digits && matches!(place::read(cell), PlaceCell::Whole(_)) {
            self.locators += n;
        }
        if digits || first == b'#' {
            self.add_time(cell, n, scratch);
        }
        if digits {
            self.add_number(cell, n, scratch);
        }
    }

    fn add_call(&mut self, cell: &[u8], n: u32, scratch: &mut Scratch) {
        match call::read(cell, &mut scratch.upper, &mut scratch.plain) {
            CallCell::Call | CallCell::Changed => self.calls += n * u32::from(call::is_call(scratch.upper.as_bytes())),
            CallCell::Bracketed | CallCell::Unresolved => self.call_traces += n,
            // a whole date is no sign of a call, `12-Mar` is
            CallCell::Damaged
                if stamp::read(cell, Want::Whole, 4, &mut scratch.plain).is_none_or(|s| s.form.is_damage()) =>
            {
                self.call_traces += n;
            }
            _ => {}
        }
    }

    fn add_number(&mut self, cell: &[u8], n: u32, scratch: &mut Scratch) {
        if let Some((number, unit)) = number::read_any(cell, DecimalMark::Point, &mut scratch.plain) {
            let unit = unit.to_owned();
            let other = match number.marks {
                Marks::OpenPoint | Marks::OpenComma => {
                    number::read_any(cell, DecimalMark::Comma, &mut scratch.plain).map(|(number, _)| number)
                }
                _ => None,
            };
            let known = unit.is_empty()
                || level::frequency_unit(&unit).is_ok()
                || level::power_unit(&unit).is_ok()
                || unit.eq_ignore_ascii_case("db")
                || LengthUnit::of(&unit).is_some()
                || matches!(unit.as_str(), "°" | "deg" | "Hz/min");
            if known {
                self.numbers.add(number, &unit, other, n);
            }
            if unit.is_empty() {
                let value = number.value();
                self.band_metres += n * u32::from(level::band_of_metres(value).is_some());
                self.band_mhz += n * u32::from(value < 1e6 && level::band_of_mhz(value).is_some());
                return;
            }
        }
        self.bands += n * u32::from(matches!(level::band(cell, &mut scratch.plain), BandCell::Band(_)));
    }

    fn add_time(&mut self, cell: &[u8], n: u32, scratch: &mut Scratch) {
        let times = &mut self.times;
        let Some(stamp) = stamp::read(cell, Want::Whole, 4, &mut scratch.plain) else {
            // bare digits are times only where one is looked for
            if let Some(stamp) = stamp::read(cell, Want::Date, 4, &mut scratch.plain) {
                times.add(&stamp, n);
            }
            if let Some(stamp) = stamp::read(cell, Want::Clock, 6, &mut scratch.plain)
                .filter(|_| cell.len() > 4)
                .or_else(|| stamp::read(cell, Want::Clock, 4, &mut scratch.plain))
            {
                match (stamp.form, stamp.clock) {
                    (Form::CompactClock, ClockPart::At(_)) => times.add_bare_clock(cell, n),
                    (Form::Serial, _) => times.fractions += n,
                    (Form::Clock, _) => times.add(&stamp, n),
                    _ => {}
                }
            }
            return;
        };
        times.add(&stamp, n);
        match stamp.form {
            Form::Rounded => {
                // 2.02E+07 was a date of eight digits, 1.71E+12 milliseconds since 1970
                let large = number::read_any(cell, DecimalMark::Point, &mut scratch.plain)
                    .is_some_and(|(number, _)| number.value() >= 1e9);
                if large {
                    times.rounded_times += n;
                } else {
                    times.rounded_dates += n;
                }
            }
            // 12.06.30 may be a date or a time of day
            Form::Numbers if stamp.clock == ClockPart::None => {
                let clock = stamp::read(cell, Want::Clock, 4, &mut scratch.plain);
                times.clocks += n * u32::from(clock.is_some_and(|clock| clock.form == Form::Clock));
            }
            Form::Compact if cell.len() == 6 => {
                if let Some(Stamp { clock: ClockPart::At(_), .. }) =
                    stamp::read(cell, Want::Clock, 6, &mut scratch.plain)
                {
                    times.add_bare_clock(cell, n);
                }
            }
            _ => {}
        }
    }

    /// Are its cells few different ones, where the other column's are many? Short tables do not tell.
    pub(crate) fn stands_out_from(&self, other: &Self) -> bool {
        self.filled >= 4 && self.distinct.len() <= 2 && other.distinct.len() >= 3 * self.distinct.len()
    }

    /// How many cells differ, as far as that was counted.
    pub(crate) fn distinct(&self) -> usize {
        self.distinct.len()
    }
}

impl TimeEvidence {
    fn add_bare_clock(&mut self, cell: &[u8], n: u32) {
        self.bare_clocks += n;
        self.padded_clocks += n * u32::from(matches!(cell.len(), 4 | 6));
        self.clock_digits = self.clock_digits.max(cell.len());
        if let Some(value) = str::from_utf8(cell).ok().and_then(|text| text.parse().ok()) {
            self.largest_clock = self.largest_clock.max(value);
        }
    }
}

/// For pairs of columns: does one depend on the other? Counted over the rows of the sample.
#[derive(Clone, Debug, Default)]
pub(crate) struct Dependence {
    pairs: std::collections::BTreeSet<(u64, u64)>,
    firsts: std::collections::BTreeSet<u64>,
    rows: u32,
}

impl Dependence {
    /// Counts one row.
    pub(crate) fn add(&mut self, first: &[u8], second: &[u8]) {
        let (first, second) = (cell::trim(first), cell::trim(second));
        if first.is_empty() || second.is_empty() || self.pairs.len() > 4_096 {
            return;
        }
        let (first, second) = (hash(first), hash(second));
        self.rows += 1;
        self.pairs.insert((first, second));
        self.firsts.insert(first);
    }

    /// Different second cells per first cell, 1 if the second depends on the first;
    /// `None` where the first repeats too seldom to tell.
    pub(crate) fn spread(&self) -> Option<f64> {
        let firsts = self.firsts.len();
        (self.rows >= 6 && firsts * 3 <= self.rows as usize * 2).then(|| self.pairs.len() as f64 / firsts.max(1) as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn evidence(cells: &[&str]) -> Evidence {
        let mut evidence = Evidence::default();
        let mut scratch = Scratch::default();
        for cell in cells {
            evidence.add(cell.as_bytes(), 1, &mut scratch);
        }
        evidence
    }

    #[test]
    fn what_cells_could_be() {
        let calls = evidence(&["Q1ABC", "q2rs/p", "<...>", "12-Mar", ""]);
        assert_eq!((calls.filled, calls.calls, calls.call_traces), (4, 2, 2));
        let locators = evidence(&["JO22ob", "JN58", "n/a"]);
        assert_eq!((locators.locators, locators.missing), (2, 1));
        let times = evidence(&["2024-04-03 12:00", "1712145600000", "45385.5", "03/04/2024 09:30"]);
        assert_eq!(times.times.whole, 4);
        assert_eq!(times.times.order.by_set, [0, 0, 0, 1, 0, 0, 0, 0]);
        let clocks = evidence(&["5", "45", "930", "1205", "0", "2358"]);
        assert_eq!((clocks.times.bare_clocks, clocks.times.clock_digits), (6, 4));
        assert_eq!(evidence(&["20240403", "240403"]).times.dates, 2);
        let khz = evidence(&["137.40", "475.70", "1838.10", "7040.10"]);
        // 137 GHz is an amateur band, too
        assert_eq!(khz.numbers.in_band[0], [0, 4, 0, 1]);
        let hz = evidence(&["14,097,150", "7.040.185"]);
        assert_eq!(hz.numbers.in_band[0][0], 2);
        let open = evidence(&["14,097", "7,040"]);
        assert_eq!((open.numbers.in_band[0][1], open.numbers.in_band[1][2]), (2, 2));
        assert_eq!(evidence(&["23", "37", "30", "24"]).numbers.mode_levels, 3);
    }

    #[test]
    fn dependence() {
        let mut depends = Dependence::default();
        for (call, power) in [("A", "1"), ("A", "1"), ("B", "2"), ("B", "2"), ("A", "1"), ("B", "2")] {
            depends.add(call.as_bytes(), power.as_bytes());
        }
        assert_eq!(depends.spread(), Some(1.0));
        assert_eq!(Dependence::default().spread(), None);
    }
}
