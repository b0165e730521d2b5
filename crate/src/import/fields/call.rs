//! Calls: what is one, what stands for one, and what a spreadsheet made of one.
//!
//! The shape follows article 19 of the ITU Radio Regulations (Nos. 19.68 and 19.69): a prefix of one to three letters
//! and digits, digits, and a suffix that ends with a letter; wider than the article, since special calls are longer.
//! Parts with strokes (`Q2/Q1ABC`, `Q1ABC/P`) belong to the call: such a station is a station of its own.

use super::number::{self, Marks};
use super::stamp::{self, DatePart, Want};
use super::{cell, months::month};
use crate::import::words::DecimalMark;

/// What stands in a cell for a call.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) enum CallCell {
    /// A call.
    Call,
    /// A call in brackets, as programs write what they took from a hash.
    Bracketed,
    /// A call that had to be put right: a stroked zero, a full-width letter, blanks around a stroke.
    Changed,
    /// Nothing, or a word for nothing.
    Empty,
    /// `<...>`: a hash that was never resolved.
    Unresolved,
    /// A number, a date or an error sign: what a spreadsheet makes of calls such as 1E10 or 12MAR.
    Damaged,
    /// Something else.
    Other,
}

impl CallCell {
    /// Does it name a station?
    pub(crate) fn is_call(self) -> bool {
        matches!(self, Self::Call | Self::Bracketed | Self::Changed)
    }
}

/// Longest call with all its parts; longer texts are no calls.
const LONGEST: usize = 20;

/// A prefix, digits and a suffix of letters: what every call has in one of its parts.
fn is_base(part: &[u8]) -> bool {
    let Some(last_digit) = part.iter().rposition(u8::is_ascii_digit) else { return false };
    let suffix = part.len() - last_digit - 1;
    let first_of_digits = part[..=last_digit].iter().rposition(|b| !b.is_ascii_digit()).map_or(0, |at| at + 1);
    let prefix = &part[..first_of_digits];
    (1..=8).contains(&suffix) && (1..=3).contains(&prefix.len()) && prefix.iter().any(u8::is_ascii_uppercase)
}

/// Is a text in capitals a call with all its parts?
pub(crate) fn is_call(upper: &[u8]) -> bool {
    if !(3..=LONGEST).contains(&upper.len())
        || !upper.iter().all(|b| matches!(b, b'A'..=b'Z' | b'0'..=b'9' | b'/' | b'-'))
    {
        return false;
    }
    let mut based = false;
    for part in upper.split(|&b| b == b'/') {
        let mut pieces = part.split(|&b| b == b'-');
        let piece = pieces.next().unwrap_or_default();
        if piece.is_empty() || pieces.any(<[u8]>::is_empty) {
            return false;
        }
        based |= is_base(piece);
    }
    based
}

/// Names of listening stations without a licence: letters, then digits (`SWL1234`, `QL1-12345`); common practice.
fn is_listener(upper: &[u8]) -> bool {
    let letters = upper.iter().take_while(|b| b.is_ascii_uppercase()).count();
    let rest = &upper[letters..];
    (5..=12).contains(&upper.len())
        && letters >= 2
        && rest.iter().all(|b| b.is_ascii_digit() || *b == b'-')
        && rest.last().is_some_and(u8::is_ascii_digit)
        && !(upper.len() == 6 && letters == 2 && rest[0] == b'-')
}

/// Reads a cell as a call, which is left in `upper` in capitals and without brackets.
/// `plain` is room for spelling.
pub(crate) fn read(cell: &[u8], upper: &mut String, plain: &mut String) -> CallCell {
    let cell = cell::trim(cell);
    upper.clear();
    if cell.len() <= LONGEST && cell.iter().all(|b| b.is_ascii_alphanumeric() || *b == b'/') {
        upper.extend(cell.iter().map(|b| char::from(b.to_ascii_uppercase())));
        if is_call(upper.as_bytes()) {
            return CallCell::Call;
        }
    }
    read_slowly(cell, upper, plain)
}

fn read_slowly(cell: &[u8], upper: &mut String, plain: &mut String) -> CallCell {
    if cell.is_empty() {
        return CallCell::Empty;
    }
    if cell.len() > 4 * LONGEST {
        return CallCell::Other;
    }
    cell::write_plain(cell, plain);
    let text = cell::without_text_mark(plain.trim());
    let inner = [('<', '>'), ('(', ')'), ('[', ']')]
        .iter()
        .find_map(|&(open, close)| text.strip_prefix(open)?.strip_suffix(close))
        .map(str::trim);
    let body = inner.unwrap_or(text);
    let dots = body.chars().all(|c| matches!(c, '.' | '\u{2026}' | '*' | '?' | '#')) && !body.starts_with('#');
    if dots && (inner.is_some() || body.starts_with(['.', '\u{2026}'])) {
        return CallCell::Unresolved;
    }
    upper.clear();
    let mut changed = plain.len() != cell.len() && !cell.is_ascii();
    let mut letters = body.chars().peekable();
    while let Some(c) = letters.next() {
        match c {
            'Ø' | 'ø' | '∅' => {
                upper.push('0');
                changed = true;
            }
            '\\' => {
                upper.push('/');
                changed = true;
            }
            ' ' if upper.ends_with('/') || letters.peek() == Some(&'/') => changed = true,
            c => upper.push(c.to_ascii_uppercase()),
        }
    }
    let found = if (is_call(upper.as_bytes()) || is_listener(upper.as_bytes())) && !is_damaged(text) {
        match (inner.is_some(), changed) {
            (true, _) => CallCell::Bracketed,
            (false, true) => CallCell::Changed,
            (false, false) => CallCell::Call,
        }
    } else if cell::is_missing_word(cell) {
        CallCell::Empty
    } else if is_damaged(text) {
        CallCell::Damaged
    } else {
        CallCell::Other
    };
    if !found.is_call() {
        upper.clear();
    }
    found
}

