//! Numbers as people and programs write them: either decimal mark, grouped thousands, signs of all kinds, units behind.

use super::cell;
use crate::import::words::DecimalMark;
use crate::units::times_power_of_ten;

/// A decimal number, exact: `mantissa` x 10^-`places`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Decimal {
    pub(crate) negative: bool,
    pub(crate) mantissa: u64,
    pub(crate) places: i32,
    /// Was it written with an exponent (as a spreadsheet writes what it could not show)?
    pub(crate) scientific: bool,
    /// Digits that carry information, leading zeros not counted.
    pub(crate) significant: u32,
    /// How its separators can be read.
    pub(crate) marks: Marks,
}

/// What the separators inside a number say about the decimal mark.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum Marks {
    /// No separator at all.
    None,
    /// Only one reading makes sense, and it has decimals behind this mark.
    Sure(DecimalMark),
    /// Only grouped thousands with this sign, no decimals.
    Grouped,
    /// One point before exactly three digits: `14.097` is either.
    OpenPoint,
    /// One comma before exactly three digits: `14,097` is either.
    OpenComma,
}

impl Decimal {
    /// The nearest f64.
    pub(crate) fn value(self) -> f64 {
        self.scaled(0)
    }

    /// The nearest f64 of it times 10^`power`: exact where mantissa and power of ten are.
    #[inline]
    pub(crate) fn scaled(self, power: i32) -> f64 {
        if power == self.places && self.mantissa < 1 << 53 {
            let value = self.mantissa as f64;
            return if self.negative { -value } else { value };
        }
        self.scaled_slowly(power)
    }

    fn scaled_slowly(self, power: i32) -> f64 {
        let shift = power - self.places;
        let value = farheard_scan::cell::scaled(self.mantissa, shift)
            .unwrap_or_else(|| times_power_of_ten(self.mantissa, shift));
        if self.negative { -value } else { value }
    }

    /// Has it no decimals other than zeros?
    pub(crate) fn is_whole(self) -> bool {
        self.places <= 0
            || u32::try_from(self.places)
                .ok()
                .and_then(|n| 10_u64.checked_pow(n))
                .map_or(self.mantissa == 0, |tens| self.mantissa.is_multiple_of(tens))
    }
}

/// The plain forms, quickly: `-12`, `14.0971` with the given mark, nothing else in the cell.
#[inline]
pub(crate) fn quick(cell: &[u8], mark: u8) -> Option<Decimal> {
    let plain = farheard_scan::cell::decimal(cell, mark)?;
    Some(Decimal {
        negative: plain.negative,
        mantissa: plain.mantissa,
        places: plain.places,
        scientific: false,
        significant: plain.digits,
        marks: if plain.places > 0 { Marks::Sure(DecimalMark::Point) } else { Marks::None },
    })
}

