//! Laws of reading: what must hold for every file, whatever is in it.
//!
//! Tables are generated, written in many ways and read back: delimiter, line ends, encoding, byte order mark, quoting,
//! order of columns, language of the header, file name and packing must not change the spots. Any bytes at all must
//! give an account that adds up.

#![expect(clippy::disallowed_methods, reason = "samples are files")]
#![expect(clippy::unwrap_used, reason = "in a test a panic is the answer")]

use std::fmt::Write as _;
use std::io::Write as _;
use std::path::PathBuf;

use farheard::import::{self, Container, HeaderWish, NoteKind, Reading, Role, Wishes};
use farheard::model::TableBuilder;
use farheard::share::readout::{Input, Readout, Request};
use proptest::prelude::*;

/// One spot in values, as a row of text holds it.
#[derive(Clone, Debug, PartialEq)]
struct Line {
    minute: u32,
    tx: usize,
    rx: usize,
    hz: u32,
    snr: i32,
    drift: i32,
    dbm: i32,
}

/// Made-up stations: no call that begins with Q is ever issued.
const STATIONS: [(&str, &str); 8] = [
    ("Q1ABC", "JO22ob"),
    ("Q2RS", "EM12kp"),
    ("Q3XY/P", "CM87xj"),
    ("Q4OP", "QF22lm"),
    ("Q5BCD", "GG66qk"),
    ("Q8STU", "BL11bh"),
    ("Q5AA", "KG33xi"),
    ("Q9XYZ", "IM76hh"),
];

/// Rows of a table: senders are the first stations, listeners the last, so that the file can be told without header.
fn lines() -> impl Strategy<Value = Vec<Line>> {
    let line = (0_u32..1000, 0_usize..5, 5_usize..8, 0_u32..3, 0_u32..200, -30_i32..8, -2_i32..3, 0_usize..4);
    let line = line.prop_map(|(minute, tx, rx, band, offset, snr, drift, dbm)| Line {
        minute: minute * 2,
        tx,
        rx,
        hz: [7_040_000, 10_140_100, 14_097_000][band as usize] + offset,
        snr,
        drift,
        dbm: [20, 23, 30, 37][dbm],
    });
    prop::collection::vec(line, 8..30)
}

/// How a table is written.
#[derive(Clone, Debug)]
struct Style {
    delimiter: char,
    line_end: &'static str,
    encoding: &'static str,
    mark: bool,
    quotes: bool,
    order: Vec<usize>,
    language: usize,
    padding: &'static str,
}

/// Header words: time, tx, tx locator, frequency, SNR, drift, power, rx, rx locator.
const HEADERS: [[&str; 9]; 7] = [
    [
        "time UTC",
        "transmitter",
        "transmitter locator",
        "frequency MHz",
        "SNR dB",
        "drift",
        "power dBm",
        "receiver",
        "receiver locator",
    ],
    [
        "Zeit UTC",
        "Sender",
        "Locator Sender",
        "Frequenz MHz",
        "Rauschabstand dB",
        "Drift",
        "Leistung dBm",
        "Empfänger",
        "Locator Empfänger",
    ],
    [
        "heure UTC",
        "émetteur",
        "locator émetteur",
        "fréquence MHz",
        "rapport signal/bruit dB",
        "dérive",
        "puissance dBm",
        "récepteur",
        "locator récepteur",
    ],
    [
        "hora UTC",
        "transmisor",
        "locator transmisor",
        "frecuencia MHz",
        "señal/ruido dB",
        "deriva",
        "potencia dBm",
        "receptor",
        "locator receptor",
    ],
    [
        "ora UTC",
        "trasmettitore",
        "locatore trasmettitore",
        "frequenza MHz",
        "segnale/rumore dB",
        "deriva",
        "potenza dBm",
        "ricevitore",
        "locatore ricevitore",
    ],
    [
        "tijd UTC",
        "zender",
        "locator zender",
        "frequentie MHz",
        "ruisverhouding dB",
        "drift",
        "vermogen dBm",
        "ontvanger",
        "locator ontvanger",
    ],
    [
        "tid UTC",
        "sändare",
        "lokator sändare",
        "frekvens MHz",
        "signal/brus dB",
        "drift",
        "effekt dBm",
        "mottagare",
        "lokator mottagare",
    ],
];

