//! Benchmarks: how long reading and comparing take, beside a yardstick measured in the same run on the same machine.
//!
//! Milliseconds differ from machine to machine; the ratio to the yardstick hardly does. Each figure is the median of five.
//!
//! - reading: N invented rows of delimited text into spots; the yardstick splits the same bytes into cells
//!   with a general-purpose CSV reader
//! - comparing: N pairs of spots, all parts of a comparison; the yardstick sorts as many numbers

use std::fmt::Write;
use std::hint::black_box;
use std::time::{Duration, Instant};

use farheard::import::{Wishes, read};
use farheard::model::{RowSet, Side, SpotTable, TableBuilder};
use farheard::study::Subject;
use farheard::study::compare::{self, Comparison, Settings, compare};
use farheard::study::runs::Run;
use farheard::time::UtcTime;

use crate::options::{Form, MeasureOptions};
use crate::random::Random;
use crate::terminal::say;

const ROUNDS: usize = 5;
const LISTENERS: usize = 150;
const FREQUENCIES_MHZ: [&str; 3] = ["7.040100", "10.140200", "14.097100"];
const SENDERS: [&str; 2] = ["Q7TST", "Q7TST/2"];
/// 2031-04-27T00:00Z.
const START_S: i64 = 1_935_100_800;

/// One benchmark.
#[derive(Clone, Copy, Debug)]
struct Measured {
    /// Rows read or pairs compared.
    size: usize,
    ours: Duration,
    yardstick: Duration,
}

impl Measured {
    fn ratio(self) -> f64 {
        self.ours.as_secs_f64() / self.yardstick.as_secs_f64().max(1e-9)
    }

    fn json(self) -> serde_json::Value {
        serde_json::json!({
            "size": self.size,
            "ms": milliseconds(self.ours),
            "yardstick_ms": milliseconds(self.yardstick),
            "ratio": self.ratio(),
        })
    }
}

fn milliseconds(duration: Duration) -> f64 {
    1000.0 * duration.as_secs_f64()
}

/// Measures and prints the figures.
pub(crate) fn report(options: &MeasureOptions) {
    let text = invented(options.rows);
    let reading = measure_reading(&text);
    // two rows make a pair
    let comparing = measure_comparing(&invented(2 * options.rows));
    let text = match options.form {
        Form::Json => {
            let document = serde_json::json!({
                "rows": options.rows,
                "rounds": ROUNDS,
                "reading": reading.json(),
                "comparing": comparing.json(),
            });
            format!("{document:#}")
        }
        Form::Text => table(reading, comparing),
    };
    say(text.trim_end());
}

fn table(reading: Measured, comparing: Measured) -> String {
    let mut out = String::from("what                            time      yardstick  ratio\n");
    for (name, unit, measured) in [("reading", "rows", reading), ("comparing", "pairs", comparing)] {
        let what = format!("{name} {} {unit}", measured.size);
        let line = writeln!(
            out,
            "{what:<28} {:>8.1} ms {:>8.1} ms {:>6.2}",
            milliseconds(measured.ours),
            milliseconds(measured.yardstick),
            measured.ratio()
        );
        debug_assert!(line.is_ok());
    }
    out += "Yardsticks: splitting the same rows with a general-purpose CSV reader; sorting as many numbers.\n";
    out
}

