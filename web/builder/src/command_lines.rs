//! Command lines made at random: a wrong one is refused in a sentence, a right one is read out; nothing stops the program.
//!
//! `FARHEARD_FUZZ_MINUTES=60 cargo test -p farheard-builder -- command_lines` makes the run longer.

#[path = "../../../crate/tests/fuzz/cases.rs"]
mod cases;
#[expect(dead_code, reason = "shared with the core's tests, which take more of it")]
#[path = "../../../crate/tests/fuzz/chance.rs"]
mod chance;

use std::ffi::OsString;

use farheard::share::readout::{Input, Readout, Unreadable};

use crate::options::{Command, ReadoutOptions, parse};
use crate::readout::request;
use chance::Chance;

/// Cases of every run.
const CASES: u64 = 4000;

/// Two stations heard on two days by some listeners.
fn table() -> Vec<u8> {
    let mut text = "utc,sent by,from,power dBm,heard by,at,MHz,SNR\n".to_owned();
    for row in 0..160 {
        let (day, hour, minute) = (11 + row / 80, row / 6 % 12, row % 6 * 2);
        let (sender, locator) = [("Q6HUT", "JN58"), ("Q4MIL", "JN59"), ("Q6HUT", "JN58td")][row % 3];
        let (listener, at) = [("Q1AA", "JO22"), ("Q2XYZ", "FN31pr"), ("Q8STU", "")][row % 7 % 3];
        let (mhz, snr) = (["14.0971", "7.0401", "3.5701"][row % 5 % 3], row % 29);
        let line = format!("2031-10-{day} {hour:02}:{minute:02},{sender},{locator},23,{listener},{at},{mhz},-{snr}\n");
        text.push_str(&line);
    }
    text.into_bytes()
}

const NAMES: &[&str] = &[
    "json",
    "list",
    "station",
    "side",
    "run",
    "true-power",
    "loss",
    "compare",
    "control",
    "bands",
    "from",
    "to",
    "min-km",
    "max-km",
    "bearing",
    "help",
    "no-open",
    "trials",
    "seed",
    "rows",
    "markdown",
    "",
    "-",
    "stations",
    "ru n",
];

/// Names of runs.
const RUNS: &[&str] = &["A", "B", "Low loop", "ä:ö", "", " ", "A, B", "\u{202E}x", "<b>"];

const CONDITIONS: &[&str] = &[
    "file=a.csv",
    "file=two words",
    "call=Q6HUT",
    "call=q4mil",
    "call=",
    "power=23",
    "power=-1e400",
    "power=nan",
    "power=23.5",
    "from=2031-10-11",
    "from=2031-10-11T06:30Z",
    "to=2031-10-12",
    "to=0000-00-00",
    "to=9999999-01-01",
    "days=2031-10-11,2031-10-12",
    "days=2031-02-30",
    "days=,",
    "minutes=0,4",
    "minutes=61",
    "minutes=-2",
    "minutes=18446744073709551616",
    "hz=1400..1600",
    "hz=1600..1400",
    "hz=nan..inf",
    "hz=..",
    "locator=JN58",
    "locator=ZZ",
    "locator=",
    "colour=red",
    "=",
    "==",
    "from",
    "\u{0}",
];

const VALUES: &[&str] = &[
    "Q6HUT",
    "q6hut",
    "Q4MIL",
    "Q9NONE",
    "sends",
    "hears",
    "20m",
    "20m,40m",
    "80m, 40M,",
    "2200m",
    "0m",
    "2031-10-11",
    "2031-10-12T00:00Z",
    "2031-10-11T23:59:60Z",
    "-2031-10-11",
    "now",
    "0",
    "-0",
    "1",
    "500",
    "1e3",
    "1e308",
    "1e999",
    "-1",
    "NaN",
    "inf",
    "20015.1",
    "0..360",
    "350..10",
    "90..90",
    "360..0",
    "-1..5",
    "10..",
    "..",
    "A, B",
    "A,A",
    ",",
    "A: 1",
    "A: nan",
    "B: -40",
    "Low loop: 1e300",
    ": 3",
    "A:",
    "",
    " ",
    "\t",
    "ä",
    "\u{202E}evil",
    "=cmd|x",
    "'",
    "18446744073709551616",
    "0x10",
    "٣",
    "１",
    "<script>alert(1)</script>",
    "--json",
    "-h",
];

