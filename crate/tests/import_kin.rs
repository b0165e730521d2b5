//! Kin of the hard inputs: the same troubles in other clothes, each read right.
//!
//! Every case is a few lines of text with what must come of it. Forms are those in common use (no source) unless a
//! standard is named.

#![allow(
    clippy::unwrap_used,
    clippy::format_push_string,
    reason = "in a test a panic is the answer, and a few allocations cost nothing"
)]

use farheard::import::{
    self, DateOrder, ErrorKind, HeaderWish, NoteKind, PowerUnit, Reading, Reason, Report, Role, Wishes, Zone,
};
use farheard::model::{SpotTable, TableBuilder};

fn read_with(bytes: &[u8], wishes: &Wishes) -> (SpotTable, Reading) {
    let mut builder = TableBuilder::new();
    let mut readings = import::read("unknown", bytes, wishes, &mut builder);
    for reading in &readings {
        assert_eq!(reading.rows, reading.spots + reading.duplicates + reading.set_aside.len() as u64);
    }
    (builder.freeze(), readings.remove(0))
}

fn read(text: &str) -> (SpotTable, Reading) {
    read_with(text.as_bytes(), &Wishes::default())
}

/// A table with one column of interest before two calls and a frequency; `rows` are its cells.
fn column(header: &str, rows: &[&str]) -> String {
    let mut text = format!("{header};transmitter;receiver;frequency MHz\n");
    for (n, row) in rows.iter().enumerate() {
        text += &format!("{row};Q{}ABC;Q8STU;14.0971{n:02}\n", n % 10);
    }
    text
}

/// A table of plain times with one column of interest at the end.
fn last_column(header: &str, rows: &[&str]) -> String {
    let mut text = format!("time UTC;transmitter;receiver;{header}\n");
    for (n, row) in rows.iter().enumerate() {
        text += &format!("2031-04-27 12:{n:02};Q{}ABC;Q8STU;{row}\n", n % 10);
    }
    text
}

fn times(table: &SpotTable) -> Vec<String> {
    (0..table.len()).map(|row| table.time(row).iso()).collect()
}

fn reasons(reading: &Reading) -> Vec<Reason> {
    reading.set_aside.iter().map(|s| s.reason).collect()
}

fn says(reading: &Reading, kind: NoteKind, word: &str) -> bool {
    reading.notes.iter().any(|n| n.kind == kind && n.text.contains(word))
}

#[test]
fn one_noon_in_many_forms() {
    for form in [
        "2024-04-03T12:00Z",
        "2024-04-03 12:00:00+00",
        "2024-04-03 14:00 +0200",
        "2024-04-03 12:00:00 +0000 UTC",
        "Wed, 03 Apr 2024 12:00:00 GMT",
        "Wed Apr 03 2024 12:00:00 GMT+0000 (Coordinated Universal Time)",
        "Wednesday, April 3, 2024 12:00 PM",
        "3. April 2024, 12:00 Uhr",
        "3 avr. 2024 12h00",
        "3 de abril de 2024 12:00",
        "20240403T120000Z",
        "202404031200",
        "2024-094T12:00",
        "1712145600",
        "1712145600000",
        "1712145600.0",
        "45385,5",
        "2024. 04. 03. 12:00",
    ] {
        let (table, reading) = read(&column("time", &[form, form]));
        assert_eq!(times(&table), ["2024-04-03T12:00:00Z", "2024-04-03T12:00:00Z"], "{form}: {:?}", reading.set_aside);
        assert_eq!(reading.roles().next(), Some(Role::Time), "{form}");
    }
}