/// A file of so many rows: two senders in the same slots, each heard by every listener.
fn invented(rows: usize) -> String {
    let mut random = Random::new(7);
    let mut text = String::from("time,tx call,tx grid,rx call,rx grid,frequency (MHz),SNR,drift,power (dBm)\n");
    for at in 0..rows {
        let (sender, listener, slot) = (at % 2, at / 2 % LISTENERS, at / 2 / LISTENERS);
        let seconds = START_S + 120 * i64::try_from(slot).unwrap_or(0);
        let time = UtcTime::from_unix_s(seconds).map_or_else(String::new, UtcTime::iso);
        let snr = -22.0 + (listener % 17) as f64 + 2.0 * sender as f64 + random.normal(3.0);
        let letter = |n: usize| char::from(b'A' + u8::try_from(n % 18).unwrap_or(0));
        let line = writeln!(
            text,
            "{time},{},JN99fl,Q{}{}{},{}{}{}{},{},{:.0},0,23",
            SENDERS[sender],
            listener % 10,
            letter(listener / 10),
            letter(listener),
            letter(listener * 7),
            letter(listener * 5),
            listener % 10,
            listener / 3 % 10,
            FREQUENCIES_MHZ[slot % FREQUENCIES_MHZ.len()],
            snr.max(-29.0),
        );
        debug_assert!(line.is_ok());
    }
    text
}

/// The median time of five rounds.
fn median_time<T>(mut work: impl FnMut() -> T) -> Duration {
    let mut times = [Duration::ZERO; ROUNDS];
    for time in &mut times {
        let start = Instant::now();
        black_box(work());
        *time = start.elapsed();
    }
    times.sort_unstable();
    times[ROUNDS / 2]
}

fn spots_of(text: &str) -> SpotTable {
    let mut builder = TableBuilder::new();
    black_box(read("invented.csv", text.as_bytes(), &Wishes::default(), &mut builder));
    builder.freeze()
}

fn measure_reading(text: &str) -> Measured {
    let size = spots_of(text).len();
    let ours = median_time(|| spots_of(text));
    let yardstick = median_time(|| {
        let mut cells = 0;
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(text.as_bytes());
        let mut record = csv::ByteRecord::new();
        while reader.read_byte_record(&mut record).unwrap_or(false) {
            cells += record.len();
        }
        cells
    });
    Measured { size, ours, yardstick }
}

/// The comparison of the two senders; `None` where there is nothing to compare.
fn comparison(table: &SpotTable) -> Option<Comparison> {
    let calls: Vec<_> = SENDERS.iter().filter_map(|call| table.stations().find_call(call)).collect();
    let [a, b] = calls[..] else { return None };
    let subject = Subject::new(table, &calls, Side::Sends, None);
    let of = |call| RowSet::where_(table.len(), |row| table.stations().call_of(table.tx(row)) == call);
    let (run, rows_a, rows_b) = (Run::default(), of(a), of(b));
    let side = |rows| compare::Side { run: &run, rows };
    compare(&subject, side(&rows_a), side(&rows_b), None, Settings::default())
}

fn measure_comparing(text: &str) -> Measured {
    let table = spots_of(text);
    let size = comparison(&table).map_or(0, |found| found.all.pairs);
    let ours = median_time(|| comparison(&table));
    let mut random = Random::new(11);
    let numbers: Vec<f64> = (0..size).map(|_| random.share()).collect();
    let yardstick = median_time(|| {
        let mut sorted = numbers.clone();
        sorted.sort_unstable_by(f64::total_cmp);
        sorted
    });
    Measured { size, ours, yardstick }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn as_many_rows_are_read_and_pairs_compared_as_are_asked_for() {
        let text = invented(3000);
        assert_eq!(spots_of(&text).len(), 3000, "all rows are spots");
        let found = comparison(&spots_of(&text)).unwrap();
        assert_eq!(found.all.pairs, 1500);
        assert_eq!(found.design, compare::Design::Interleaved);
        let by = found.all.difference_db.unwrap();
        assert!((by - 2.0).abs() < 1.0, "{by}");
    }

    #[test]
    fn figures_stand_beside_their_yardstick() {
        let ms = Duration::from_millis;
        let measured = Measured { size: 1500, ours: ms(30), yardstick: ms(10) };
        assert!((measured.ratio() - 3.0).abs() < 1e-9);
        assert!(table(measured, measured).contains("comparing 1500 pairs             30.0 ms     10.0 ms   3.00"));
        assert_eq!(measured.json()["ms"], 30.0);
    }
}
