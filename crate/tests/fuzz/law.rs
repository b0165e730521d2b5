//! What must hold of every reading.

use farheard::import::{self, Reading, Wishes};
use farheard::model::{Band, Side, SpotTable, TableBuilder};
use farheard::share::{Privacy, Source, adif, csv};
use farheard::study::Subject;

use super::chance::Chance;

fn read(bytes: &[u8], wishes: &Wishes) -> (SpotTable, Vec<Reading>) {
    let mut builder = TableBuilder::new();
    let readings = import::read("broken", bytes, wishes, &mut builder);
    (builder.freeze(), readings)
}

pub(crate) fn hold(bytes: &[u8], wishes: &Wishes, chance: &mut Chance) {
    let (table, readings) = read(bytes, wishes);
    assert!(!readings.is_empty(), "every file gets its account");
    let lines = bytes.len() as u64 * 1200 + 1;
    for reading in &readings {
        let parts = reading.spots + reading.duplicates + reading.set_aside.len() as u64;
        assert_eq!(reading.rows, parts, "rows add up");
        assert!(reading.rows <= lines, "more rows than the bytes can hold");
        assert!(reading.error.is_none() || reading.spots == 0, "an error and spots");
        assert!(reading.error.is_some() || reading.spots + reading.duplicates > 0, "neither spots nor a reason");
        assert!((0.0..=1.0).contains(&reading.score), "score {}", reading.score);
        for aside in &reading.set_aside {
            assert!(aside.line > 0 && !aside.text.is_empty(), "{aside:?}");
            assert!(!aside.text.chars().any(char::is_control), "{aside:?}");
        }
        for note in &reading.notes {
            assert!(!note.text.is_empty() && !note.text.chars().any(char::is_control), "{note:?}");
        }
        for column in &reading.columns {
            assert!(column.fitting <= column.filled && column.filled <= reading.rows, "{column:?}");
        }
    }
    assert_eq!(table.len() as u64, readings.iter().map(|reading| reading.spots).sum::<u64>(), "spots are in the table");
    for row in 0..table.len() {
        row_is_sane(&table, row);
    }
    // hertz where megahertz were meant, by a wish: no reader believes a frequency below every band
    let believable = (0..table.len()).all(|row| table.freq_hz(row).is_none_or(|hz| hz > 1e5));
    if chance.one_in(8) && !table.is_empty() && believable {
        comes_back(&table);
    }
    if chance.one_in(16) {
        let (again, _) = read(bytes, wishes);
        assert_eq!(texts(&table), texts(&again), "read twice, read the same");
        serde_json::to_string(&readings).unwrap();
    }
}

/// What is exported and read again is the same.
fn comes_back(table: &SpotTable) {
    let subject = Subject::new(table, &[], Side::Sends, None);
    let rows = (0..).take(table.len()).collect();
    let leaving = Privacy::default().apply(&subject, rows, Source::Files, Vec::new());
    let (again, _) = read(&csv::spots(&leaving), &Wishes::default());
    let (before, after) = (values(table), values(&again));
    let differs = before.iter().zip(&after).find(|(before, after)| before != after);
    assert!(
        before.len() == after.len() && differs.is_none(),
        "{} spots exported, {} read again; {differs:?}",
        before.len(),
        after.len()
    );
    let (again, _) = read(&adif::spots(&leaving), &Wishes::default());
    assert_eq!(table.len(), again.len(), "spots in ADIF: {:?} became {:?}", values(table), values(&again));
    for row in 0..table.len() {
        assert!(alike(table, &again, row), "in ADIF: {} was {}", values(&again)[row], values(table)[row]);
    }
}

/// Is a spot the same after it went through ADIF? That has thousandths of a hertz and powers in watts; a frequency
/// outside all bands may be read as a slip of kHz for MHz.
fn alike(before: &SpotTable, after: &SpotTable, row: usize) -> bool {
    let place = |table: &SpotTable| {
        let stations = table.stations();
        let station = |id| (stations.call(stations.call_of(id)).to_owned(), stations.locator(id));
        (table.time(row), station(table.tx(row)), station(table.rx(row)), table.snr_db(row), table.drift_hz_min(row))
    };
    let close = |a: Option<f64>, b: Option<f64>, by: f64| match (a, b) {
        (Some(a), Some(b)) => (a - b).abs() <= by,
        (a, b) => a == b,
    };
    let odd = [Band::OTHER, Band::UNKNOWN].contains(&before.band(row));
    let frequency = before.band(row) == after.band(row) && close(before.freq_hz(row), after.freq_hz(row), 0.001);
    place(before) == place(after) && close(before.power_dbm(row), after.power_dbm(row), 0.001) && (odd || frequency)
}

fn values(table: &SpotTable) -> Vec<String> {
    let stations = table.stations();
    let station = |id| (stations.call(stations.call_of(id)), stations.locator(id));
    (0..table.len())
        .map(|row| {
            let numbers = (table.freq_hz(row), table.snr_db(row), table.drift_hz_min(row), table.power_dbm(row));
            let ends = (station(table.tx(row)), station(table.rx(row)));
            format!("{} {ends:?} {} {numbers:?}", table.time(row).iso(), table.band(row).name())
        })
        .collect()
}

fn row_is_sane(table: &SpotTable, row: usize) {
    let stations = table.stations();
    for station in [table.tx(row), table.rx(row)] {
        let call = stations.call(stations.call_of(station));
        let letters = call.chars().all(|c| c.is_ascii_uppercase() || c.is_ascii_digit() || matches!(c, '/' | '-'));
        assert!(!call.is_empty() && letters, "the call {call:?}");
        assert!(call.chars().any(|c| c.is_ascii_digit()) && call.chars().any(|c| c.is_ascii_uppercase()), "{call:?}");
    }
    let sane = |value: Option<f64>, most: f64| value.is_none_or(|value| value.is_finite() && value.abs() <= most);
    assert!(sane(table.freq_hz(row), 7.5e12), "frequency {:?}", table.freq_hz(row));
    assert!(sane(table.snr_db(row), 1000.0), "level {:?}", table.snr_db(row));
    assert!(sane(table.drift_hz_min(row), 1e9), "drift {:?}", table.drift_hz_min(row));
    assert!(sane(table.power_dbm(row), 90.0), "power {:?}", table.power_dbm(row));
    let year = table.time(row).iso();
    assert!(("1970".."2200").contains(&year.as_str()), "the time {year}");
}

fn texts(table: &SpotTable) -> Vec<String> {
    (0..table.len())
        .map(|row| {
            let numbers = (table.freq_hz(row), table.snr_db(row), table.drift_hz_min(row), table.power_dbm(row));
            format!("{} {:?} {:?} {} {numbers:?}", table.time(row).iso(), table.tx(row), table.rx(row), table.line(row))
        })
        .collect()
}