#[test]
fn the_column_decides_the_order_of_dates() {
    let (table, reading) = read(&column("time", &["03.04.2024 09:30", "04.04.2024 09:30", "13.04.2024 09:30"]));
    assert_eq!(times(&table)[0], "2024-04-03T09:30:00Z");
    assert!(says(&reading, NoteKind::DateOrder, "day first"));
    let (table, reading) = read(&column("time", &["4/3/24 9:30 AM", "4/4/24 9:30 AM", "4/23/24 9:30 PM"]));
    assert_eq!(times(&table)[0], "2024-04-03T09:30:00Z");
    assert_eq!(times(&table)[2], "2024-04-23T21:30:00Z");
    assert!(says(&reading, NoteKind::DateOrder, "month first"));
    let (table, reading) = read(&column("time", &["24-04-03 09:30", "24-04-04 09:30"]));
    assert_eq!(times(&table)[0], "2024-04-03T09:30:00Z");
    assert!(says(&reading, NoteKind::DateOrderAssumed, "year first"));
    let (table, reading) =
        read(&column("time", &["13.04.2024 09:30", "04.13.2024 09:30", "03.04.2024 09:30", "05.05.2024 09:30"]));
    assert_eq!(times(&table).len(), 3, "the fifth of May is one day in any order");
    assert_eq!(reasons(&reading), [Reason::DateAmbiguous]);
    assert!(reading.note(NoteKind::DateOrderMixed).is_some());
}

/// The row that decides stands far beyond any sample of the beginning, middle or end.
#[test]
fn a_decision_far_down_holds_for_all_rows() {
    let mut text = "time,transmitter,receiver,frequency MHz\n".to_owned();
    for n in 0..30_000 {
        let day = if n == 9_000 { 13 } else { 3 };
        text += &format!("{day:02}/04/2024 {:02}:{:02},Q1ABC,Q8STU,14.{:06}\n", n / 60 % 24, n % 60, 97_000 + n % 1000);
    }
    let (table, reading) = read(&text);
    assert!(says(&reading, NoteKind::DateOrder, "day first"));
    assert_eq!(reading.decisions.date_order, Some(DateOrder::DayFirst));
    assert_eq!(table.time(0).iso(), "2024-04-03T00:00:00Z");
    // months first would have been as good up to there
    let text = text.replace("13/04/2024", "04/13/2024").replace("03/04/2024", "04/03/2024");
    let (table, reading) = read(&text);
    assert!(says(&reading, NoteKind::DateOrder, "month first"));
    assert_eq!(table.time(0).iso(), "2024-04-03T00:00:00Z");
    assert_eq!(reading.spots + reading.duplicates, 30_000);
}

#[test]
fn times_that_lost_their_zeros_or_more() {
    let split = |rows: &[(&str, &str)]| {
        let mut text = "date;UTC;transmitter;receiver\n".to_owned();
        for (date, clock) in rows {
            text += &format!("{date};{clock};Q1ABC;Q8STU\n");
        }
        text
    };
    let (table, _) =
        read(&split(&[("20240403", "500"), ("20240403", "93000"), ("20240403", "0"), ("20240403", "235800")]));
    let clocks: Vec<String> = (0..table.len()).map(|row| table.time(row).clock()).collect();
    assert_eq!(clocks, ["00:05", "09:30", "00:00", "23:58"]);
    let (table, _) = read(&split(&[("3042024", "2"), ("13042024", "945")]));
    assert_eq!(times(&table), ["2024-04-03T00:02:00Z", "2024-04-13T09:45:00Z"]);
    let (table, _) = read(&split(&[("45385", "0,5"), ("45385", "0,25")]));
    assert_eq!(times(&table), ["2024-04-03T12:00:00Z", "2024-04-03T06:00:00Z"]);
    for lost in ["58:00,0", "1.71E+09", "########", "2,02E+07"] {
        let (_, reading) = read(&column("time", &[lost, lost]));
        assert_eq!(reading.error.as_ref().map(|e| e.kind), Some(ErrorKind::NoUsableTime), "{lost}");
        assert_eq!(reasons(&reading), [Reason::BadTime; 2], "{lost}");
    }
    for bad in ["2016-12-31 23:60", "2016-12-31 23:59:61", "2015-06-29 23:59:60", "2016-11-31 10:00"] {
        let (_, reading) = read(&column("time", &["2016-12-31 23:59:60", bad]));
        assert_eq!(reasons(&reading), [Reason::BadTime], "{bad}");
    }
}