/// Reads the number that a cell begins with and gives back what follows it, trimmed (a unit, or nothing).
///
/// `mark` decides only where the separators leave it open. Blanks, points, commas and apostrophes group digits by
/// threes. Digits beyond the nineteenth are dropped where they are decimals.
pub(crate) fn read(cell: &[u8], mark: DecimalMark) -> Option<(Decimal, &str)> {
    let text = str::from_utf8(cell).ok()?.trim();
    let text = cell::without_text_mark(text);
    let bytes = text.as_bytes();
    let (negative, mut at) = match bytes {
        [b'-', ..] => (true, 1),
        [b'+', ..] => (false, 1),
        _ => (false, 0),
    };
    while bytes.get(at) == Some(&b' ') {
        at += 1; // `- 21`
    }
    // runs of digits and the separators between them
    let mut runs: [(u8, usize); 8] = [(0, 0); 8];
    let mut count = 0;
    let mut digits: [u8; 32] = [0; 32];
    let mut length = 0;
    let mut separator = 0;
    loop {
        let start = at;
        while let Some(byte @ b'0'..=b'9') = bytes.get(at) {
            *digits.get_mut(length)? = byte - b'0';
            length += 1;
            at += 1;
        }
        if at == start && !(count == 0 && matches!(bytes.get(at), Some(b'.' | b','))) {
            return None;
        }
        *runs.get_mut(count)? = (separator, at - start);
        count += 1;
        match (bytes.get(at), bytes.get(at + 1)) {
            (Some(&(b'.' | b',')), Some(b'0'..=b'9')) => separator = bytes[at],
            // a blank or apostrophe groups only before exactly three digits
            (Some(&(b' ' | b'\'' | b'_')), Some(b'0'..=b'9'))
                if bytes.get(at + 1..at + 4).is_some_and(|next| next.iter().all(u8::is_ascii_digit))
                    && !bytes.get(at + 4).is_some_and(u8::is_ascii_digit)
                    && (1..=3).contains(&(at - start)) =>
            {
                separator = bytes[at];
            }
            _ => break,
        }
        at += 1;
    }
    let runs = &runs[..count];
    let (decimals, marks) = decimals_of(runs, digits[0] == 0, mark)?;
    let mut places = i32::try_from(decimals).ok()?;
    // exponent
    let mut scientific = false;
    if let Some(b'e' | b'E') = bytes.get(at) {
        let sign = usize::from(matches!(bytes.get(at + 1), Some(b'+' | b'-')));
        let from = at + 1 + sign;
        let to = from + bytes.get(from..)?.iter().take_while(|b| b.is_ascii_digit()).count();
        if to > from && to - from <= 3 && count <= 2 {
            let exponent: i32 = text.get(from..to)?.parse().ok()?;
            places -= if bytes.get(at + 1) == Some(&b'-') { -exponent } else { exponent };
            scientific = true;
            at = to;
        }
    }
    let rest = text.get(at..)?.trim_start();
    if rest.starts_with(['.', ',']) && rest.len() == 1 {
        // `14.` is a number with nothing behind its mark
        return number(negative, &digits[..length], places, scientific, marks).map(|n| (n, ""));
    }
    number(negative, &digits[..length], places, scientific, marks).map(|n| (n, rest))
}

fn number(negative: bool, digits: &[u8], mut places: i32, scientific: bool, marks: Marks) -> Option<Decimal> {
    let leading = digits.iter().take_while(|&&d| d == 0).count();
    let mut significant = 0;
    let mut mantissa = 0_u64;
    let mut left = digits.len() - leading;
    for &digit in &digits[leading..] {
        if significant == 19 {
            break;
        }
        mantissa = mantissa.checked_mul(10)?.checked_add(u64::from(digit))?;
        significant += 1;
        left -= 1;
    }
    places -= i32::try_from(left).ok()?;
    if digits.is_empty() || places < -18 && mantissa > 0 && !scientific || places.abs() > 300 {
        return None;
    }
    Some(Decimal { negative, mantissa, places, scientific, significant: significant.max(1), marks })
}

/// How many of the digits are decimals, and how sure that is. `runs` are separators with the length of the run behind.
/// A number that begins with zero has no groups.
fn decimals_of(runs: &[(u8, usize)], zero_first: bool, mark: DecimalMark) -> Option<(usize, Marks)> {
    let grouped =
        |runs: &[(u8, usize)]| (1..=3).contains(&runs[0].1) && runs[1..].iter().all(|&(s, n)| n == 3 && s == runs[1].0);
    match runs {
        [_] => Some((0, Marks::None)),
        [(_, before), (separator @ (b'.' | b','), behind)] => {
            let is_comma = *separator == b',';
            let own = if is_comma { DecimalMark::Comma } else { DecimalMark::Point };
            if *behind != 3 || zero_first || !(1..=3).contains(before) {
                return Some((*behind, Marks::Sure(own)));
            }
            let open = if is_comma { Marks::OpenComma } else { Marks::OpenPoint };
            Some((if own == mark { 3 } else { 0 }, open))
        }
        _ => {
            let (&(last, behind), before) = runs.split_last()?;
            if matches!(last, b'.' | b',') && before[1..].iter().all(|&(s, _)| s != last) {
                // another sign groups, this one is the mark
                let own = if last == b',' { DecimalMark::Comma } else { DecimalMark::Point };
                return (before.len() == 1 || grouped(before)).then_some((behind, Marks::Sure(own)));
            }
            grouped(runs).then_some((0, Marks::Grouped))
        }
    }
}

