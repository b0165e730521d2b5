//! What leaves as CSV and as ADIF comes back the same: for made-up tables, for every hard input, and for cells that a
//! spreadsheet would run. Form of CSV: RFC 4180 (October 2005), section 2, read by the csv crate as an independent reader.

#![expect(clippy::disallowed_methods, reason = "samples are files")]
#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

use std::path::PathBuf;

use farheard::geography::{Locator, Position};
use farheard::import::{self, NoteKind, Reading, Wishes};
use farheard::model::{Added, Band, Side, Spot, SpotTable, TableBuilder};
use farheard::share::{Leaving, Privacy, Source, adif, csv as export};
use farheard::study::{Subject, tested};
use farheard::time::UtcTime;
use proptest::prelude::*;

/// All rows of a table.
fn leaving(table: &SpotTable, source: Source) -> Leaving<'_> {
    let (calls, side) = match tested::guess(table, None) {
        Some(guess) => (vec![guess.tested.call], guess.tested.side),
        None => (Vec::new(), Side::Sends),
    };
    let subject = Subject::new(table, &calls, side, None);
    Privacy::default().apply(&subject, (0..).take(table.len()).collect(), source, Vec::new())
}

/// The same as CSV.
fn export(table: &SpotTable, source: Source) -> String {
    String::from_utf8(export::spots(&leaving(table, source))).unwrap()
}

fn read(name: &str, bytes: &[u8]) -> (SpotTable, Vec<Reading>) {
    let mut builder = TableBuilder::new();
    let readings = import::read(name, bytes, &Wishes::default(), &mut builder);
    (builder.freeze(), readings)
}

/// Everything of a spot that the export holds, but file and line.
fn spots(table: &SpotTable) -> Vec<String> {
    let stations = table.stations();
    let station =
        |id| format!("{} {:?}", stations.call(stations.call_of(id)), stations.locator(id).map(|l| l.to_string()));
    (0..table.len())
        .map(|row| {
            let numbers = (table.freq_hz(row), table.snr_db(row), table.drift_hz_min(row), table.power_dbm(row));
            let (tx, rx) = (station(table.tx(row)), station(table.rx(row)));
            format!("{} {tx} {rx} {} {numbers:?}", table.time(row).iso(), table.band(row).name())
        })
        .collect()
}

/// Cells that are neither numbers of ours nor safe text.
fn dangerous(csv: &str) -> Vec<String> {
    let mut reader = csv::ReaderBuilder::new().from_reader(csv.as_bytes());
    let records: Vec<_> = reader.records().map(|record| record.unwrap()).collect();
    let cells = records.iter().flat_map(|record| record.iter());
    cells
        .filter(|cell| cell.starts_with(['=', '+', '-', '@', '\t', '\r']) && cell.parse::<f64>().is_err())
        .map(str::to_owned)
        .collect()
}

/// The law: exported and read again, the same spots, with nothing set aside and nothing to be dropped.
fn comes_back(name: &str, table: &SpotTable) {
    let csv = export(table, Source::Files);
    let (again, readings) = read("spots.csv", csv.as_bytes());
    let told: Vec<_> = readings[0].roles().zip(readings[0].columns.iter().map(|column| &column.header)).collect();
    assert_eq!(spots(&again), spots(table), "{name}: {told:?}\n{csv}");
    assert!(readings[0].set_aside.is_empty() && readings[0].duplicates == 0, "{name}: {:?}", readings[0].set_aside);
    assert!(readings[0].note(NoteKind::UtcAssumed).is_none(), "{name}: the zone is in the cells");
    assert!(dangerous(&csv).is_empty(), "{name}: {:?}", dangerous(&csv));
    let adif = adif::spots(&leaving(table, Source::Files));
    let (again, readings) = read("spots.adi", &adif);
    let adif = String::from_utf8(adif).unwrap();
    assert_eq!(spots(&again), spots(table), "{name}: {:?}\n{adif}", readings[0]);
    assert!(readings[0].set_aside.is_empty() && readings[0].duplicates == 0, "{name}: {:?}", readings[0].set_aside);
    let amiss: Vec<_> = readings[0].notes.iter().filter(|note| note.kind != NoteKind::LocatorMissing).collect();
    assert!(amiss.is_empty(), "{name}: {amiss:?}");
    adif_is_whole(&adif);
}