#[test]
fn local_times_are_not_utc() {
    for header in
        ["local time", "Ortszeit", "heure locale", "hora local", "ora locale", "LT", "lokale tijd", "time (local)"]
    {
        let (_, reading) = read(&column(header, &["2024-03-31 01:50", "2024-03-31 02:30"]));
        assert!(reading.note(NoteKind::TimeZoneUnknown).is_some(), "{header}");
        assert_eq!(reading.decisions.zone, Some(Zone::Unknown), "{header}");
    }
    let (table, reading) = read(&column("time (UTC+2)", &["2024-04-03 14:00"]));
    assert_eq!(times(&table), ["2024-04-03T12:00:00Z"]);
    assert!(reading.note(NoteKind::OffsetsConverted).is_some());
    let (_, reading) = read(&column("time", &["2024-04-03 12:00 UTC", "2024-04-03 17:30 IST"]));
    assert_eq!(reasons(&reading), [Reason::ZoneAmbiguous]);
}

#[test]
fn units_of_frequencies_and_powers() {
    let hz = |text: &str| {
        let (table, reading) = read(text);
        ((0..table.len()).map(|row| table.freq_hz(row)).collect::<Vec<_>>(), reading)
    };
    let (found, reading) = hz(&last_column("frequency", &["14.097.150", "7.040.185"]));
    assert_eq!(found, [Some(14_097_150.0), Some(7_040_185.0)]);
    assert!(says(&reading, NoteKind::FrequencyUnit, "Hz"));
    assert_eq!(hz(&last_column("frequency", &["14'097'150", "7\u{2019}040\u{2019}185"])).0, found);
    assert_eq!(hz(&last_column("frequency", &["14,09715", "7,040185"])).0, found);
    assert_eq!(hz(&last_column("frequency", &["14097,150", "7040,185"])).0, found);
    assert_eq!(hz(&last_column("frequency MHz", &["14097150", "7040185"])).0, found);
    assert_eq!(hz(&last_column("frequency", &["14.09715 MHz", "7040.185 kHz"])).0, found);
    let (found, reading) = hz(&last_column("frequency", &["14.0971", "7040.1", "10140200", "about 14"]));
    assert_eq!(found, [Some(14_097_100.0), Some(7_040_100.0), Some(10_140_200.0), None]);
    assert!(reading.note(NoteKind::FrequencyUnitsMixed).is_some());
    assert_eq!(reading.note(NoteKind::FrequencyUnreadable).unwrap().count, Some(1));
    let (table, reading) = read(&last_column("power", &["5 Watt", "200mW", "+37dBm", "20 dBW", "0,5 W", "QRP", "0 W"]));
    let dbm: Vec<Option<f64>> =
        (0..table.len()).map(|row| table.power_dbm(row).map(|p| (p * 100.0).round() / 100.0)).collect();
    assert_eq!(dbm, [Some(36.99), Some(23.01), Some(37.0), Some(50.0), Some(26.99), None, None]);
    assert_eq!(reading.note(NoteKind::PowerUnreadable).unwrap().count, Some(2));
}

#[test]
fn bands_without_frequency() {
    let names = |rows: &[&str]| {
        let (table, _) = read(&last_column("band", rows));
        (0..table.len()).map(|row| table.band(row).name()).collect::<Vec<_>>()
    };
    assert_eq!(names(&["20m", "20 M", "20 m\u{e8}tres", "20-m-Band", "14 MHz"]), ["20m"; 5]);
    assert_eq!(names(&["14", "7", "10", "28"]), ["20m", "40m", "30m", "10m"]);
    assert_eq!(names(&["20", "40", "10", "80"]), ["20m", "40m", "10m", "80m"]);
    assert_eq!(names(&["2200 m", "70 cm", "1.25m"]), ["2190m", "70cm", "1.25m"]);
}

#[test]
fn calls_that_are_none() {
    for (cell, reason) in [
        ("<\u{2026}>", Reason::CallUnresolved),
        ("", Reason::NoTx),
        ("n/a", Reason::NoTx),
        ("12. Mrz", Reason::CallDamaged),
        ("12-d\u{e9}c", Reason::CallDamaged),
        ("#WERT!", Reason::CallDamaged),
        ("45363", Reason::CallDamaged),
        ("1E+10", Reason::CallDamaged),
        ("<b>Q1ABC</b>", Reason::NotACall),
        ("=1+2", Reason::NotACall),
        ("Q1ABC Q2DEF", Reason::NotACall),
    ] {
        let text =
            format!("time UTC;transmitter;receiver\n2031-04-27 12:00;Q1ABC;Q8STU\n2031-04-27 12:02;{cell};Q8STU\n");
        assert_eq!(reasons(&read(&text).1), [reason], "{cell}");
    }
}

