//! Cells of plain rows: the numbers and times in them, in the forms that nearly all files have.

/// The first and the last eight bytes of a cell of at most sixteen, which together with its length are the cell.
/// Comparing these is quicker than comparing memory, which calls the C library.
#[inline]
pub fn words(cell: &[u8]) -> (u64, u64) {
    let four =
        |at: usize| cell.get(at..).and_then(|c| c.first_chunk::<4>()).map_or(0, |c| u64::from(u32::from_le_bytes(*c)));
    if let (Some(first), Some(last)) = (cell.first_chunk::<8>(), cell.last_chunk::<8>()) {
        (u64::from_le_bytes(*first), u64::from_le_bytes(*last))
    } else if cell.len() >= 4 {
        (four(0), four(cell.len() - 4))
    } else {
        (cell.iter().fold(0, |word, &byte| word << 8 | u64::from(byte)), 0)
    }
}

/// A decimal number in a plain form, exact: `mantissa` x 10^-`places`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Decimal {
    /// Has it a minus?
    pub negative: bool,
    /// All its digits.
    pub mantissa: u64,
    /// How many of them stand behind the mark.
    pub places: i32,
    /// How many there are.
    pub digits: u32,
}

/// Reads `-12`, `14.0971` with the given mark, and nothing else in the cell.
#[inline]
pub fn decimal(cell: &[u8], mark: u8) -> Option<Decimal> {
    let (negative, number) = match cell {
        [b'-', rest @ ..] => (true, rest),
        [b'+', rest @ ..] | rest => (false, rest),
    };
    if number.is_empty() || number.len() > 18 {
        return None;
    }
    let (mut mantissa, mut places, mut digits) = (0_u64, 0_i32, 0_u32);
    let mut behind = 0;
    for &byte in number {
        let digit = byte.wrapping_sub(b'0');
        if digit < 10 {
            mantissa = mantissa * 10 + u64::from(digit);
            places += behind;
            digits += 1;
        } else if byte == mark && behind == 0 && digits > 0 {
            behind = 1;
        } else {
            return None;
        }
    }
    if behind == 1 && places == 0 {
        return None;
    }
    Some(Decimal { negative, mantissa, places, digits })
}

/// Powers of ten that an f64 holds exactly.
pub const TENS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// The nearest f64 of a whole number times a power of ten, where one operation on two exact numbers gives it
/// (W. D. Clinger, 'How to Read Floating Point Numbers Accurately', 1990).
#[inline]
pub fn scaled(mantissa: u64, power: i32) -> Option<f64> {
    let tens = TENS.get(power.unsigned_abs() as usize)?;
    if mantissa >= 1 << 53 {
        return None;
    }
    let whole = mantissa as f64;
    Some(if power < 0 { whole / tens } else { whole * tens })
}

#[inline]
fn two(text: &[u8], at: usize) -> Option<u32> {
    let tens = text.get(at)?.wrapping_sub(b'0');
    let ones = text.get(at + 1)?.wrapping_sub(b'0');
    (tens < 10 && ones < 10).then(|| u32::from(tens) * 10 + u32::from(ones))
}

/// A time in the plain form, `2024-04-03 12:00`, with `T`, seconds and `Z` allowed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stamp {
    /// Days since 1970.
    pub day: i32,
    /// Seconds since midnight.
    pub second: u32,
    /// Does it say that it is in UTC?
    pub utc: bool,
}

/// Reads a time in the plain form.
#[inline]
pub fn stamp(cell: &[u8]) -> Option<Stamp> {
    let (stamp, utc) = match cell {
        [stamp @ .., b'Z'] => (stamp, true),
        stamp => (stamp, false),
    };
    let (date, rest) = stamp.split_at_checked(10)?;
    let (b' ' | b'T', clock) = rest.split_first()? else { return None };
    Some(Stamp { day: date_of(date)?, second: clock_of(clock)?, utc })
}

/// Days since 1970 of a date in the plain form, `2024-04-03`.
#[inline]
pub fn date_of(cell: &[u8]) -> Option<i32> {
    if cell.len() != 10 || cell[4] != b'-' || cell[7] != b'-' {
        return None;
    }
    let year = two(cell, 0)? * 100 + two(cell, 2)?;
    day_number(year.cast_signed(), two(cell, 5)?, two(cell, 8)?)
}

/// Seconds since midnight of a time of day in the plain form, `12:00` or `12:00:30`.
#[inline]
pub fn clock_of(cell: &[u8]) -> Option<u32> {
    let second = match cell.len() {
        5 => 0,
        8 if cell[5] == b':' => two(cell, 6)?,
        _ => return None,
    };
    let (hour, minute) = (two(cell, 0)?, two(cell, 3)?);
    let exists = cell[2] == b':' && hour < 24 && minute < 60 && second < 60;
    exists.then_some(hour * 3600 + minute * 60 + second)
}

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
pub fn day_number(year: i32, month: u32, day: u32) -> Option<i32> {
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn plain_forms_and_no_others() {
        let number = |text: &str| decimal(text.as_bytes(), b'.').map(|d| (d.negative, d.mantissa, d.places, d.digits));
        assert_eq!(number("-12"), Some((true, 12, 0, 2)));
        assert_eq!(number("14.0971"), Some((false, 140_971, 4, 6)));
        assert_eq!(number("+007.50"), Some((false, 750, 2, 5)));
        for odd in ["", "-", ".5", "5.", "1,5", "1.2.3", " 1", "1e3", "1234567890123456789"] {
            assert_eq!(number(odd), None, "{odd}");
        }
        let time = |text: &str| stamp(text.as_bytes()).map(|s| (s.day, s.second, s.utc));
        assert_eq!(time("1970-01-02 00:01"), Some((1, 60, false)));
        assert_eq!(time("1970-01-02T23:59:59Z"), Some((1, 86_399, true)));
        for odd in ["1970-01-02", "1970-02-30 00:00", "1970-01-02 24:00", "1970/01/02 00:00", "1970-01-02 00:00:60"] {
            assert_eq!(time(odd), None, "{odd}");
        }
    }
}
