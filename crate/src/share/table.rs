//! A table of results on its way out: heads and typed cells, the same for CSV and for the properties of a map's marks.
//!
//! The head of a number says what it is by how it ends: a time (`UTC`), a length or bearing, which no locator gives finer
//! than a tenth (`km`, `deg`), or anything else, of which two decimals are kept. Whole numbers need none.

use crate::time::UtcTime;

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Not known.
    None,
    /// Words.
    Text(String),
    /// A number, written with at most so many decimals.
    Number(f64, u8),
    /// An instant.
    Time(UtcTime),
}

impl Cell {
    /// A value under a head; what is not finite is not known.
    fn of(head: &str, value: f64) -> Self {
        if !value.is_finite() {
            return Self::None;
        }
        #[expect(clippy::cast_possible_truncation, reason = "seconds of an instant")]
        if head.ends_with("UTC") {
            return UtcTime::from_unix_s(value as i64).map_or(Self::None, Self::Time);
        }
        let coarse = head.ends_with("km") || head.ends_with("deg") && !head.starts_with(['f', 't']);
        Self::Number(value, if coarse { 1 } else { 2 })
    }

    /// As programs read it: a point for decimals and no other mark, UTC after ISO 8601. Empty where it is not known.
    pub fn plain(&self) -> String {
        match self {
            Self::None => String::new(),
            Self::Text(words) => words.clone(),
            Self::Number(value, decimals) => number(*value, *decimals),
            Self::Time(time) => time.iso(),
        }
    }

    /// Is it a number, which stands without quotes?
    pub fn is_number(&self) -> bool {
        matches!(self, Self::Number(..))
    }
}

/// The shortest digits that give the number again once it is rounded to so many decimals. There is no minus zero.
pub fn number(value: f64, decimals: u8) -> String {
    let scale = 10_f64.powi(i32::from(decimals));
    format!("{}", (value * scale).round() / scale + 0.0)
}

/// Heads and rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Table {
    heads: Vec<&'static str>,
    cells: Vec<Cell>,
}

impl Table {
    /// Without rows; the heads, each with its unit, stand between upright strokes.
    pub fn new(heads: &'static str) -> Self {
        Self { heads: heads.split('|').collect(), cells: Vec::new() }
    }

    /// Adds a row: its words stand under the first heads, its numbers under the others. NaN is what is not known, a time
    /// is seconds since 1970.
    pub fn row(&mut self, words: &[&str], numbers: &[f64]) {
        self.cells.extend(words.iter().map(|words| match *words {
            "" => Cell::None,
            words => Cell::Text(words.to_owned()),
        }));
        let heads = self.heads.iter().skip(words.len());
        self.cells.extend(heads.zip(numbers).map(|(head, value)| Cell::of(head, *value)));
    }

    /// Quantities with their units.
    pub fn heads(&self) -> &[&'static str] {
        &self.heads
    }

    /// The rows.
    pub fn rows(&self) -> impl Iterator<Item = &[Cell]> {
        self.cells.chunks(self.heads.len().max(1))
    }

    /// Is there no row?
    pub fn is_empty(&self) -> bool {
        self.cells.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn heads_say_what_numbers_are() {
        let mut table = Table::new("call|first UTC|distance km|bearing deg|from deg|level dB|spots|mean dB");
        table.row(&["Q1ABC"], &[1_935_230_400.0, 812.345, 11.26, 11.25, -0.001, 12.0, f64::NAN]);
        let row: Vec<String> = table.rows().next().unwrap().iter().map(Cell::plain).collect();
        assert_eq!(row, ["Q1ABC", "2031-04-29T12:00:00Z", "812.3", "11.3", "11.25", "0", "12", ""]);
    }
}
