//! Locators as they stand in cells.

use super::cell;
use crate::geography::Locator;

/// What stands in a cell for a locator.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum PlaceCell {
    /// A locator.
    Whole(Locator),
    /// A locator with one character too few or with more than ten: its longest whole beginning.
    Shortened(Locator),
    /// Nothing, or a word for nothing; `0` is one.
    Missing,
    /// Something else.
    Unreadable,
}

impl PlaceCell {
    /// The locator, if there is one.
    pub(crate) fn locator(self) -> Option<Locator> {
        match self {
            Self::Whole(locator) | Self::Shortened(locator) => Some(locator),
            Self::Missing | Self::Unreadable => None,
        }
    }
}

/// Reads a cell as a locator of 4 to 10 characters in any letter case.
/// Two characters name a field as large as a country: too little for a distance, so not read.
pub(crate) fn read(cell: &[u8]) -> PlaceCell {
    let cell = cell::trim(cell);
    if let Some(locator) = whole(cell) {
        return PlaceCell::Whole(locator);
    }
    let cell = str::from_utf8(cell).map_or(cell, |text| cell::without_text_mark(text).as_bytes());
    if cell.iter().all(|&b| b == b'0') || cell::is_missing_word(cell) {
        return PlaceCell::Missing;
    }
    // blanks inside (`JO22 ob`), and one character too many or too few
    let compact: Vec<u8> = cell.iter().copied().filter(|b| *b != b' ').take(24).collect();
    if let Some(locator) = whole(&compact) {
        return PlaceCell::Whole(locator);
    }
    let even = compact.len().min(10) & !1;
    if compact.len() > 4
        && (compact.len() <= 10 || compact.iter().all(u8::is_ascii_alphanumeric))
        && compact.len() <= 14
        && let Some(locator) = whole(&compact[..even])
    {
        return PlaceCell::Shortened(locator);
    }
    PlaceCell::Unreadable
}

fn whole(cell: &[u8]) -> Option<Locator> {
    if !matches!(cell.len(), 4 | 6 | 8 | 10) {
        return None;
    }
    Locator::parse(str::from_utf8(cell).ok()?).ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn forms() {
        let text = |cell: &str| match read(cell.as_bytes()) {
            PlaceCell::Whole(l) => l.to_string(),
            PlaceCell::Shortened(l) => format!("{l}~"),
            PlaceCell::Missing => "-".to_owned(),
            PlaceCell::Unreadable => "?".to_owned(),
        };
        for (cell, right) in [
            ("jo22ob", "JO22ob"),
            ("JO22", "JO22"),
            ("IO91WM12", "IO91wm12"),
            ("jn58td12ab", "JN58td12ab"),
            ("  FN31pr ", "FN31pr"),
            ("JO22 ob", "JO22ob"),
            ("JO21a", "JO21~"),
            ("JO21ab12cd34", "JO21ab12cd~"),
            ("N/A", "-"),
            ("---", "-"),
            ("none", "-"),
            ("0", "-"),
            ("?", "-"),
            ("", "-"),
            ("ZZ99", "?"),
            ("JO2X", "?"),
            ("JO", "?"),
            ("Q1ABC", "?"),
            ("beans", "?"),
        ] {
            assert_eq!(text(cell), right, "{cell}");
        }
    }
}