/// Names of fields with their types, from the table of fields of ADIF 3.1.7 (adif.org; from memory), as far as written.
const ADIF_FIELDS: [&str; 17] = [
    "CALL",
    "STATION_CALLSIGN",
    "QSO_DATE",
    "TIME_ON",
    "BAND",
    "FREQ",
    "MODE",
    "GRIDSQUARE",
    "GRIDSQUARE_EXT",
    "MY_GRIDSQUARE",
    "MY_GRIDSQUARE_EXT",
    "RST_SENT",
    "RX_PWR",
    "SWL",
    "APP_FARHEARD_SNR",
    "APP_FARHEARD_DRIFT",
    "COMMENT",
];

/// Takes a text apart by its lengths alone, as the description's section on data specifiers says: each is followed by so
/// many bytes, and between them stand blanks and line ends only.
fn adif_is_whole(text: &str) {
    assert!(text.is_ascii() && !text.starts_with('<'), "a header begins with other text (ADIF 3.1, ADI headers)");
    let (header, records) = text.split_once("<EOH>\n").unwrap();
    for said in ["<ADIF_VER:5>3.1.7 ", "<PROGRAMID:8>FARHEARD ", "<PROGRAMVERSION:"] {
        assert!(header.contains(said), "{header}");
    }
    let mut rest = records;
    while let Some((before, behind)) = rest.split_once('<') {
        assert_eq!(before.trim(), "");
        let (tag, behind) = behind.split_once('>').unwrap();
        rest = behind;
        let Some((name, length)) = tag.split_once(':') else {
            assert_eq!(tag, "EOR");
            continue;
        };
        assert!(ADIF_FIELDS.contains(&name), "{name}");
        let (value, behind) = rest.split_at(length.parse().unwrap());
        rest = behind;
        let number = |text: &str| text.bytes().all(|b| b.is_ascii_digit() || b == b'.' || b == b'-');
        match name {
            "QSO_DATE" => assert!(value.len() == 8 && number(value), "{value}"),
            "TIME_ON" => assert!(value.len() == 6 && number(value), "{value}"),
            // data type Number: digits, a point, a minus before them; no exponent
            "FREQ" | "RX_PWR" | "APP_FARHEARD_SNR" | "APP_FARHEARD_DRIFT" => {
                assert!(number(value) && value.parse::<f64>().unwrap().is_finite(), "{value}");
            }
            "MODE" => assert_eq!(value, "WSPR"),
            "SWL" => assert_eq!(value, "Y"),
            "GRIDSQUARE" | "MY_GRIDSQUARE" => assert!(matches!(value.len(), 2 | 4 | 6 | 8), "{value}"),
            "GRIDSQUARE_EXT" | "MY_GRIDSQUARE_EXT" => assert!(matches!(value.len(), 2 | 4), "{value}"),
            _ => assert!(!value.is_empty()),
        }
    }
    assert_eq!(rest.trim(), "");
}

/// Minute, numbers of both stations, their locators, frequency in Hz; SNR, drift and power.
type Told = (i64, [usize; 2], [Option<Locator>; 2], Option<f64>, [Option<f32>; 3]);

/// Spots as no file of a person has them all at once: every value may be missing, wherever the column is.
fn spot() -> impl Strategy<Value = Told> {
    let locator = prop::option::weighted(
        0.8,
        (-89.9..89.9_f64, -180.0..180.0_f64, 1_usize..=5).prop_map(|(lat_deg, lon_deg, pairs)| {
            Locator::of_position(Position { lat_deg, lon_deg }, 2 * pairs.max(2))
        }),
    );
    let hz = prop_oneof![
        Just(137_400.0),
        Just(13_553_900.0),
        Just(40_680_000.0),
        (0..4_000_000_u32).prop_map(|n| 14_000_000.0 + f64::from(n) / 10.0),
        (0..400_u32).prop_map(|n| 432_300_000.0 + f64::from(n)),
    ];
    let tenths = |most: i16| prop::option::weighted(0.8, (-most..most).prop_map(|n| f32::from(n) / 10.0));
    (
        631_152_000_i64..4_000_000_000,
        [0..CALLS.len(), 0..CALLS.len()],
        [locator.clone(), locator],
        prop::option::weighted(0.8, hz),
        [tenths(350), tenths(40), tenths(600)],
    )
}

