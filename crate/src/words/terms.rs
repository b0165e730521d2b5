//! Names that every view uses: what stands at the far end, the sixteen sectors, and what became of the rows of a file.

use super::number::{NO_BREAK, count, counted};
use crate::model::Side;

/// Names of the sixteen sectors, clockwise from north.
pub const SECTORS: [&str; 16] =
    ["N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE", "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW"];

/// What the stations at the far end are called, one and many.
pub fn far_words(side: Side) -> (&'static str, &'static str) {
    match side {
        Side::Sends => ("listener", "listeners"),
        Side::Hears => ("station", "stations"),
    }
}

/// The same as the head of a column.
pub fn far_head(side: Side) -> &'static str {
    match side {
        Side::Sends => "Listeners",
        Side::Hears => "Stations",
    }
}

/// `5 244 rows read are 5 231 used, 9 set aside and 4 repeated`
pub fn rows_read(rows: u64, used: u64, aside: u64, repeated: u64) -> String {
    let [used, aside, repeated] = [used, aside, repeated].map(|n| count(figure(n)));
    format!(
        "{} read are {used}{NO_BREAK}used, {aside}{NO_BREAK}set aside and {repeated}{NO_BREAK}repeated",
        counted(figure(rows), "row", "rows")
    )
}

/// A count of rows may be larger than this machine's `usize`.
fn figure(n: u64) -> usize {
    usize::try_from(n).unwrap_or(usize::MAX)
}