#[test]
fn rows_with_too_many_cells() {
    let head = "time UTC,transmitter,receiver,frequency kHz,SNR dB,remarks\n";
    let row = "2031-04-27 12:00,Q1ABC,Q8STU,14097.1,-3,\n";
    for (last, right) in [
        ("2031-04-27 12:02,Q1ABC,Q8STU,14,097.1,-3,\n", &[Reason::TooManyColumns][..]),
        ("2031-04-27 12:02,Q1ABC,Q8STU,14097.1,-3,wire, sloping, south\n", &[]),
        ("2031-04-27 12:02,Q1ABC,Q8STU,14097.1,-3,,,\n", &[]),
        ("2031-04-27 12:02,Q1ABC,Q8STU,14097.1\n", &[]),
        ("2031-04-27 12:02,Q1ABC\n", &[Reason::NoRx]),
        ("2031-04-27 12:02,Q1A", &[Reason::CutLine]),
        ("Total: 1\n", &[Reason::NotASpot]),
    ] {
        assert_eq!(reasons(&read(&format!("{head}{row}{last}")).1), right, "{last}");
    }
}

#[test]
fn tables_drawn_with_bars_and_blanks() {
    for (text, delimiter) in [
        ("| time UTC | transmitter | receiver |\n|:---|---|---:|\n| 2031-04-27 12:00 | Q1ABC | Q8STU |\n", "|"),
        (" time UTC | transmitter | receiver\n---+---+---\n 2031-04-27 12:00 | Q1ABC | Q8STU\n(1 row)\n", "|"),
        (
            "┌──┬──┬──┐\n│ time UTC │ transmitter │ receiver │\n├──┼──┼──┤\n│ 2031-04-27 12:00 │ Q1ABC │ Q8STU │\n└──┴──┴──┘\n",
            "|",
        ),
        (
            "Date        UTC    Tx     Rx\n2031-04-27  12:00  Q1ABC  Q8STU\n2031-04-27  12:02  Q1ABC  Q5AA\n",
            "space-aligned",
        ),
        (
            "2031-04-27 1200 Q1ABC JO22ob Q8STU BL11bh -12\n2031-04-27 1202 Q1ABC JO22ob Q5AA KG33xi -9\n",
            "space-aligned",
        ),
    ] {
        let (table, reading) = read(text);
        assert_eq!(reading.delimiter.unwrap().as_str(), delimiter, "{text}");
        assert!(!table.is_empty() && reading.set_aside.is_empty(), "{text}: {:?}", reading.set_aside);
        assert_eq!(times(&table)[0], "2031-04-27T12:00:00Z", "{text}");
    }
}

#[test]
fn a_second_header_with_other_columns_begins_another_table() {
    let text = "time UTC,transmitter,receiver,SNR dB\n2031-04-27 12:00,Q1ABC,Q8STU,-3\n\
                receiver;SNR dB;time UTC;transmitter\nQ5AA;-9;2031-04-27 12:02;Q2RS\n";
    let (table, reading) = read(text);
    assert_eq!((table.len(), reading.set_aside.len()), (2, 0));
    let stations = table.stations();
    assert_eq!(stations.call(stations.call_of(table.tx(1))), "Q2RS");
    assert_eq!(table.snr_db(1), Some(-9.0));
}

