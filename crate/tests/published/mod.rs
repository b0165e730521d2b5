//! Reads the tables of `tests/published` at the top of the repository.

#![allow(clippy::panic, clippy::unwrap_used, clippy::float_cmp, reason = "a test stops at the first wrong value")]

use std::fmt;
use std::path::Path;

/// One row of a table, its fields found by column name.
pub(crate) struct Row {
    table: &'static str,
    number: usize,
    fields: Vec<(String, String)>,
}

impl Row {
    /// The text in a column; every table has every column asked for.
    pub(crate) fn text(&self, column: &str) -> &str {
        let field = self.fields.iter().find(|(name, _)| name == column);
        field.map_or_else(|| panic!("{self}: no column {column}"), |(_, text)| text)
    }

    /// The number in a column.
    pub(crate) fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap_or_else(|_| panic!("{self}: no number in column {column}"))
    }
}

impl fmt::Display for Row {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{} row {} ({})", self.table, self.number, self.fields[0].1)
    }
}

/// All rows of a table; it is never empty.
pub(crate) fn rows(table: &'static str) -> impl Iterator<Item = Row> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/published").join(table);
    let mut reader = csv::Reader::from_path(&path).unwrap();
    let names = reader.headers().unwrap().clone();
    let rows: Vec<Row> = reader
        .records()
        .zip(1..)
        .map(|(record, number)| {
            let record = record.unwrap();
            let fields = names.iter().zip(&record).map(|(name, text)| (name.to_owned(), text.to_owned())).collect();
            Row { table, number, fields }
        })
        .collect();
    assert!(!rows.is_empty(), "{table} has no rows");
    rows.into_iter()
}

/// The two agree within an absolute tolerance (which also fails for what is not a number).
pub(crate) fn close(found: f64, expected: f64, tolerance: f64, row: &Row) {
    assert!((found - expected).abs() <= tolerance, "{row}: found {found}, expected {expected} within {tolerance}");
}
