//! Figures for people: thousands by a narrow no-break space, a true minus, no more digits than are earned.
//!
//! The decimal mark is a point unless [`set_decimal_mark`] says otherwise, as the page does for people who write a comma.
//! It is kept by thread and not handed through: a hundred sentences and figures of pictures write numbers, and none of
//! them may differ from the others. Only a page's boot sets it, so that the same events still give the same page; what
//! other programs read (CSV, JSON, addresses) is written without this module and always has a point.

use std::cell::Cell;

use super::calendar::{DateOrder, replace_date_order, set_date_order};
use crate::units;

/// Narrow no-break space between thousands, and no-break space before units.
pub const THIN: char = '\u{202f}';
/// No-break space between a figure and its unit.
pub const NO_BREAK: char = '\u{a0}';
/// The minus sign.
pub const MINUS: char = '\u{2212}';
/// What stands where there is no value.
pub const MISSING: &str = "\u{2013}";

thread_local! {
    static DECIMAL_MARK: Cell<char> = const { Cell::new('.') };
}

/// From here on figures of this thread have this decimal mark.
pub fn set_decimal_mark(mark: char) {
    DECIMAL_MARK.set(mark);
}

/// Makes what leaves for other people: its figures have a decimal point and its dates begin with the day, whatever the
/// person's language.
pub fn in_files<T>(make: impl FnOnce() -> T) -> T {
    let mark = DECIMAL_MARK.replace('.');
    let order = replace_date_order(DateOrder::default());
    let made = make();
    DECIMAL_MARK.set(mark);
    set_date_order(order);
    made
}

/// Which unit lengths are shown in. Stored values are always km.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Length {
    /// Kilometres.
    #[default]
    Km,
    /// Statute miles.
    Miles,
}

impl Length {
    /// `km` or `mi`.
    pub fn unit(self) -> &'static str {
        match self {
            Self::Km => "km",
            Self::Miles => "mi",
        }
    }

    /// A length in km as a figure in this unit.
    pub fn value(self, km: f64) -> f64 {
        match self {
            Self::Km => km,
            Self::Miles => units::miles_from_km(km),
        }
    }

    /// The figure alone, rounded to whole units: `1 240`.
    pub fn figure(self, km: f64) -> String {
        whole(self.value(km))
    }

    /// The figure with its unit: `1 240 km`.
    pub fn text(self, km: f64) -> String {
        format!("{}{NO_BREAK}{}", self.figure(km), self.unit())
    }

    /// The figure with its greatest error: `1 240 ± 90 km`. The error is left out where it is under half a unit.
    pub fn text_with_error(self, km: f64, error_km: f64) -> String {
        if self.value(error_km) < 0.5 {
            return self.text(km);
        }
        format!("{}{NO_BREAK}±{NO_BREAK}{}{NO_BREAK}{}", self.figure(km), self.figure(error_km), self.unit())
    }
}

/// A count: `5 231`.
pub fn count(n: usize) -> String {
    group(&n.to_string())
}

/// A count with its noun in the right number: `1 spot`, `5 231 spots`.
pub fn counted(n: usize, one: &str, many: &str) -> String {
    format!("{}{NO_BREAK}{}", count(n), if n == 1 { one } else { many })
}

/// A figure rounded to whole units.
pub fn whole(value: f64) -> String {
    signed_digits(value, 0)
}

/// A level in dB, whole: `−14`.
pub fn level(db: f64) -> String {
    whole(db)
}

/// A figure with so many decimals, a true minus if negative.
pub fn decimals(value: f64, places: usize) -> String {
    signed_digits(value, places)
}

/// A figure with as many digits as it was typed with.
pub fn typed(value: f64) -> String {
    let text = format!("{value}");
    match text.split_once('.') {
        Some((whole, fraction)) => format!("{whole}{}{fraction}", DECIMAL_MARK.get()),
        None => text,
    }
}

/// A difference in dB with one decimal and always its sign: `+2.6`, `−0.4`, `0.0`.
pub fn difference(db: f64) -> String {
    let text = signed_digits(db, 1);
    if db > 0.0 && text.bytes().any(|byte| matches!(byte, b'1'..=b'9')) { format!("+{text}") } else { text }
}

/// The figure of a value that may be missing, else an en dash.
pub fn or_missing(value: Option<f64>, figure: impl Fn(f64) -> String) -> String {
    value.map_or_else(|| MISSING.to_owned(), figure)
}

/// A bearing in whole degrees, 0 to 359.
pub fn bearing(degrees: f64) -> String {
    let rounded = degrees.rem_euclid(360.0).round();
    format!("{}", if rounded >= 360.0 { 0.0 } else { rounded })
}

fn signed_digits(value: f64, places: usize) -> String {
    if !value.is_finite() {
        return MISSING.to_owned();
    }
    let text = format!("{:.places$}", value.abs());
    let zero = text.bytes().all(|byte| matches!(byte, b'0' | b'.'));
    let digits = match text.split_once('.') {
        Some((whole, fraction)) => format!("{}{}{fraction}", group(whole), DECIMAL_MARK.get()),
        None => group(&text),
    };
    if value < 0.0 && !zero { format!("{MINUS}{digits}") } else { digits }
}

/// Thousands apart, also in figures of four digits.
fn group(digits: &str) -> String {
    let mut text = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            text.push(THIN);
        }
        text.push(digit);
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn figures_of_people_who_write_a_comma() {
        set_decimal_mark(',');
        assert_eq!(difference(2.64), "+2,6");
        assert_eq!(difference(0.04), "0,0");
        assert_eq!(decimals(-1234.5, 1), "\u{2212}1\u{202f}234,5");
        set_decimal_mark('.');
        assert_eq!(difference(2.64), "+2.6");
    }

    #[test]
    fn figures() {
        assert_eq!(count(5231), "5\u{202f}231");
        assert_eq!(count(0), "0");
        assert_eq!(level(-14.4), "\u{2212}14");
        assert_eq!(level(-0.4), "0");
        assert_eq!(difference(2.64), "+2.6");
        assert_eq!(difference(-0.04), "0.0");
        assert_eq!(Length::Km.text_with_error(1240.3, 89.6), "1\u{202f}240\u{a0}±\u{a0}90\u{a0}km");
        assert_eq!(Length::Miles.text(1609.344), "1\u{202f}000\u{a0}mi");
        assert_eq!(bearing(359.7), "0");
        assert_eq!(counted(1, "spot", "spots"), "1\u{a0}spot");
        assert_eq!(difference(0.04), "0.0");
        assert_eq!(decimals(-1234567.891, 2), "\u{2212}1\u{202f}234\u{202f}567.89");
    }
}
