//! Reading and comparing natively.

use std::time::Duration;

use anyhow::{Context as _, Result, anyhow, ensure};
use farheard::import::{FileError, Sieve, Wanted};
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

/// Bytes of an archive, about.
pub(super) const ARCHIVE_BYTES: usize = 5_000_000_000;
/// What comes from a disk at once.
const PIECE: usize = 1 << 20;

/// Cuts down an archive of about so many bytes, made on the fly of the same rows in other years, to one listener; beside
/// reading as many bytes whole, which took `whole_ms` for the text. How long that takes, and how much memory it needs.
///
/// # Errors
/// If it is refused, or keeps other rows than it should.
pub(super) fn archive(text: &str, whole_ms: f64, bytes: usize) -> Result<[Figure; 2]> {
    let (head, rows) = text.split_once('\n').context("a text of rows")?;
    let listener = rows.split(',').nth(3).context("a row with a listener")?;
    let copies = bytes.div_ceil(rows.len());
    let own = rows.lines().filter(|row| row.split(',').nth(3) == Some(listener)).count();
    let mut sieve = Sieve::new(Wanted { calls: vec![listener.to_owned()], ..Wanted::default() });
    let refused = |fault: FileError| anyhow!("{}", fault.text);
    sieve.push(format!("{head}\n").as_bytes()).map_err(refused)?;
    let (mut took, mut most, before) = (Duration::ZERO, 0.0_f64, memory_mb());
    for copy in 0..copies {
        let rows = rows.replace("2031-", &format!("{}-", 1971 + copy % 130));
        let mut pushed = Ok(());
        took += timed(|| {
            for piece in rows.as_bytes().chunks(PIECE) {
                if pushed.is_ok() {
                    pushed = sieve.push(piece);
                }
            }
        });
        pushed.map_err(refused)?;
        most = most.max(memory_mb().zip(before).map_or(f64::NAN, |(now, before)| now - before));
    }
    let mut kept = None;
    took += timed(|| kept = Some(sieve.finish()));
    let ms = 1e3 * took.as_secs_f64();
    let kept = kept.context("the end of the archive")?.map_err(refused)?.kept;
    ensure!(kept == (own * copies) as u64, "{kept} rows were kept, {} are of {listener}", own * copies);
    let of = format!("{:.1} GB", (copies * rows.len()) as f64 / 1e9);
    let mut time = Figure::ms("an archive, cut down to a station", PLACE, of.clone(), ms, 1);
    time.more = vec![("MB/s", (copies * rows.len()) as f64 / 1e3 / ms)];
    time.beside =
        vec![Beside::new("reading as many bytes whole", whole_ms * copies as f64).with_goal(Some(goals::ARCHIVE))];
    let memory = Figure { unit: Unit::Megabytes, ..Figure::ms("memory for that", PLACE, of, most, 1) };
    Ok([time, Figure { goal: Some(goals::ARCHIVE_MB), ..memory }])
}

/// The memory of this process, where the system tells (Linux).
fn memory_mb() -> Option<f64> {
    let status = std::fs::read_to_string("/proc/self/status").ok()?;
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"))?;
    Some(line.split_whitespace().next()?.parse::<f64>().ok()? / 1e3)
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
    fn an_archive_keeps_the_rows_of_its_listener() {
        let text = invented(3_000);
        let [time, memory] = archive(&text, 1.0, 3 * text.len()).unwrap();
        assert!(time.value > 0.0 && time.of == "0.0 GB" && memory.unit == Unit::Megabytes);
        assert!(archive("time,tx call", 1.0, 100).is_err());
    }

    #[test]
    fn a_file_of_other_rows_is_refused() {
        let library = TypedRead::missing("not asked for");
        let twice = invented(2) + invented(2).split_once('\n').unwrap().1;
        let refused = reading(&twice, 4, 1, &library).unwrap_err().to_string();
        assert!(refused.contains("2 of 4 rows"), "{refused}");
    }
}
