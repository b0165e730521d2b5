//! Benchmarks: how long reading and comparing take, beside a yardstick measured in the same run on the same machine.
//!
//! Milliseconds differ from machine to machine; the ratio to the yardstick hardly does. Each figure is the median of five.
//! Comparing is measured natively and, where there is a Chromium, in it, compiled with the page's own profile.
//!
//! - reading: N invented rows of delimited text into spots; the yardstick splits the same bytes into cells
//!   with a general-purpose CSV reader
//! - comparing: N pairs of spots, all parts of a comparison; the yardstick sorts as many numbers
//! - interval and result: of these N pairs the safe ones, estimate, interval and verdict; the same yardstick
//!
//! - the whole page: ready, full result of N rows, and how long zooming, panning, brushing and filtering take
//!
//! `invented` makes the files, `browser` measures the core in a page, `whole_page` the page.

mod browser;
mod invented;
mod whole_page;

use std::fmt::Write;
use std::hint::black_box;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use farheard_speed::{TwoSenders, spots_of};

use crate::options::{Form, MeasureOptions};
use crate::project::Project;
use crate::random::Random;
use crate::terminal::{complain, say};
use invented::{SENDERS, invented};
use whole_page::Felt;

const ROUNDS: usize = 5;

/// One benchmark.
#[derive(Clone, Debug)]
struct Measured {
    what: &'static str,
    /// Where it ran.
    place: &'static str,
    /// What `size` counts.
    unit: &'static str,
    /// Rows read or pairs compared.
    size: usize,
    ms: f64,
    yardstick_ms: f64,
}

impl Measured {
    fn ratio(&self) -> f64 {
        self.ms / self.yardstick_ms.max(1e-6)
    }

    fn json(&self) -> serde_json::Value {
        serde_json::json!({
            "what": self.what,
            "place": self.place,
            "unit": self.unit,
            "size": self.size,
            "ms": self.ms,
            "yardstick_ms": self.yardstick_ms,
            "ratio": self.ratio(),
        })
    }
}

/// Measures and prints the figures.
///
/// # Errors
/// If there is nothing to compare, or the page for the browser cannot be made.
pub(crate) fn report(options: &MeasureOptions) -> Result<()> {
    let mut all = vec![measure_reading(&invented(options.rows))];
    // two rows make a pair
    let text = invented(2 * options.rows);
    all.extend(measure_comparing(&text)?);
    let mut felt = Vec::new();
    match browser::find() {
        Some(program) => {
            let project = Project::find()?;
            all.extend(browser::measure_comparing(&project, &program, &text)?);
            felt = whole_page::measure(&project, &program, options.rows)?;
        }
        None => complain("No Chromium was found, so nothing was measured in a browser; CHROMIUM=/path names one."),
    }
    let text = match options.form {
        Form::Json => {
            let measured: Vec<_> = all.iter().map(Measured::json).collect();
            format!(
                "{:#}",
                serde_json::json!({
                    "rows": options.rows, "rounds": ROUNDS, "measured": measured,
                    "page": felt.iter().flat_map(|felt| felt.figures.iter().map(|(what, ms)| serde_json::json!({
                        "file": felt.file, "what": what, "ms": ms,
                    }))).collect::<Vec<_>>(),
                })
            )
        }
        Form::Text => table(&all) + &felt_table(&felt, options.rows),
    };
    say(text.trim_end());
    Ok(())
}

fn table(all: &[Measured]) -> String {
    let mut out = format!("{:<42} {:<9} {:>11} {:>11}  ratio\n", "what", "where", "time", "yardstick");
    for measured in all {
        let what = format!("{} {} {}", measured.what, measured.size, measured.unit);
        let (place, ms, yardstick) = (measured.place, measured.ms, measured.yardstick_ms);
        let line = writeln!(out, "{what:<42} {place:<9} {ms:>8.1} ms {yardstick:>8.1} ms {:>6.2}", measured.ratio());
        debug_assert!(line.is_ok());
    }
    out += "Yardsticks: splitting the same rows with a general-purpose CSV reader; sorting as many numbers.\n";
    out
}

/// What is felt of the page.
fn felt_table(felt: &[Felt], rows: usize) -> String {
    let mut out = String::new();
    for of_file in felt {
        let file = if of_file.file == "rows" { format!("{rows} rows") } else { of_file.file.to_owned() };
        for (what, ms) in &of_file.figures {
            let what = format!("{file}: {what}");
            let ms = ms.map_or_else(|| "-".to_owned(), |ms| format!("{ms:.1} ms"));
            let line = writeln!(out, "{what:<52} {ms:>11}");
            debug_assert!(line.is_ok());
        }
    }
    if !out.is_empty() {
        out.insert_str(0, "\nThe whole page in Chromium, once, 95th percentiles. Frames: from one frame of the page to the next, the hand \
             moving in each.\nAnswered: until what the hand asked for is in place.\n");
    }
    out
}

/// The median time of five rounds in milliseconds.
fn median_ms<T>(mut work: impl FnMut() -> T) -> f64 {
    let mut times = [Duration::ZERO; ROUNDS];
    for time in &mut times {
        let start = Instant::now();
        black_box(work());
        *time = start.elapsed();
    }
    times.sort_unstable();
    1000.0 * times[ROUNDS / 2].as_secs_f64()
}

fn measure_reading(text: &str) -> Measured {
    let size = spots_of(text).len();
    let ms = median_ms(|| spots_of(text));
    let yardstick_ms = median_ms(|| {
        let mut cells = 0;
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        let mut record = csv::ByteRecord::new();
        while reader.read_byte_record(&mut record).unwrap_or(false) {
            cells += record.len();
        }
        cells
    });
    Measured { what: "reading", place: "native", unit: "rows", size, ms, yardstick_ms }
}

fn measure_comparing(text: &str) -> Result<[Measured; 2]> {
    let senders = TwoSenders::new(spots_of(text), SENDERS).context("the invented rows have nothing to compare")?;
    let size = senders.pairs();
    let mut random = Random::new(11);
    let numbers: Vec<f64> = (0..size).map(|_| random.share()).collect();
    let yardstick_ms = median_ms(|| {
        let mut sorted = numbers.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted
    });
    let row = |what, ms| Measured { what, place: "native", unit: "pairs", size, ms, yardstick_ms };
    Ok([
        row("comparing", median_ms(|| senders.comparison())),
        row("interval and result of", median_ms(|| senders.result())),
    ])
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_rows_are_read_and_pairs_compared_as_are_asked_for() {
        let text = invented(3000);
        assert_eq!(spots_of(&text).len(), 3000, "all rows are spots");
        let senders = TwoSenders::new(spots_of(&text), SENDERS).unwrap();
        assert_eq!(senders.pairs(), 1500);
        let found = senders.comparison().unwrap();
        assert_eq!(found.all, senders.result(), "both ways give the same result");
        let by = found.all.difference_db.unwrap();
        assert!((by - 2.0).abs() < 1.0, "{by}");
    }

    #[test]
    fn figures_stand_beside_their_yardstick() {
        let measured =
            Measured { what: "comparing", place: "native", unit: "pairs", size: 1500, ms: 30.0, yardstick_ms: 10.0 };
        assert!((measured.ratio() - 3.0).abs() < 1e-9);
        let table = table(std::slice::from_ref(&measured));
        assert!(table.contains("comparing 1500 pairs") && table.contains("30.0 ms     10.0 ms   3.00"), "{table}");
        assert_eq!(measured.json()["ms"], 30.0);
    }
}