fn style() -> impl Strategy<Value = Style> {
    (
        prop::sample::select(vec![',', ';', '\t', '|']),
        prop::sample::select(vec!["\n", "\r\n", "\r"]),
        prop::sample::select(vec!["utf-8", "utf-16le", "utf-16be", "windows-1252"]),
        any::<bool>(),
        any::<bool>(),
        Just((0..9).collect::<Vec<usize>>()).prop_shuffle(),
        0..HEADERS.len(),
        prop::sample::select(vec!["", " ", "\u{a0}"]),
    )
        .prop_map(|(delimiter, line_end, encoding, mark, quotes, order, language, padding)| Style {
            delimiter,
            line_end,
            encoding,
            mark,
            quotes,
            order,
            language,
            padding,
        })
}

fn cells(line: &Line) -> [String; 9] {
    let (tx, rx) = (STATIONS[line.tx], STATIONS[line.rx]);
    let (day, minute) = (1 + line.minute / 1440, line.minute % 1440);
    [
        format!("2031-04-{day:02} {:02}:{:02}", minute / 60, minute % 60),
        tx.0.to_owned(),
        tx.1.to_owned(),
        format!("{:.6}", f64::from(line.hz) / 1e6),
        line.snr.to_string(),
        line.drift.to_string(),
        line.dbm.to_string(),
        rx.0.to_owned(),
        rx.1.to_owned(),
    ]
}

fn write(lines: &[Line], style: &Style) -> Vec<u8> {
    let cell = |text: &str| {
        if style.quotes { format!("\"{text}\"") } else { format!("{}{text}{}", style.padding, style.padding) }
    };
    let row = |cells: &[String]| {
        let cells: Vec<String> = style.order.iter().map(|&at| cell(&cells[at])).collect();
        cells.join(&style.delimiter.to_string())
    };
    let mut text = row(&HEADERS[style.language].map(str::to_owned));
    text.push_str(style.line_end);
    for line in lines {
        text.push_str(&row(&cells(line)));
        text.push_str(style.line_end);
    }
    encode(&text, style.encoding, style.mark)
}

fn encode(text: &str, encoding: &str, mark: bool) -> Vec<u8> {
    let marked = if mark { format!("\u{feff}{text}") } else { text.to_owned() };
    match encoding {
        "utf-16le" => marked.encode_utf16().flat_map(u16::to_le_bytes).collect(),
        "utf-16be" => marked.encode_utf16().flat_map(u16::to_be_bytes).collect(),
        // windows-1252 agrees with the first 256 code points for the letters used here
        "windows-1252" => text.chars().map(|c| u8::try_from(u32::from(c)).unwrap()).collect(),
        _ => marked.into_bytes(),
    }
}

/// A table, and the same rows in another order.
fn shuffled() -> impl Strategy<Value = (Vec<Line>, Vec<Line>)> {
    lines().prop_flat_map(|lines| (Just(lines.clone()), Just(lines).prop_shuffle()))
}

/// Everything that is computed of a file: the readout without the account of how it was read.
fn results(bytes: &[u8]) -> serde_json::Value {
    let input = Input { name: "unknown".to_owned(), bytes: bytes.to_vec() };
    let readout = Readout::of(&[input], Request::default());
    let mut json: serde_json::Value = serde_json::from_str(&readout.json()).unwrap();
    assert!(json["bands"].is_array() && json["bearings"].is_array(), "{json}");
    json.as_object_mut().unwrap().remove("files");
    json
}

/// Reads bytes and gives the spots as text, with the readings.
fn spots_with(name: &str, bytes: &[u8], wishes: &Wishes) -> (Vec<String>, Vec<Reading>) {
    let mut builder = TableBuilder::new();
    let readings = import::read(name, bytes, wishes, &mut builder);
    let table = builder.freeze();
    let stations = table.stations();
    let spots = (0..table.len())
        .map(|row| {
            let mut text = table.time(row).iso();
            for station in [table.tx(row), table.rx(row)] {
                let locator = stations.locator(station).map_or_else(|| "-".to_owned(), |l| l.to_string());
                write!(text, " {} {locator}", stations.call(stations.call_of(station))).unwrap();
            }
            let numbers = (table.freq_hz(row), table.snr_db(row), table.drift_hz_min(row), table.power_dbm(row));
            write!(text, " {} {numbers:?}", table.band(row).name()).unwrap();
            text
        })
        .collect();
    (spots, readings)
}

