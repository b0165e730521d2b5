//! Days and seconds: calendar dates to day numbers, the leap seconds that were, years of two digits.

/// Day 1970-01-01 counted from 30 December 1899, the day zero of spreadsheets
/// (their day 1 is 31 December 1899; from 1 March 1900 on this agrees with all of them).
pub(crate) const SERIAL_OF_1970: i32 = 25_569;

/// Length of a month, or 0 for months that do not exist.
fn month_length(year: i32, month: u32) -> u32 {
    match month {
        1 | 3 | 5 | 7 | 8 | 10 | 12 => 31,
        4 | 6 | 9 | 11 => 30,
        2 if year % 4 == 0 && (year % 100 != 0 || year % 400 == 0) => 29,
        2 => 28,
        _ => 0,
    }
}

/// Days from 1970-01-01 to a date of the Gregorian calendar, or `None` if the date does not exist.
///
/// Method: H. Hinnant, 'chrono-Compatible Low-Level Date Algorithms' (2013), `days_from_civil`.
#[inline]
pub(crate) fn day_number(year: i32, month: u32, day: u32) -> Option<i32> {
    if !(1600..=9999).contains(&year) || day == 0 || day > month_length(year, month) {
        return None;
    }
    let (month, day) = (month.cast_signed(), day.cast_signed());
    let year = if month <= 2 { year - 1 } else { year };
    let era = year / 400;
    let year_of_era = year % 400;
    let day_of_year = (153 * (month + if month > 2 { -3 } else { 9 }) + 2) / 5 + day - 1;
    let day_of_era = year_of_era * 365 + year_of_era / 4 - year_of_era / 100 + day_of_year;
    Some(era * 146_097 + day_of_era - 719_468)
}

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
