//! Made files for tests: the same cases every time.

use std::fmt::Write as _;
use std::io::Write as _;

use flate2::Compression;
use flate2::write::GzEncoder;

/// Numbers below the one given.
pub(crate) fn random() -> impl FnMut(usize) -> usize {
    let mut seed = 11_u64;
    move |n| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from((seed >> 33) % n as u64).unwrap_or(0)
    }
}

/// How often a cell is odd, from never to often; 0 for never.
fn odds(round: usize) -> usize {
    [0, 200, 20, 6][round / 4 % 4]
}

/// Has the table of a round odd cells?
pub(crate) fn is_odd(round: usize) -> bool {
    odds(round) > 0
}

/// A table with every kind of odd cell among plain ones: delimiters, line ends, order of times and how many odd cells
/// there are differ from round to round.
pub(crate) fn table_with_odd_cells(next: &mut impl FnMut(usize) -> usize, round: usize) -> String {
    let headers = [
        "utc,sender,sender locator,listener,listener locator,MHz,band,SNR,drift,dBm,remark",
        "utc;sender;sender locator;listener;listener locator;kHz;band;SNR;drift;W;remark",
    ];
    let other = round % 2;
    let delimiter = [',', ';'][other];
    let end = ["\n", "\r\n"][round / 2 % 2];
    let odd = odds(round);
    let sorted = !round.is_multiple_of(3);
    let mut text = format!("{}{end}", headers[other]);
    for row in 0..next(300) + 20 {
        let minute = if sorted { row / 9 * 2 } else { next(200) * 2 };
        let (day, hour, minute) = (minute / 1440 + 1, minute / 60 % 24, minute % 60);
        let mut cell = |usual: String, odds: &[&str]| {
            if odd > 0 && next(odd) == 0 { odds[next(odds.len())].to_owned() } else { usual }
        };
        let time = cell(
            format!("2031-01-{day:02} {hour:02}:{minute:02}"),
            &["2031-01-02T03:04:05Z", "2031-01-02 03:04+02:00", "", "no time", "2031-13-40 00:00", "1931914800"],
        );
        let sender = cell("Q7TST".to_owned(), &["q7tst", "<Q7TST>", "Q7TST/P", "", "...", "JO10"]);
        let sender_place = cell("JN99fl".to_owned(), &["jn99FL", "JN99", "", "-", "JN9", "Q1AB"]);
        let listener = format!("Q{}A{}", next(9), char::from(b'A' + u8::try_from(next(5)).unwrap_or(0)));
        let mut cell = |usual: String, odds: &[&str]| {
            if odd > 0 && next(odd) == 0 { odds[next(odds.len())].to_owned() } else { usual }
        };
        let listener = cell(listener, &["Q1ÖA", " Q2AB ", "Q3AB,", "\"Q4AB\"", "Q5\"AB", "unknown"]);
        let place = cell("JO10ab".to_owned(), &["JO10", "", "n/a", "JO10ab99", "ZZ99"]);
        let (freq, power) = if other == 0 { ("14.0971", "23") } else { ("14097.15", "0.2") };
        let freq = cell(freq.to_owned(), &["", "-14.0971", "14,0971", "7.040123", "abc", "1e400", "0", "99999999"]);
        let band = cell("20m".to_owned(), &["40m", "", "20 m", "xx"]);
        let snr = cell("-21".to_owned(), &["", "-3.5", "+4", "599", "-21 dB", "x", "-0", "120"]);
        let drift = cell("0".to_owned(), &["-1", "", "2.5", "20000", "x", "-0"]);
        let power = cell(power.to_owned(), &["", "37", "5 W", "x", "1000"]);
        let remark = cell(String::new(), &["good", "a \"b\"", "x,y;z", "\"x\ny\"", "\t"]);
        let cells = [time, sender, sender_place, listener, place, freq, band, snr, drift, power, remark];
        text += &cells.join(&delimiter.to_string());
        let line = write!(text, "{end}");
        assert!(line.is_ok());
        match if odd > 0 { next(odd * 4) } else { 9 } {
            0 => text += "# a comment\n",
            1 => text += "\n",
            2 => text.extend([headers[other], end]),
            _ => {}
        }
    }
    if round.is_multiple_of(5) {
        text.truncate(text.trim_end().len());
    }
    text
}

/// A gzip file of one member.
pub(crate) fn gzipped(text: &[u8]) -> Vec<u8> {
    let mut encoder = GzEncoder::new(Vec::new(), Compression::default());
    encoder.write_all(text).unwrap();
    encoder.finish().unwrap()
}