#[test]
fn corrections_are_obeyed() {
    let open = column("time", &["03/04/2024 09:30", "04/04/2024 09:30"]);
    let wish = Wishes { date_order: Some(DateOrder::MonthFirst), ..Wishes::default() };
    assert_eq!(times(&read_with(open.as_bytes(), &wish).0)[0], "2024-03-04T09:30:00Z");
    let local = column("local time", &["2024-03-31 01:50"]);
    let wish = Wishes { utc_offset_s: Some(3600), ..Wishes::default() };
    let (table, reading) = read_with(local.as_bytes(), &wish);
    assert_eq!(times(&table), ["2024-03-31T00:50:00Z"]);
    assert!(reading.note(NoteKind::TimeZoneUnknown).is_none());
    let timed = column("UTC", &["23:58", "00:02"]);
    assert_eq!(read(&timed).1.error.unwrap().kind, ErrorKind::NoDate);
    let wish = Wishes { date: Some((2024, 4, 3)), ..Wishes::default() };
    assert_eq!(times(&read_with(timed.as_bytes(), &wish).0), ["2024-04-03T23:58:00Z", "2024-04-04T00:02:00Z"]);
    assert!(read_with(timed.as_bytes(), &wish).1.note(NoteKind::TimeForm).is_some());
    let powers = last_column("power", &["23", "30"]);
    let wish = Wishes { power_unit: Some(PowerUnit::W), ..Wishes::default() };
    assert_eq!(read_with(powers.as_bytes(), &wish).0.power_dbm(1), Some(44.7712));
    let bare = "2031-04-27 12:00,Q1ABC,Q8STU,14.0971\n2031-04-27 12:02,Q1ABC,Q5AA,7.0401\n";
    let wish = Wishes { header: Some(HeaderWish::Line(1)), ..Wishes::default() };
    assert_eq!(read_with(bare.as_bytes(), &wish).1.spots, 1);
    let cut = "time UTC,transmitter,receiver,SNR dB\n2031-04-27 12:00,Q1ABC,Q8STU,-3\n2031-04-27 12:02,Q1ABC,Q5AA";
    assert_eq!(reasons(&read(cut).1), [Reason::CutLine]);
    let wish = Wishes { use_set_aside: Some(vec![Reason::CutLine]), ..Wishes::default() };
    assert_eq!(read_with(cut.as_bytes(), &wish).1.spots, 2);
    let adif = "<EOH><CALL:5>Q1ABC<STATION_CALLSIGN:5>Q8STU<QSO_DATE:8>20240403<TIME_ON:4>1200<RST_SENT:3>-12<RST_RCVD:3>-15<TX_PWR:1>5<EOR>";
    let (table, _) = read_with(adif.as_bytes(), &Wishes { report: Some(Report::Both), ..Wishes::default() });
    assert_eq!((table.len(), table.snr_db(0), table.snr_db(1)), (2, Some(-12.0), Some(-15.0)));
    assert_eq!((table.power_dbm(0), table.power_dbm(1)), (None, Some(36.9897)));
    let text = serde_json::to_string(&wish).unwrap();
    assert_eq!(serde_json::from_str::<Wishes>(&text).unwrap(), wish);
}

/// A row that lacks a cell before its last ones is not read as if the rest stood where it should.
#[test]
fn a_missing_cell_moves_the_rest_of_its_row() {
    let header =
        "time UTC,transmitter,transmitter locator,frequency MHz,SNR dB,drift,power dBm,receiver,receiver locator";
    let rows: Vec<String> = (0..12)
        .map(|n| format!("2031-04-27 12:{n:02},Q{}ABC,JO22ob,14.09712{n:02},-1{n},0,37,Q8STU,BL11bh", n % 5))
        .collect();
    let cells: Vec<&str> = rows[5].split(',').collect();
    for missing in 1..cells.len() {
        let mut lacking = rows.clone();
        lacking[5] = [&cells[..missing], &cells[missing + 1..]].concat().join(",");
        let (table, reading) = read(&format!("{header}\n{}\n", lacking.join("\n")));
        // the last one may be missing
        let aside = if missing == 8 { Vec::new() } else { vec![Reason::TooFewColumns] };
        let reasons = reasons(&reading);
        assert!(reasons == aside || missing < 8 && reasons.len() == 1, "{missing}: {reasons:?}");
        assert_eq!(table.len() + reasons.len(), 12);
    }
}