fn value(name: &str, chance: &mut Chance) -> String {
    let run = |chance: &mut Chance| *chance.of_list(RUNS);
    match name {
        "run" => {
            let conditions: Vec<&str> = (0..=chance.below(3)).map(|_| *chance.of_list(CONDITIONS)).collect();
            format!("{}: {}", run(chance), conditions.join(" "))
        }
        "true-power" | "loss" if !chance.one_in(4) => format!("{}: {}", run(chance), chance.of_list(VALUES)),
        "compare" if !chance.one_in(4) => format!("{}, {}", run(chance), run(chance)),
        _ => (*chance.of_list(VALUES)).to_owned(),
    }
}

/// The same word with letters of no alphabet in it, where the system allows such.
fn broken(word: &str) -> OsString {
    #[cfg(unix)]
    {
        use std::os::unix::ffi::OsStringExt as _;
        OsString::from_vec([word.as_bytes(), b"\xff\xfe"].concat())
    }
    #[cfg(not(unix))]
    OsString::from(word)
}

fn line(chance: &mut Chance) -> Vec<OsString> {
    let mut words: Vec<String> = Vec::new();
    match chance.below(12) {
        0 => {}
        1 => words.push((*chance.of_list(&["measure", "calibrate", "guess", "--no-open", ""])).to_owned()),
        _ => words.extend(["readout".to_owned(), "a.csv".to_owned()]),
    }
    // runs that others may name
    for name in ["A", "B"] {
        if chance.one_in(3) {
            words.extend(["--run".to_owned(), format!("{name}: {}", chance.of_list(CONDITIONS))]);
        }
    }
    for _ in 0..chance.below(6) {
        let name = *chance.of_list(NAMES);
        match chance.below(8) {
            0 => words.push(value(name, chance)),
            1 => words.push(format!("--{name}")),
            2 => words.push(format!("--{name}={}", value(name, chance))),
            _ => words.extend([format!("--{name}"), value(name, chance)]),
        }
    }
    let mut words: Vec<OsString> = words.into_iter().map(OsString::from).collect();
    if chance.one_in(12) && !words.is_empty() {
        let at = chance.below(words.len());
        words[at] = broken(&words[at].to_string_lossy());
    }
    words
}

/// What the program does with a command line, without its files.
fn tried(words: Vec<OsString>, table: &[u8]) {
    match parse(lexopt::Parser::from_args(words)) {
        Err(error) => {
            let said = error.to_string();
            assert!(said.trim().len() > 8, "a refusal that says nothing: {said:?}");
        }
        Ok(Command::Readout(options)) => read_out(&options, table),
        Ok(_) => {}
    }
}

fn read_out(options: &ReadoutOptions, table: &[u8]) {
    let file = Input { name: "a.csv".to_owned(), bytes: table.to_vec() };
    let missing = Unreadable { name: "b.csv".to_owned(), why: "it is not there".to_owned() };
    let files = [Ok(&file), Err(&missing)];
    let given = files.iter().take(options.files.len().min(2)).copied();
    let readout = Readout::of_opened(given, request(options));
    assert!(!readout.text().is_empty());
    let json: serde_json::Value = serde_json::from_str(&readout.json()).unwrap();

    assert!(json["spots"].is_u64() && json["listeners"].is_u64(), "{json}");
}

#[test]
fn any_command_line_is_refused_in_a_sentence_or_read_out() {
    let table = table();
    cases::every(&[], CASES, |number| tried(line(&mut Chance::of(number)), &table));
}

/// If hardly any were right, nothing would be tried but refusals.
#[test]
fn of_such_command_lines_many_are_right_and_many_are_wrong() {
    let right = (1..1000).filter(|&number| parse(lexopt::Parser::from_args(line(&mut Chance::of(number)))).is_ok());
    let right = right.count();
    assert!((150..850).contains(&right), "{right} of 1000");
}
