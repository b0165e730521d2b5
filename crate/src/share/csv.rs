//! Spots and tables as CSV for spreadsheets and other programs, after RFC 4180 (October 2005): commas, CR LF, doubled quotes.
//!
//! The heads are words of the trade with their units, so that a reader needs no key, our own reader included: what is
//! written here and read again gives the same spots. A cell without value is empty.
//!
//! A spreadsheet runs a cell that begins with `=`, `+`, `-` or `@` as a formula, also one that stands in quotes. Text
//! that begins so gets an apostrophe before it, the spreadsheets' own sign for text (common practice, no source).
//! Numbers are written by us and stay numbers, the negative ones too.

use super::privacy::{Leaving, Source};
use super::table::Table;
use crate::model::Band;

/// The head: quantity and unit.
const HEAD: [&str; 14] = [
    "time UTC",
    "band",
    "frequency Hz",
    "sender",
    "sender locator",
    "listener",
    "listener locator",
    "SNR dB",
    "drift Hz/min",
    "power dBm",
    "distance km",
    "bearing deg",
    "file",
    "line",
];

/// The spots in their order, below one line of heads.
///
/// Times are ISO 8601 in UTC with Z; distance in km and bearing in degrees are those of the subject, from the tested
/// station to the far one, and empty for rows that are not the subject's.
pub fn spots(leaving: &Leaving<'_>) -> Vec<u8> {
    rows(leaving, &mut leaving.rows())
}

/// The same of these rows; those of another station's antenna have no distance and bearing.
pub(super) fn rows(leaving: &Leaving<'_>, rows: &mut dyn Iterator<Item = usize>) -> Vec<u8> {
    let subject = leaving.subject();
    let table = subject.table();
    let stations = table.stations();
    let files: Vec<String> = table
        .files()
        .iter()
        .map(|name| match leaving.source() {
            Source::Files => text(name),
            Source::Sample => format!("SAMPLE {name}").trim_end().to_owned(),
        })
        .collect();
    let mut out = String::new();
    write_row(&mut out, &HEAD);
    for row in rows {
        let (tx, rx) = (table.tx(row), table.rx(row));
        let call = |station| text(stations.call(stations.call_of(station)));
        let locator =
            |station| stations.locator(station).map_or_else(String::new, |locator| text(&locator.to_string()));
        let own = subject.calls().contains(&stations.call_of(table.near(row, subject.side())));
        let path = subject.path(subject.far_call(row)).filter(|_| own).map(|far| far.path);
        let file = files.get(table.file(row).index()).map_or("", String::as_str);
        write_row(
            &mut out,
            &[
                table.time(row).iso().as_str(),
                match table.band(row) {
                    Band::UNKNOWN => "",
                    band => band.name(),
                },
                &number(table.freq_hz(row)),
                &call(tx),
                &locator(tx),
                &call(rx),
                &locator(rx),
                &single(table.snr_db(row)),
                &single(table.drift_hz_min(row)),
                &number(table.power_dbm(row)),
                &rounded(path.map(|path| path.distance_km)),
                &rounded(path.and_then(|path| path.bearing_deg)),
                file,
                &table.line(row).to_string(),
            ],
        );
    }
    out.into_bytes()
}

/// A table of results. Of the sample, each row says so in a column more.
pub fn table(table: &Table, source: Source) -> Vec<u8> {
    let mark: &[&str] = if source == Source::Sample { &["SAMPLE", "SAMPLE, made up"] } else { &[] };
    let mut out = String::new();
    write_row(&mut out, &[table.heads(), mark.get(..1).unwrap_or_default()].concat());
    for row in table.rows() {
        let cells: Vec<String> =
            row.iter().map(|cell| if cell.is_number() { cell.plain() } else { text(&cell.plain()) }).collect();
        let mut cells: Vec<&str> = cells.iter().map(String::as_str).collect();
        cells.extend(mark.get(1));
        write_row(&mut out, &cells);
    }
    out.into_bytes()
}

/// One row; cells with a comma, a quote or a line end stand in quotes (RFC 4180, section 2, rules 6 and 7).
fn write_row(out: &mut String, cells: &[&str]) {
    for (place, cell) in cells.iter().enumerate() {
        if place > 0 {
            out.push(',');
        }
        if cell.contains([',', '"', '\r', '\n']) {
            out.extend(["\"", &cell.replace('"', "\"\""), "\""]);
        } else {
            out.push_str(cell);
        }
    }
    out.push_str("\r\n");
}

/// Text that no spreadsheet takes for a formula.
fn text(words: &str) -> String {
    let formula =
        words.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '\u{FF1D}', '\u{FF0B}', '\u{FF0D}', '\u{FF20}']);
    if formula { format!("'{words}") } else { words.to_owned() }
}

/// The shortest digits that give the number again.
pub(super) fn number(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| format!("{}", value + 0.0))
}

/// The same for a number that is kept in single precision.
pub(super) fn single(value: Option<f64>) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "the table keeps it in that precision")]
    value.map_or_else(String::new, |value| format!("{}", value as f32 + 0.0))
}

/// One decimal: no locator is finer.
fn rounded(value: Option<f64>) -> String {
    value.map_or_else(String::new, |value| format!("{value:.1}"))
}