fn spots(bytes: &[u8]) -> Vec<String> {
    spots_with("unknown", bytes, &Wishes::default()).0
}

/// What the lines are as spots, without reading anything.
fn right(lines: &[Line]) -> Vec<String> {
    let mut right: Vec<String> = Vec::new();
    for line in lines {
        let cells = cells(line);
        let band = ["40m", "30m", "20m"][usize::from(line.hz > 8_000_000) + usize::from(line.hz > 12_000_000)];
        let numbers = (
            Some(f64::from(line.hz)),
            Some(f64::from(line.snr)),
            Some(f64::from(line.drift)),
            Some(f64::from(line.dbm)),
        );
        let spot = format!(
            "{}:00Z {} {} {} {} {band} {numbers:?}",
            cells[0].replace(' ', "T"),
            cells[1],
            cells[2],
            cells[7],
            cells[8]
        );
        if !right.contains(&spot) {
            right.push(spot);
        }
    }
    right
}

/// The account of every reading adds up, and its texts are fit to show.
fn check_account(readings: &[Reading]) {
    assert!(!readings.is_empty());
    for reading in readings {
        assert_eq!(reading.rows, reading.spots + reading.duplicates + reading.set_aside.len() as u64);
        assert!(reading.error.is_none() || reading.spots == 0);
        for aside in &reading.set_aside {
            assert!(aside.line > 0 && !aside.text.is_empty() && !aside.text.chars().any(char::is_control));
        }
        for column in &reading.columns {
            assert!(column.fitting <= column.filled && column.filled <= reading.rows, "{column:?}");
        }
        serde_json::to_string(reading).unwrap();
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 160, max_shrink_iters: 200, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn writing_a_table_otherwise_changes_no_spot(lines in lines(), style in style()) {
        prop_assert_eq!(spots(&write(&lines, &style)), right(&lines));
    }

    #[test]
    fn a_table_without_header_is_told_by_its_cells(lines in lines(), delimiter in prop::sample::select(vec![",", ";", "\t", "|"])) {
        // without these nobody could tell a level from a drift, nor who sent from who heard
        prop_assume!(lines.iter().any(|line| line.snr < -4) && lines.iter().any(|line| line.rx != lines[0].rx));
        let rows: Vec<String> = lines.iter().map(|line| cells(line).join(delimiter)).collect();
        let (found, readings) = spots_with("unknown", (rows.join("\n") + "\n").as_bytes(), &Wishes::default());
        prop_assert_eq!(found, right(&lines));
        prop_assert!(readings[0].note(NoteKind::NoHeader).is_some());
        prop_assert!(readings[0].note(NoteKind::RolesAssumed).is_some());
    }

    #[test]
    fn rows_may_come_in_any_order((lines, turned) in shuffled(), style in style()) {
        let (bytes, turned) = (write(&lines, &style), write(&turned, &style));
        let mut forward = spots(&bytes);
        let mut backward = spots(&turned);
        forward.sort();
        backward.sort();
        prop_assert_eq!(forward, backward);
        prop_assert_eq!(results(&bytes), results(&turned));
    }

    #[test]
    fn a_file_twice_gives_its_spots_once(lines in lines(), style in style()) {
        let bytes = write(&lines, &style);
        let mut builder = TableBuilder::new();
        let first = import::read("a", &bytes, &Wishes::default(), &mut builder);
        let again = import::read("b", &bytes, &Wishes::default(), &mut builder);
        prop_assert_eq!(again[0].spots, 0);
        prop_assert_eq!(again[0].duplicates, first[0].rows);
        prop_assert_eq!(builder.len() as u64, first[0].spots);
        check_account(&again);
    }

    #[test]
    fn packing_changes_no_spot(lines in lines(), style in style()) {
        let plain = write(&lines, &style);
        let mut gzip = flate2::write::GzEncoder::new(Vec::new(), flate2::Compression::fast());
        gzip.write_all(&plain).unwrap();
        let gzip = gzip.finish().unwrap();
        let mut zip = zip::ZipWriter::new(std::io::Cursor::new(Vec::new()));
        zip.start_file("heard/a.csv", zip::write::SimpleFileOptions::default()).unwrap();
        zip.write_all(&plain).unwrap();
        let zip = zip.finish().unwrap().into_inner();
        for (bytes, container) in [(gzip, Container::Gzip), (zip, Container::Zip)] {
            let (found, readings) = spots_with("unknown", &bytes, &Wishes::default());
            prop_assert_eq!(readings[0].container, Some(container));
            prop_assert_eq!(found, right(&lines));
        }
    }

    /// Saying what was found anyway changes nothing; swapping the calls swaps them.
    #[test]
    fn wishes_are_obeyed(lines in lines(), mut style in style()) {
        style.order.sort_unstable();
        let bytes = write(&lines, &style);
        let (found, readings) = spots_with("unknown", &bytes, &Wishes::default());
        let mut roles: Vec<Option<Role>> = readings[0].roles().map(Some).collect();
        let same = Wishes {
            roles: Some(roles.clone()),
            delimiter: readings[0].delimiter,
            header: readings[0].header_line.map(HeaderWish::Line),
            ..Wishes::default()
        };
        prop_assert_eq!(&spots_with("unknown", &bytes, &same).0, &found);
        roles.swap(1, 7);
        roles.swap(2, 8);
        let swapped = Wishes { roles: Some(roles), ..Wishes::default() };
        let turned: Vec<Line> = lines.iter().map(|line| Line { tx: line.rx, rx: line.tx, ..line.clone() }).collect();
        prop_assert_eq!(spots_with("unknown", &bytes, &swapped).0, right(&turned));
    }

    #[test]
    fn any_bytes_give_an_account_that_adds_up(bytes in prop::collection::vec(any::<u8>(), 0..600)) {
        check_account(&spots_with("x", &bytes, &Wishes::default()).1);
    }

    /// Text made of what troubles readers most.
    #[test]
    fn any_text_gives_an_account_that_adds_up(pieces in prop::collection::vec(prop::sample::select(PIECES.to_vec()), 0..200)) {
        check_account(&spots_with("x", pieces.concat().as_bytes(), &Wishes::default()).1);
    }
}

const PIECES: [&str; 40] = [
    ",",
    ";",
    "\t",
    "|",
    "\"",
    "\"\"",
    "\n",
    "\r\n",
    "\r",
    " ",
    "  ",
    "\u{a0}",
    "#",
    "//",
    "sep=;",
    "-",
    "--",
    "<",
    ">",
    "<CALL:5>",
    "<EOR>",
    "<eoh>",
    "<call:999999999999>",
    "Q1ABC",
    "Q2RS",
    "JO22ob",
    "2031-04-27 12:00",
    "27/04/2031",
    "04/27/2031",
    "12:00",
    "14.0971",
    "14,097,100",
    "-21",
    "599",
    "time UTC",
    "transmitter",
    "receiver",
    "\u{0}",
    "\u{feff}",
    "=1+2",
];

fn samples() -> Vec<(String, Vec<u8>)> {
    let folder = PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/hard-inputs");
    let mut names: Vec<_> = std::fs::read_dir(&folder).unwrap().map(|entry| entry.unwrap().path()).collect();
    names.sort();
    names
        .into_iter()
        .filter(|path| !matches!(path.extension().and_then(|e| e.to_str()), Some("md" | "json")))
        .map(|path| (path.file_name().unwrap().to_str().unwrap().to_owned(), std::fs::read(&path).unwrap()))
        .collect()
}

/// The name is only a hint: read as `unknown`, every sample gives the same.
#[test]
fn the_name_does_not_matter() {
    let samples = samples();
    assert!(samples.len() >= 72);
    for (name, bytes) in samples {
        let (named, readings) = spots_with(&name, &bytes, &Wishes::default());
        let (unnamed, unnamed_readings) = spots_with("unknown", &bytes, &Wishes::default());
        assert_eq!(named, unnamed, "{name}");
        assert_eq!(readings.len(), unnamed_readings.len(), "{name}");
    }
}

/// Every sample cut short at many places, and with bytes broken, gives an account that adds up.
#[test]
fn damaged_samples_give_an_account_that_adds_up() {
    let mut seed = 11_u64;
    let mut next = move |n: usize| {
        seed = seed.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407);
        usize::try_from(seed >> 33).unwrap() % n.max(1)
    };
    for (name, bytes) in samples() {
        for round in 0..12 {
            let mut damaged = bytes.clone();
            match round % 4 {
                0 => damaged.truncate(next(bytes.len() + 1)),
                1 => {
                    for _ in 0..=next(6) {
                        if let Some(byte) = damaged.get_mut(next(bytes.len())) {
                            *byte = u8::try_from(next(256)).unwrap();
                        }
                    }
                }
                2 => {
                    let at = next(bytes.len() + 1);
                    let piece = PIECES[next(PIECES.len())];
                    damaged.splice(at..at, piece.bytes());
                }
                _ => {
                    let (from, to) = (next(bytes.len() + 1), next(bytes.len() + 1));
                    damaged.drain(from.min(to)..from.max(to));
                }
            }
            let (_, readings) = spots_with(&name, &damaged, &Wishes::default());
            check_account(&readings);
        }
    }
}