/// What is reckoned of a level or a power stands beside it, before or behind.
#[test]
fn levels_as_heard_and_powers_as_sent_are_meant() {
    let text = |first: &str, second: &str| {
        let rows: String = (0..30)
            .map(|n| {
                format!("2031-04-27 12:{n:02},Q{}ABC,JO22ob,14.0971,{first},{second},Q8STU,BL11bh\n", n % 5)
                    .replace("LEVEL", &format!("-1{}", n % 8))
                    .replace("RECKONED", &format!("-{}", 3 + n % 8))
            })
            .collect();
        move |names: [&str; 2]| {
            let [first, second] = names;
            let header = format!(
                "time UTC,transmitter,transmitter locator,frequency MHz,{first},{second},receiver,receiver locator"
            );
            let (table, reading) = read(&format!("{header}\n{rows}"));
            assert_eq!(table.len(), 30, "{:?}", reasons(&reading));
            table
        }
    };
    for reckoned in ["SNR at 1 W", "SNR 1W", "normalised SNR", "SNR (normalized) dB"] {
        for table in [text("LEVEL", "RECKONED")(["SNR dB", reckoned]), text("RECKONED", "LEVEL")([reckoned, "SNR dB"])]
        {
            assert_eq!(table.snr_db(0), Some(-10.0), "{reckoned}");
        }
    }
    for radiated in ["EIRP dBm", "ERP dBm", "power EIRP dBm"] {
        for table in [text("23", "17")(["power dBm", radiated]), text("17", "23")([radiated, "power dBm"])] {
            assert_eq!(table.power_dbm(0), Some(23.0), "{radiated}");
        }
    }
}

/// Levels that are all positive are read as they stand, and said to be odd.
#[test]
fn levels_without_signs_are_told_of() {
    let read_with = |sign: &str| {
        let rows: Vec<String> = (0..30)
            .map(|n| format!("2031-04-27 12:{n:02},Q{}ABC,14.0971,{sign}{},Q8STU", n % 5, 10 + n % 18))
            .collect();
        read(&format!("time UTC,transmitter,frequency MHz,SNR dB,receiver\n{}\n", rows.join("\n")))
    };
    let (table, reading) = read_with("");
    assert_eq!(table.snr_db(0), Some(10.0));
    assert!(says(&reading, NoteKind::SnrUnsigned, "column 4"));
    assert!(!says(&read_with("-").1, NoteKind::SnrUnsigned, ""));
}

/// Julian days, whole and modified: 2463151.5 is 2031-10-12 00:00 by the arithmetic of the IAU's Resolution B1 of 1997
/// (J2000.0 is 2451545.0, noon of 1 January 2000). Spreadsheets are not there yet.
#[test]
fn days_may_be_julian() {
    for days in [0.5, -2_400_000.0] {
        let rows: Vec<String> = (0..30).map(|n| format!("{:.6}", 2_463_151.0 + days + f64::from(n) / 720.0)).collect();
        let rows: Vec<&str> = rows.iter().map(String::as_str).collect();
        let (table, reading) = read(&column("time", &rows));
        assert_eq!(times(&table)[..2], ["2031-10-12T00:00:00Z", "2031-10-12T00:02:00Z"]);
        assert!(says(&reading, NoteKind::TimeForm, "Julian"));
    }
    let (table, _) = read(&column("time", &["48132.5", "48132.501389", "48132.502778"]));
    assert_eq!(times(&table)[0], "2031-10-11T12:00:00Z");
}

/// Some programs write the name or number of each row in front and no header over it (common practice, no source).
#[test]
fn rows_may_have_a_name_that_the_header_does_not() {
    let header = "time UTC,transmitter,transmitter locator,frequency MHz,SNR dB,power dBm,receiver,receiver locator";
    let row = |n: usize| format!("2031-04-27 12:{n:02},Q{}ABC,JO22ob,14.0971,-1{},37,Q8STU,BL11bh", n % 5, n % 7);
    let plain: String = (0..30).map(|n| row(n) + "\n").collect();
    let (expected, _) = read(&format!("{header}\n{plain}"));
    for name in [|n: usize| format!("{},", n + 1), |n| format!("\"{}\",", n + 1), |n| format!("row {n},")] {
        let mut rows: Vec<String> = (0..30).map(|n| name(n) + &row(n)).collect();
        // the header once more, as where two files were joined
        rows.insert(9, header.to_owned());
        let (table, reading) = read(&format!("{header}\n{}\n", rows.join("\n")));
        assert_eq!(table.len(), expected.len(), "{:?}", reasons(&reading));
        assert_eq!(times(&table), times(&expected));
        for at in 0..table.len() {
            assert_eq!((table.snr_db(at), table.snr_1w_db(at)), (expected.snr_db(at), expected.snr_1w_db(at)));
        }
        assert_eq!(reading.columns[0].header, "");
        assert_eq!(reading.columns[1].header, "time UTC");
    }
    // a column without a name at the end is one too
    let rows: String = (0..30).map(|n| row(n) + ",clear\n").collect();
    let (table, reading) = read(&format!("{header}\n{rows}"));
    assert_eq!(table.len(), expected.len(), "{:?}", reasons(&reading));
}

