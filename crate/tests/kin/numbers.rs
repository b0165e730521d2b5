//! Frequencies, levels and powers that can be misread.

use farheard::import::NoteKind;

use super::case::{Case, file, hold};

/// One column of interest; every row has another listener.
fn column(name: &'static str, header: &str, rows: &[&str]) -> Case {
    let mut text = format!("time UTC;transmitter;receiver;{header}\n");
    for (n, row) in rows.iter().enumerate() {
        let line = format!("2031-04-27 12:00;Q1ABC;Q{n}STU;{row}\n");
        text += &line;
    }
    file(name, text)
}

/// All rows the same but for the listener.
fn all(case: Case, rows: usize, rest: &str) -> Case {
    let spots: Vec<String> = (0..rows).map(|n| format!("12:00 Q1ABC > Q{n}STU {rest}")).collect();
    case.gives(&spots.iter().map(String::as_str).collect::<Vec<_>>())
}

#[test]
fn frequencies() {
    let same = "20m 14097100 Hz";
    hold(&[
        all(
            column("a unit in every cell", "frequency", &["14.0971 MHz", "14097.1kHz", "14097100 Hz", "0.0140971GHz"]),
            4,
            same,
        ),
        all(
            column(
                "blanks between thousands",
                "frequency Hz",
                &["14 097 100", "14\u{a0}097\u{a0}100", "14\u{2009}097\u{2009}100"],
            ),
            3,
            same,
        ),
        all(
            column(
                "signs between thousands",
                "frequency Hz",
                &["14.097.100", "14'097'100", "14\u{2019}097\u{2019}100", "14_097_100"],
            ),
            4,
            same,
        ),
        all(
            column("kHz by the header, decimal commas", "Frequenz (kHz)", &["14097,1", "14.097,1", "14097,100"]),
            3,
            same,
        ),
        all(column("kHz with thousands commas", "frequency kHz", &["14,097.1", "14,097.100"]), 2, same),
        all(column("Cyrillic units", "частота", &["14,0971 МГц", "14097,1 кГц"]), 2, same),
        all(column("kHz under a header of MHz", "frequency MHz", &["14097.1", "14097.1", "14097.1"]), 3, same),
        column("units by the row", "frequency", &["14.0971", "7040.1", "10140200"])
            .gives(&[
                "12:00 Q1ABC > Q0STU 20m 14097100 Hz",
                "12:00 Q1ABC > Q1STU 40m 7040100 Hz",
                "12:00 Q1ABC > Q2STU 30m 10140200 Hz",
            ])
            .says(NoteKind::FrequencyUnitsMixed),
        // a spreadsheet has rounded the kilohertz away: no frequency is left
        column("powers of ten", "frequency Hz", &["1.41E+07", "7.04E+06"])
            .gives(&["12:00 Q1ABC > Q0STU unknown", "12:00 Q1ABC > Q1STU unknown"])
            .says(NoteKind::FrequencyUnreadable),
        column("negative and nought", "frequency MHz", &["-14.0971", "0", "14.0971"])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown",
                "12:00 Q1ABC > Q1STU unknown",
                "12:00 Q1ABC > Q2STU 20m 14097100 Hz",
            ])
            .says(NoteKind::FrequencyUnreadable),
    ]);
}

#[test]
fn levels() {
    let minus = |name: &'static str, rows: &[&str]| all(column(name, "SNR dB", rows), rows.len(), "unknown -21 dB");
    hold(&[
        minus(
            "signs of typesetters",
            &["\u{2212}21", "\u{2013}21", "\u{2014}21", "\u{ff0d}21", "- 21", "-21.0", "-21,0"],
        ),
        minus("with their unit", &["-21dB", "-21 dB", "-21 db", "\u{2212}21\u{a0}dB"]),
        // bookkeepers' forms of a negative number: never plus 21
        column("minus behind, and brackets", "SNR dB", &["21-", "(21)", "-21"])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown",
                "12:00 Q1ABC > Q1STU unknown",
                "12:00 Q1ABC > Q2STU unknown -21 dB",
            ])
            .says(NoteKind::SnrUnreadable),
        column("no levels at all", "SNR dB", &["S9", "59", "599", "R5", "good", "-21"])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown",
                "12:00 Q1ABC > Q1STU unknown",
                "12:00 Q1ABC > Q2STU unknown",
                "12:00 Q1ABC > Q3STU unknown",
                "12:00 Q1ABC > Q4STU unknown",
                "12:00 Q1ABC > Q5STU unknown -21 dB",
            ])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown",
                "12:00 Q1ABC > Q1STU unknown 59 dB",
                "12:00 Q1ABC > Q2STU unknown",
                "12:00 Q1ABC > Q3STU unknown",
                "12:00 Q1ABC > Q4STU unknown",
                "12:00 Q1ABC > Q5STU unknown -21 dB",
            ])
            .says(NoteKind::SnrUnreadable),
        column("a date where a level was", "SNR dB", &["01. Mai", "-5", "5-May", "-21"])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown",
                "12:00 Q1ABC > Q1STU unknown -5 dB",
                "12:00 Q1ABC > Q2STU unknown",
                "12:00 Q1ABC > Q3STU unknown -21 dB",
            ])
            .says(NoteKind::SnrUnreadable),
    ]);
}

#[test]
fn powers() {
    let watts = |name: &'static str, header: &str, rows: &[&str]| {
        all(column(name, header, rows), rows.len(), "unknown 23.01 dBm")
    };
    hold(&[
        watts("watts with decimal commas", "Leistung W", &["0,2", "0,20", "0,200"]),
        watts("milliwatts by the header", "power (mW)", &["200", "200", "200"]),
        watts("units in the cells", "power", &["200 mW", "0.2 W", "0.2W", "0,2 Watt", "200 milliwatts", "0.0002 kW"]),
        watts("Cyrillic watts", "мощность", &["0,2 Вт", "200 мВт"]),
        column("dBm with signs", "power dBm", &["+23", "23 dBm", "\u{2212}3", "0"]).gives(&[
            "12:00 Q1ABC > Q0STU unknown 23 dBm",
            "12:00 Q1ABC > Q1STU unknown 23 dBm",
            "12:00 Q1ABC > Q2STU unknown -3 dBm",
            "12:00 Q1ABC > Q3STU unknown 0 dBm",
        ]),
        column("whole watts, no unit anywhere", "power", &["5", "5", "100", "100"])
            .gives(&[
                "12:00 Q1ABC > Q0STU unknown 36.99 dBm",
                "12:00 Q1ABC > Q1STU unknown 36.99 dBm",
                "12:00 Q1ABC > Q2STU unknown 50 dBm",
                "12:00 Q1ABC > Q3STU unknown 50 dBm",
            ])
            .says(NoteKind::PowerUnitAssumed),
        column("megawatts by a slip of the shift key", "power", &["200 MW", "200 mW"])
            .gives(&["12:00 Q1ABC > Q0STU unknown", "12:00 Q1ABC > Q1STU unknown 23.01 dBm"])
            .says(NoteKind::PowerUnreadable),
        column("levels relative to a watt", "power dBW", &["-7", "-7"])
            .gives(&["12:00 Q1ABC > Q0STU unknown 23 dBm", "12:00 Q1ABC > Q1STU unknown 23 dBm"]),
    ]);
}
