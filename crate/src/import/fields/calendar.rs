//! Days and seconds: calendar dates to day numbers, the leap seconds that were, years of two digits.

pub(crate) use farheard_scan::cell::day_number;

/// Day 1970-01-01 counted from 30 December 1899, the day zero of spreadsheets
/// (their day 1 is 31 December 1899; from 1 March 1900 on this agrees with all of them).
pub(crate) const SERIAL_OF_1970: i32 = 25_569;

/// A year of two digits: 69 to 99 are the last century, 00 to 68 this one, as POSIX `strptime` has it.
pub(crate) fn full_year(two_digits: u32) -> i32 {
    let year = two_digits.cast_signed();
    if year >= 69 { 1900 + year } else { 2000 + year }
}

/// Did the UTC day end with a leap second? From 2005 on after IERS Bulletin C (from memory);
/// after 2026 the last days of June and December may, since nobody knows yet.
pub(crate) fn ends_with_leap_second(day: i32) -> bool {
    let known = [(2005, 12, 31), (2008, 12, 31), (2012, 6, 30), (2015, 6, 30), (2016, 12, 31)];
    if known.iter().any(|&(y, m, d)| day_number(y, m, d) == Some(day)) {
        return true;
    }
    (2027..=2105).any(|y| day_number(y, 6, 30) == Some(day) || day_number(y, 12, 31) == Some(day))
}

#[cfg(test)]
mod tests {
    use super::*;
    use chrono::{Datelike, NaiveDate};

    /// Every day of 1900 to 2105 against chrono.
    #[test]
    fn day_numbers_as_chrono_has_them() {
        let mut date = NaiveDate::from_ymd_opt(1900, 1, 1).unwrap();
        let start = NaiveDate::from_ymd_opt(1970, 1, 1).unwrap();
        while date.year() < 2106 {
            let days = (date - start).num_days();
            assert_eq!(day_number(date.year(), date.month(), date.day()).map(i64::from), Some(days), "{date}");
            date = date.succ_opt().unwrap();
        }
        for (y, m, d) in [(2017, 2, 29), (2024, 13, 1), (2024, 0, 1), (2024, 4, 31), (2024, 4, 0), (2100, 2, 29)] {
            assert_eq!(day_number(y, m, d), None);
            assert_eq!(NaiveDate::from_ymd_opt(y, m, d), None);
        }
        assert_eq!(day_number(1899, 12, 30), Some(-SERIAL_OF_1970));
    }
}