/// Locators stand in the order of their calls, also where they stand before or behind both.
#[test]
fn locators_stand_as_their_calls_do() {
    for header in [
        "time UTC,transmitter,receiver,locator,locator",
        "time UTC,Sender,Receiver,Locator 1,Locator 2",
        "time UTC,locator,call,locator,call",
        "time UTC,call,locator,call,locator",
    ] {
        let mut text = format!("{header},frequency MHz,SNR dB\n");
        for (n, (call, place)) in [("Q1DX", "IO91wm"), ("Q7JK", "HP94ad"), ("Q8STU", "BL11bh")].into_iter().enumerate()
        {
            let cells = match header.find("locator,call") {
                Some(_) if header.contains("UTC,loc") => format!("QF22lm,Q4OP,{place},{call}"),
                _ if header.contains("call,loc") => format!("Q4OP,QF22lm,{call},{place}"),
                _ => format!("Q4OP,{call},QF22lm,{place}"),
            };
            text += &format!("2031-04-27 12:{n:02},{cells},14.0971,-20\n");
        }
        let (table, _) = read(&text);
        for row in 0..3 {
            let place = |station| table.stations().locator(station).map(|locator| locator.to_string());
            assert_eq!(place(table.tx(row)).as_deref(), Some("QF22lm"), "{header}");
        }
        assert_eq!(table.len(), 3, "{header}");
    }
}

/// Zones that stand in the header or in a column of their own.
#[test]
fn zones_are_not_passed_over() {
    for (header, right) in [
        ("UTC+2 time", Some("2031-07-03T12:00:00Z")),
        ("GMT+05:30 time", Some("2031-07-03T08:30:00Z")),
        ("EST", Some("2031-07-03T19:00:00Z")),
        ("time BST", None),
        ("Time (Europe/Berlin)", None),
        ("time CET/CEST", None),
        ("heure l\u{e9}gale", None),
    ] {
        let (table, reading) = read(&column(header, &["2031-07-03 14:00", "2031-07-03 14:02"]));
        assert_eq!(reading.note(NoteKind::TimeZoneUnknown).is_some(), right.is_none(), "{header}");
        if let Some(right) = right {
            assert_eq!(times(&table)[0], right, "{header}");
        }
    }
    for (own, unknown) in [("+02:00", true), ("CEST", true), ("UTC", false), ("Z", false)] {
        let text = format!("time;zone;transmitter;receiver\n2031-07-03 14:00;{own};Q1ABC;Q8STU\n");
        assert_eq!(read(&text).1.note(NoteKind::TimeZoneUnknown).is_some(), unknown, "{own}");
    }
}

/// Odd times: hours alone, days of a spreadsheet without a fraction, a clock of twelve hours without its half.
#[test]
fn times_that_are_not_all_there() {
    let lost = |text: &str| read(text).1.error.map(|error| error.kind);
    let hours = "date,hour,minute,transmitter,receiver\n2024-04-03,12,2,Q4OP,Q1DX\n2024-04-03,12,4,Q4OP,Q1DX\n";
    assert_eq!(lost(hours), Some(ErrorKind::NoUsableTime));
    assert_eq!(lost(&column("time UTC", &["45395", "45396"])), Some(ErrorKind::NoUsableTime));
    let halves =
        ["2024-04-03 1:00 PM", "2024-04-03 1:30 PM", "2024-04-03 2:00", "2024-04-03 02:00", "2024-04-03 2:30 PM"];
    assert_eq!(reasons(&read(&column("time UTC", &halves)).1), [Reason::BadTime; 2]);
    let (table, _) = read(&column("time UTC", &["24-Apr-03 10:00", "24-Apr-30 10:00"]));
    assert_eq!(times(&table), ["2024-04-03T10:00:00Z", "2024-04-30T10:00:00Z"]);
}