/// Is it what spreadsheets make of calls: a number of a size that no one writes, a date, an error sign?
fn is_damaged(text: &str) -> bool {
    if text.starts_with('#') {
        let sign = text.trim_start_matches('#');
        return sign.is_empty() || sign.ends_with(['?', '!']) || matches!(sign, "N/A" | "NV" | "N/V");
    }
    if text.starts_with("Err:")
        || matches!(text, "TRUE" | "FALSE" | "WAHR" | "FALSCH" | "VRAI" | "FAUX" | "VERDADERO" | "FALSO" | "VERO")
    {
        return true;
    }
    if let Some((number, "")) = number::read(text.as_bytes(), DecimalMark::Point) {
        return number.scientific
            || number.marks != Marks::None
            || number.places == 0 && (20_000..80_000).contains(&number.mantissa);
    }
    if is_day_and_month(text) {
        return true;
    }
    let mut plain = String::new();
    let separated = text.contains(['-', '/', '.', ' ', ':']);
    separated
        && stamp::read(text.as_bytes(), Want::Date, 4, &mut plain).is_some_and(|s| !matches!(s.date, DatePart::None))
}

/// `12-Mar`, `Mar-12`, `1. Sep`, `12/3`: a call such as 12MAR or MAR12 read as a date.
fn is_day_and_month(text: &str) -> bool {
    let parts: Vec<&str> = text.split(['-', '.', '/', ' ']).filter(|p| !p.is_empty()).collect();
    let [first, second] = parts[..] else { return false };
    let number = |part: &str, most: usize| (1..=most).contains(&part.len()) && part.bytes().all(|b| b.is_ascii_digit());
    let name = |part: &str| part.chars().all(char::is_alphabetic) && month(part).is_some();
    number(first, 2) && name(second)
        || name(first) && number(second, 4)
        || text.contains('/') && number(first, 2) && number(second, 2)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> (CallCell, String) {
        let (mut upper, mut plain) = (String::new(), String::new());
        let found = super::read(text.as_bytes(), &mut upper, &mut plain);
        (found, upper)
    }

    #[test]
    fn calls_of_all_shapes() {
        for (text, call) in [
            ("q1abc", "Q1ABC"),
            (" Q1ABC\u{a0}", "Q1ABC"),
            ("Q1ABC/P", "Q1ABC/P"),
            ("Q2/Q1ABC", "Q2/Q1ABC"),
            ("Q1ABC/QRP", "Q1ABC/QRP"),
            ("Q0A", "Q0A"),
            ("Q100WXYZ", "Q100WXYZ"),
            ("Q20ABC", "Q20ABC"),
            ("Q1ABC-2", "Q1ABC-2"),
            ("Q7TST/2", "Q7TST/2"),
            ("SWL1234", "SWL1234"),
        ] {
            assert_eq!(read(text), (CallCell::Call, call.to_owned()), "{text}");
        }
        assert_eq!(read("<Q1ABC>"), (CallCell::Bracketed, "Q1ABC".to_owned()));
        assert_eq!(read("QØA"), (CallCell::Changed, "Q0A".to_owned()));
        assert_eq!(read("Q1ABC / P"), (CallCell::Changed, "Q1ABC/P".to_owned()));
    }

    #[test]
    fn what_is_no_call() {
        for text in ["<...>", "<\u{2026}>", "...", "< ... >"] {
            assert_eq!(read(text), (CallCell::Unresolved, String::new()), "{text}");
        }
        for text in ["", "  ", "n/a", "-", "?", "none"] {
            assert_eq!(read(text), (CallCell::Empty, String::new()), "{text}");
        }
        for text in [
            "1.00E+10",
            "1E+10",
            "12-Mar",
            "Mar-12",
            "1-Sep",
            "12. Mrz",
            "#NAME?",
            "#REF!",
            "########",
            "12/03/2024",
            "45363",
            "2024-03-12",
            "01. Sep",
            "12-mars",
            "1,00E+10",
        ] {
            assert_eq!(read(text), (CallCell::Damaged, String::new()), "{text}");
        }
        for text in ["<svg/onload=document.title='ran'>", "hello", "A1", "yesterday", "-21", "Q1ABC Q2DEF", "beans"] {
            assert_eq!(read(text), (CallCell::Other, String::new()), "{text}");
        }
    }
}