const CALLS: [&str; 8] = ["Q1ABC", "Q2RS", "Q3XY/P", "Q2/Q4OP", "Q5BCD-1", "Q100WXYZ", "QRP7E", "Q1E"];

fn table_of(name: &str, spots: Vec<Told>) -> SpotTable {
    let mut builder = TableBuilder::new();
    builder.begin_file(name);
    for (line, (seconds, calls, locators, freq_hz, [snr, drift, power])) in (1..).zip(spots) {
        let tx = builder.station(CALLS[calls[0]], locators[0]);
        let rx = builder.station(CALLS[calls[1]], locators[1]);
        let spot = Spot {
            time: UtcTime::from_unix_s(seconds).unwrap(),
            tx,
            rx,
            freq_hz,
            // a band without frequency is what a band column gives
            band: freq_hz.map_or(Band::from_name("20m").unwrap(), |hz| match hz {
                40_680_000.0 => Band::OTHER,
                hz => Band::of_hz(hz),
            }),
            snr_db: snr.map(f64::from),
            drift_hz_min: drift.map(f64::from),
            power_dbm: power.map(f64::from),
            line,
        };
        assert!(matches!(builder.push(spot), Added::Kept | Added::Repeated));
    }
    builder.freeze()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 400, max_shrink_iters: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_table_comes_back(rows in prop::collection::vec(spot(), 1..25), name in "[a-z=+@,;\"\n -]{0,12}") {
        comes_back(&name, &table_of(&name, rows));
    }
}

#[test]
fn every_readable_hard_input_comes_back() {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/hard-inputs");
    let mut names: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    let mut readable = 0;
    for path in names {
        let (table, _) = read("original", &std::fs::read(&path).unwrap());
        if !table.is_empty() {
            readable += 1;
            comes_back(&path.display().to_string(), &table);
        }
    }
    assert!(readable >= 55, "only {readable} files gave spots");
}

#[test]
fn heads_tell_quantity_and_unit_and_missing_cells_are_empty() {
    let text = "time UTC,sender,sender locator,listener,listener locator,frequency MHz,SNR dB,power dBm\n\
                2031-04-27 12:00,Q1ABC,JO22ob,Q8STU,BL11bh,14.0971,-21,23\n\
                2031-04-27 12:02,Q1ABC,JO22ob,Q9VW,,,,\n";
    let (table, _) = read("=evil.csv", text.as_bytes());
    let csv = export(&table, Source::Files);
    let lines: Vec<&str> = csv.split("\r\n").collect();
    assert_eq!(
        lines[0],
        "time UTC,band,frequency Hz,sender,sender locator,listener,listener locator,SNR dB,drift Hz/min,power dBm,\
         distance km,bearing deg,file,line"
    );
    let path = farheard::geography::Geodesic::wgs84()
        .path(Locator::parse("JO22ob").unwrap().centre(), Locator::parse("BL11bh").unwrap().centre());
    let (km, deg) = (path.distance_km, path.bearing_deg.unwrap());
    assert_eq!(
        lines[1],
        format!("2031-04-27T12:00:00Z,20m,14097100,Q1ABC,JO22ob,Q8STU,BL11bh,-21,,23,{km:.1},{deg:.1},'=evil.csv,2")
    );
    assert_eq!(lines[2], "2031-04-27T12:02:00Z,,,Q1ABC,JO22ob,Q9VW,,,,,,,'=evil.csv,3");
    assert_eq!(lines[3..], [""]);
}

#[test]
fn the_sample_says_so_in_every_row_and_comes_back_all_the_same() {
    let sample = include_bytes!("../../sample-files/two-antennas-two-days.csv");
    let (table, _) = read("two-antennas-two-days.csv", sample);
    let csv = export(&table, Source::Sample);
    assert_eq!(csv.lines().skip(1).filter(|line| line.contains(",SAMPLE two-antennas")).count(), table.len());
    assert_eq!(spots(&read("x", csv.as_bytes()).0), spots(&table));
    let adif = String::from_utf8(adif::spots(&leaving(&table, Source::Sample))).unwrap();
    assert!(adif.starts_with("SAMPLE, made up."));
    assert_eq!(adif.matches("<COMMENT:15>SAMPLE, made up <EOR>").count(), table.len());
    assert_eq!(spots(&read("x", adif.as_bytes()).0), spots(&table));
    adif_is_whole(&adif);
}