/// Single frequencies in another unit than the column's, and bands in its place.
#[test]
fn frequencies_that_are_unlike_the_others() {
    let of = |header: &str, cells: &[&str]| {
        let (table, reading) = read(&last_column(header, cells));
        let bands: Vec<&str> = (0..table.len()).map(|row| table.band(row).name()).collect();
        (bands.join(" "), reading.note(NoteKind::FrequencyUnitsMixed).and_then(|note| note.count))
    };
    let mhz = ["14.0971", "14.0972", "14.0973", "14.0974", "14097.1", "7040.1"];
    assert_eq!(of("frequency MHz", &mhz), ("20m 20m 20m 20m 20m 40m".to_owned(), Some(2)));
    let hz: Vec<String> = (0..19).map(|n| (14_097_100 + n).to_string()).chain(["14.097103".to_owned()]).collect();
    let hz: Vec<&str> = hz.iter().map(String::as_str).collect();
    assert_eq!(of("frequency", &hz), (["20m"; 20].join(" "), Some(1)));
    assert_eq!(of("frequency", &["20m", "40 m", "80M"]), ("20m 40m 80m".to_owned(), None));
}

/// Days of rows that have times of day only are counted from the first row's, which the person gave.
#[test]
fn days_are_counted_by_times_of_day() {
    let days = |clocks: &[&str]| -> Vec<String> {
        let table = column("UTC", clocks);
        let wish = Wishes { date: Some((2024, 4, 3)), ..Wishes::default() };
        let (table, _) = read_with(table.as_bytes(), &wish);
        times(&table).iter().map(|time| format!("{} {}", time.get(8..10).unwrap(), time.get(11..16).unwrap())).collect()
    };
    // a row out of order at midnight
    let clocks = ["23:50", "23:52", "23:54", "23:58", "00:00", "23:58", "00:02", "00:04", "00:06", "00:08"];
    let is =
        ["03 23:50", "03 23:52", "03 23:54", "03 23:58", "04 00:00", "03 23:58", "04 00:02", "04 00:04", "04 00:06"];
    assert_eq!(days(&clocks)[..9], is);
    // the newest first, with a gap over midnight, and a day later a row out of order
    let clocks = ["03:02", "03:00", "22:00", "21:58", "11:00", "00:02", "00:00", "23:58", "00:00", "23:56", "23:54"];
    let is =
        ["03 03:02", "03 03:00", "02 22:00", "02 21:58", "02 11:00", "02 00:02", "02 00:00", "01 23:58", "02 00:00"];
    assert_eq!(days(&clocks)[..9], is);
    // the first row is of the day given, however late; a gap of more than half a day is no midnight
    assert_eq!(
        days(&["13:00", "13:02", "00:30", "00:32", "23:00"]),
        ["03 13:00", "03 13:02", "04 00:30", "04 00:32", "04 23:00"]
    );
    // in no order of time: sorted by something else
    let clocks = ["12:00", "02:00", "20:00", "04:00", "23:00", "09:00", "01:00", "16:00"];
    assert!(days(&clocks).iter().all(|day| day.starts_with("03")), "{:?}", days(&clocks));
}

/// What was found is told with a second-best reading and reasons.
#[test]
fn the_choice_is_explained() {
    let (_, reading) = read(&column("time", &["03/04/2024 09:30", "04/04/2024 09:30"]));
    assert!(reading.why.iter().any(|why| why.contains("semicolons")), "{:?}", reading.why);
    assert!(reading.runner_up.unwrap().text.contains("month first"));
    assert!(reading.score > 0.5 && reading.score <= 1.0);
    assert_eq!(reading.preview[0].cells[0], "time");
    assert_eq!(reading.columns[0].header, "time");
    assert_eq!((reading.columns[3].filled, reading.columns[3].fitting), (2, 2));
}