/// Line end, delimiter and mark of the plain samples may change without changing the spots.
#[test]
fn plain_samples_written_otherwise() {
    for (name, bytes) in samples() {
        let plain = [
            "plain-comma.csv",
            "duplicate-rows.csv",
            "offsets.csv",
            "call-forms.csv",
            "locator-forms.csv",
            "power-units.csv",
        ];
        if !plain.contains(&name.as_str()) {
            continue;
        }
        let text = String::from_utf8(bytes.clone()).unwrap();
        let found = spots(&bytes);
        for other in [
            text.replace('\n', "\r\n"),
            text.replace('\n', "\r"),
            text.replace('\n', "\n\n"),
            text.replace(',', ";"),
            text.replace(',', "\t"),
            text.replace(',', "|"),
            format!("\u{feff}{text}"),
            format!("# a comment\n\n{text}"),
            format!("sep=,\n{text}"),
            text.trim_end().to_owned(),
            text.replace('\n', ",,\n"),
        ] {
            assert_eq!(spots(other.as_bytes()), found, "{name}: {:?}", other.chars().take(60).collect::<String>());
        }
    }
}

/// Huge and monstrous inputs are answered quickly and without filling memory.
#[test]
fn monsters_are_answered() {
    let header = "time UTC,transmitter,receiver,remarks\n";
    let row = "2031-04-27 12:00,Q1ABC,Q8STU,x\n";
    let monsters: [(&str, Vec<u8>); 8] = [
        (
            "a cell of 10 MB",
            format!("{header}{row}2031-04-27 12:02,Q1ABC,Q8STU,{}\n", "x".repeat(10 << 20)).into_bytes(),
        ),
        ("a call of 10 MB", format!("{header}{row}2031-04-27 12:02,{},Q8STU,x\n", "Q".repeat(10 << 20)).into_bytes()),
        ("a million columns", format!("{header}{row}{}\n", ",x".repeat(1_000_000)).into_bytes()),
        ("a million columns in the header", format!("{}\n{row}", "time,".repeat(1_000_000)).into_bytes()),
        ("one line without end", "Q1ABC ".repeat(1 << 20).into_bytes()),
        ("nothing but quotes", "\"".repeat(1 << 20).into_bytes()),
        (
            "an open quote in every row",
            format!("{header}{}", "2031-04-27 12:00,Q1ABC,Q8STU,\"x\n".repeat(20_000)).into_bytes(),
        ),
        ("nothing but delimiters", ",".repeat(1 << 21).into_bytes()),
    ];
    for (name, bytes) in monsters {
        let (found, readings) = spots_with(name, &bytes, &Wishes::default());
        check_account(&readings);
        if name.starts_with("a cell") || name.starts_with("a call") {
            assert!(!found.is_empty(), "{name}");
        }
    }
}
