//! A table of results on its way out: heads and typed cells, the same for CSV and for the properties of a map's marks.

use crate::model::Band;
use crate::time::UtcTime;

/// One cell.
#[derive(Clone, Debug, PartialEq)]
pub enum Cell {
    /// Not known.
    None,
    /// Words.
    Text(String),
    /// How many.
    Count(usize),
    /// A number, written with at most so many decimals.
    Number(f64, u8),
    /// An instant.
    Time(UtcTime),
}

impl Cell {
    /// A number that may be missing, with at most so many decimals.
    pub fn number(value: Option<f64>, decimals: u8) -> Self {
        value.filter(|value| value.is_finite()).map_or(Self::None, |value| Self::Number(value, decimals))
    }

    /// As programs read it: a point for decimals and no other mark, UTC after ISO 8601. Empty where it is not known.
    pub fn plain(&self) -> String {
        match self {
            Self::None => String::new(),
            Self::Text(words) => words.clone(),
            Self::Count(n) => n.to_string(),
            Self::Number(value, decimals) => number(*value, *decimals),
            Self::Time(time) => time.iso(),
        }
    }

    /// Is it a number, which stands without quotes?
    pub fn is_number(&self) -> bool {
        matches!(self, Self::Count(_) | Self::Number(..))
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        Self::Text(words.to_owned())
    }
}

impl From<usize> for Cell {
    fn from(n: usize) -> Self {
        Self::Count(n)
    }
}

impl From<UtcTime> for Cell {
    fn from(time: UtcTime) -> Self {
        Self::Time(time)
    }
}

impl From<Band> for Cell {
    fn from(band: Band) -> Self {
        Self::from(band.name())
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

    /// Adds a row with a cell for each head.
    pub fn push<const N: usize>(&mut self, row: [Cell; N]) {
        self.cells.extend(row);
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