/// Reads a cell that may hold characters beyond ASCII, through `plain`.
pub(crate) fn read_any<'a>(cell: &'a [u8], mark: DecimalMark, plain: &'a mut String) -> Option<(Decimal, &'a str)> {
    if cell.is_ascii() {
        return read(cell, mark);
    }
    cell::write_plain(cell, plain);
    read(plain.as_bytes(), mark)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value(text: &str, mark: DecimalMark) -> Option<(f64, String)> {
        let mut plain = String::new();
        read_any(text.as_bytes(), mark, &mut plain).map(|(n, unit)| (n.value(), unit.to_owned()))
    }

    #[test]
    fn both_marks_and_all_groupings() {
        use DecimalMark::{Comma, Point};
        for (text, mark, right) in [
            ("14.0971", Point, 14.0971),
            ("14,0971", Point, 14.0971),
            ("14,097", Point, 14097.0),
            ("14,097", Comma, 14.097),
            ("14.097", Comma, 14097.0),
            ("14,097,118", Point, 14097118.0),
            ("14.097.118", Point, 14097118.0),
            ("14 097 118", Point, 14097118.0),
            ("14\u{2009}097\u{2009}118", Point, 14097118.0),
            ("14'097'118", Comma, 14097118.0),
            ("14.097,118", Point, 14097.118),
            ("14,097.118", Comma, 14097.118),
            ("14 097,118", Point, 14097.118),
            ("−21", Point, -21.0),
            ("+0", Point, 0.0),
            ("07", Point, 7.0),
            ("0,200", Point, 0.2),
            (".5", Point, 0.5),
            ("1.00E+10", Point, 1e10),
        ] {
            assert_eq!(value(text, mark).map(|(v, _)| v), Some(right), "{text}");
        }
    }

    #[test]
    fn units_stay_behind() {
        assert_eq!(value("200 mW", DecimalMark::Point), Some((200.0, "mW".into())));
        assert_eq!(value("-12dB", DecimalMark::Point), Some((-12.0, "dB".into())));
        assert_eq!(value("1.5 W", DecimalMark::Point), Some((1.5, "W".into())));
        for none in ["", "about 14", "inf", "NaN", "-", "1,23,456", "..5", "12:00"] {
            let read = value(none, DecimalMark::Point);
            assert!(read.as_ref().is_none_or(|(_, unit)| !unit.is_empty()), "{none}: {read:?}");
        }
    }

    /// Against the standard library, which reads decimal text to the nearest f64.
    #[test]
    fn the_same_as_the_standard_library() {
        let mut seed = 1_u64;
        for _ in 0..20_000 {
            seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
            let whole = seed >> 40;
            let places = (seed % 7) as usize;
            let sign = if seed & 8 == 0 { "" } else { "-" };
            let text = if places == 0 {
                format!("{sign}{whole}")
            } else {
                format!("{sign}{whole}.{:0places$}", seed % 10_u64.pow(u32::try_from(places).unwrap()))
            };
            let right: f64 = text.parse().unwrap();
            assert_eq!(quick(text.as_bytes(), b'.').unwrap().value().to_bits(), right.to_bits(), "{text}");
            assert_eq!(
                read(text.as_bytes(), DecimalMark::Point).unwrap().0.value().to_bits(),
                right.to_bits(),
                "{text}"
            );
        }
    }
}
