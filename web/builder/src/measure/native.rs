//! Reading and comparing natively.

use anyhow::{Context as _, Result, ensure};
use farheard_speed::{TwoSenders, spots_of};

use super::clock::{in_turn, timed};
use super::figure::{Beside, Figure, Unit, grouped};
use super::goals;
use super::invented::SENDERS;
use super::typed_read::TypedRead;
use crate::random::Random;

pub(super) const PLACE: &str = "native";
pub(super) const READING: &str = "reading, one thread";

/// Reads a file of so many rows, beside what others do with the same bytes.
///
/// # Errors
/// If not every row becomes a spot, or a yardstick does not see every row.
pub(super) fn reading(text: &str, rows: usize, rounds: usize, typed_read: &TypedRead) -> Result<[Figure; 2]> {
    let table = spots_of(text);
    ensure!(table.len() == rows, "only {} of {rows} rows became spots", table.len());
    let bytes = table.bytes() as f64 / rows.max(1) as f64;
    drop(table);
    for (name, seen) in [("the CSV reader", csv_records(text)), ("the search for line ends", line_ends(text))] {
        // the headings are a line too
        ensure!(seen == rows + 1, "{name} saw {seen} lines in a file of {rows} rows");
    }
    let [own, csv, ends] = in_turn(
        rounds,
        [&mut || timed(|| spots_of(text)), &mut || timed(|| csv_records(text)), &mut || timed(|| line_ends(text))],
    );
    let of = format!("{} spots", grouped(rows));
    let mut reading = Figure::ms(READING, PLACE, of.clone(), own, rounds);
    reading.more = vec![("MB/s", text.len() as f64 / 1e3 / own), ("thousand spots/s", rows as f64 / own)];
    let is_large = rows >= goals::MILLION;
    reading.beside = vec![
        Beside::new("csv crate, records of bytes, nothing read from them", csv)
            .with_goal(is_large.then_some(goals::OF_CSV)),
        Beside::new("search for line ends (memchr), the limit", ends),
    ];
    reading.beside.extend(typed_read.beside(text, rows, rounds));
    let table = Figure { unit: Unit::BytesASpot, ..Figure::ms("memory of the table for a spot", PLACE, of, bytes, 1) };
    Ok([reading, Figure { goal: is_large.then_some(goals::BYTES_A_SPOT), ..table }])
}

/// A general-purpose CSV reader goes over all records; how many there are.
fn csv_records(text: &str) -> usize {
    let mut records = 0;
    let mut reader = csv::ReaderBuilder::new().has_headers(false).flexible(true).from_reader(text.as_bytes());
    let mut record = csv::ByteRecord::new();
    while reader.read_byte_record(&mut record).unwrap_or(false) {
        records += 1;
    }
    records
}

/// The least that any reader does.
fn line_ends(text: &str) -> usize {
    memchr::memchr_iter(b'\n', text.as_bytes()).count()
}

/// Compares the pairs of a file of two senders.
///
/// # Errors
/// If there is nothing to compare.
pub(super) fn comparing(text: &str, rounds: usize) -> Result<[Figure; 2]> {
    let senders = TwoSenders::new(spots_of(text), SENDERS).context("the invented rows have nothing to compare")?;
    let pairs = senders.pairs();
    let mut random = Random::new(11);
    let numbers: Vec<f64> = (0..pairs).map(|_| random.share()).collect();
    let sort = || {
        let mut sorted = numbers.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted
    };
    let [comparing, result, sorting] = in_turn(
        rounds,
        [&mut || timed(|| senders.comparison()), &mut || timed(|| senders.result()), &mut || timed(sort)],
    );
    Ok(compared(PLACE, pairs, [comparing, result], sorting, rounds))
}

/// The figures of a comparison: all of it, and its interval and result alone.
pub(super) fn compared(place: &'static str, pairs: usize, ms: [f64; 2], sorting_ms: f64, rounds: usize) -> [Figure; 2] {
    let [comparing, result] = ms;
    [("comparing, every part", comparing), ("of that interval and result", result)].map(|(what, ms)| {
        let mut figure = Figure::ms(what, place, format!("{} pairs", grouped(pairs)), ms, rounds);
        figure.beside = vec![Beside::new("sorting as many numbers", sorting_ms)];
        figure
    })
}

#[cfg(test)]
mod tests {
    use super::super::invented::{invented, many_listeners};
    use super::*;

    #[test]
    fn every_invented_row_is_a_spot_and_every_yardstick_sees_it() {
        for rows in [1, 150, 1_000, 30_001] {
            let text = invented(rows);
            let seen = [spots_of(&text).len(), csv_records(&text) - 1, line_ends(&text) - 1];
            assert_eq!(seen, [rows; 3]);
        }
        assert_eq!(spots_of(&many_listeners(500)).len(), 1_500);
    }

    #[test]
    fn goals_stand_at_a_million_rows_only() {
        let library = TypedRead::missing("not asked for");
        let [reading, table] = reading(&invented(200), 200, 1, &library).unwrap();
        assert!(reading.beside.iter().all(|beside| beside.goal.is_none()) && table.goal.is_none());
        assert_eq!(reading.beside.len(), 4);
        assert!(table.value >= 39.0);
        // 200 rows in so many milliseconds are as many thousand spots a second
        assert!((reading.more[1].1 * reading.value - 200.0).abs() < 1e-6);
    }

    #[test]
    fn a_file_of_other_rows_is_refused() {
        let library = TypedRead::missing("not asked for");
        let twice = invented(2) + invented(2).split_once('\n').unwrap().1;
        let refused = reading(&twice, 4, 1, &library).unwrap_err().to_string();
        assert!(refused.contains("2 of 4 rows"), "{refused}");
    }
}
