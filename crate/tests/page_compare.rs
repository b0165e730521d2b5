//! Runs, Compare and Plan without a browser: what controls do, and that the figures are those of the readout.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

mod page;

use std::collections::BTreeMap;

use farheard::page::{Boot, Event, Origin, Patch};
use farheard::share::readout::{Input, Readout, Request};
use farheard::study::runs::{Rule, Run};
use farheard::words::number::{count, difference};
use serde_json::Value;

/// The shared page, with what this one asks of it besides.
struct Page {
    shared: page::Page,
    settings: String,
    saved: Vec<(String, String)>,
}

impl Page {
    fn with(settings: &str) -> Self {
        let boot = Boot { settings: settings.to_owned(), ..Boot::default() };
        let mut page = Self { shared: page::Page::with(boot), settings: String::new(), saved: Vec::new() };
        page.keep();
        page
    }

    /// Keeps what the last event asked for.
    fn keep(&mut self) {
        for patch in &self.shared.other {
            match patch {
                Patch::Settings { text, .. } => self.settings.clone_from(text),
                Patch::Save { name, bytes, .. } => {
                    self.saved.push((name.clone(), String::from_utf8(bytes.clone()).unwrap()));
                }
                _ => {}
            }
        }
    }

    fn tell(&mut self, event: Event) {
        self.shared.tell(event);
        self.keep();
    }

    fn act(&mut self, act: &str, value: &str) {
        self.shared.act(act, value);
        self.keep();
    }

    fn open(&mut self, files: &[(&str, Vec<u8>)], origin: Origin) {
        for (name, bytes) in files {
            self.tell(Event::File { name: (*name).to_owned(), bytes: bytes.clone() });
        }
        self.tell(Event::FilesDone { origin, work: String::new() });
    }

    /// The words of a region, without markup, with plain blanks.
    fn words(&self, region: &str) -> String {
        self.shared.words(region).replace('\u{a0}', " ")
    }

    fn html(&self, region: &str) -> &str {
        self.shared.html(region)
    }

    /// Figures of the table by band: its difference as shown, by the key of its row.
    fn differences(&self) -> BTreeMap<String, String> {
        let html = self.html("middle");
        let mut found = BTreeMap::new();
        for row in html.split("id=\"how-").skip(1) {
            let Some((key, rest)) = row.split_once('"') else { continue };
            if let Some(db) = rest.split_once("<b>").and_then(|(_, rest)| rest.split_once("</b>")) {
                found.insert(key.to_owned(), db.0.to_owned());
            }
        }
        found
    }
}

#[allow(clippy::disallowed_methods, reason = "the test reads files, not the core")]
fn trial(name: &str) -> Vec<u8> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/trials");
    std::fs::read(folder.join(name)).unwrap()
}

#[allow(clippy::disallowed_methods, reason = "the test reads files, not the core")]
fn sample() -> Vec<(&'static str, Vec<u8>)> {
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../sample-files");
    ["two-antennas-two-days.csv", "control-beacon-two-days.csv"]
        .into_iter()
        .map(|name| (name, std::fs::read(folder.join(name)).unwrap()))
        .collect()
}

/// What the native readout says of the same runs.
fn native(files: &[(&str, Vec<u8>)], runs: [Run; 2], control: Option<&str>) -> Value {
    let inputs: Vec<Input> =
        files.iter().map(|(name, bytes)| Input { name: (*name).to_owned(), bytes: bytes.clone() }).collect();
    let compare = Some((runs[0].name.clone(), runs[1].name.clone()));
    let request = Request { runs: runs.into(), compare, control: control.map(str::to_owned), ..Request::default() };
    serde_json::from_str(&Readout::of(&inputs, request).json()).unwrap()
}

fn run(name: &str, rule: &str) -> Run {
    Run { name: name.to_owned(), rule: Rule::parse(rule).unwrap(), ..Run::default() }
}

/// Holds every band of the page against the readout's: difference, interval, pairs and listeners.
fn expect_same(page: &Page, read: &Value) {
    let words = page.words("middle").replace('\u{202f}', "");
    let shown = page.differences();
    let bands = read["compare"]["bands"].as_array().unwrap();
    assert!(bands.len() > 2, "the file has several bands");
    for part in bands {
        let band = part["band"].as_str().unwrap();
        let db = part["difference_db"].as_f64().map_or("\u{2013}".to_owned(), difference);
        assert_eq!(shown.get(band), Some(&db), "{band}");
        if let (Some(low), Some(high)) = (part["low_db"].as_f64(), part["high_db"].as_f64()) {
            let interval = format!("{} to {}", difference(low), difference(high));
            assert!(words.contains(&interval), "{band}: {interval} in {words}");
        }
        let pairs = count(usize::try_from(part["pairs_used"].as_u64().unwrap()).unwrap()).replace('\u{202f}', "");
        let listeners = part["listeners"].as_u64().unwrap();
        assert!(words.contains(&format!("{pairs} {listeners}")), "{band}: {pairs} pairs, {listeners} listeners");
    }
}

#[test]
fn powers_in_turn_are_proposed_as_runs_and_compare_as_the_readout_does() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    let left = page.words("left");
    assert!(left.contains("2 runs, as 2 reported powers take turns."), "{left}");
    page.act("view", "compare");
    let read = native(&files, [run("20 dBm", "power=20"), run("23 dBm", "power=23")], None);
    expect_same(&page, &read);
    assert!(page.words("left").contains("Were these the powers sent"), "a difference of powers is asked about");
    let caution = "apart, are taken as sent: see Correction if they only mark the antennas.";
    assert!(page.words("answer").contains(caution), "{}", page.words("answer"));
    // the powers were marks only: every difference moves by the same
    let before = page.differences();
    page.act("run-mark-only", "");
    let equal = |name: &str, rule: &str| Run { true_power_dbm: Some(23.0), ..run(name, rule) };
    let read = native(&files, [equal("20 dBm", "power=20"), equal("23 dBm", "power=23")], None);
    expect_same(&page, &read);
    assert_ne!(page.differences(), before);
    assert!(!page.words("answer").contains(caution), "{}", page.words("answer"));
}

#[test]
fn a_card_changes_names_and_figures_and_says_what_it_does_not_understand() {
    let files = [("two-senders-001.csv.gz", trial("two-senders-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    let before = page.differences();
    page.act("run-open", "1");
    assert!(page.html("middle").contains("id=\"run-editor\""));
    page.act("run-set", "1:name:Loop <b>");
    assert!(page.words("left").contains("Loop"));
    assert!(!page.html("left").contains("<b>Loop <b>"), "a name never becomes markup");
    page.act("run-set", "1:power:250");
    assert!(page.words("middle").contains("write a power with its unit"));
    assert_eq!(page.differences(), before, "what is not understood changes nothing");
    page.act("run-set", "1:loss:2,5");
    let moved = page.differences();
    for (band, db) in &before {
        let figure = |text: &str| text.replace('\u{2212}', "-").parse::<f64>();
        if let (Ok(old), Ok(new)) = (figure(db), figure(&moved[band])) {
            assert!((new - old - 2.5).abs() < 0.11, "{band}: {old} to {new}");
        }
    }
    assert!(page.words("left").contains("+2.5 dB"), "the correction stands on a line of its own");
    page.act("run-set", "1:name:");
    assert!(page.words("middle").contains("A run needs a name."));
    page.act("escape", "");
    assert!(!page.html("middle").contains("id=\"run-editor\""));
}

#[test]
fn exchange_flips_every_sign_and_the_winner_stays() {
    let files = [("alternating-002.csv.gz", trial("alternating-002.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    let before = page.differences();
    page.act("run-exchange", "");
    let flip = |text: &String| match text.chars().next() {
        Some('+') => text.replace('+', "\u{2212}"),
        Some('\u{2212}') => text.replace('\u{2212}', "+"),
        _ => text.clone(),
    };
    let flipped: BTreeMap<String, String> = before.iter().map(|(band, db)| (band.clone(), flip(db))).collect();
    assert_eq!(page.differences(), flipped);
    page.act("run-exchange", "");
    assert_eq!(page.differences(), before);
}

#[test]
fn removing_a_run_can_be_undone_and_one_run_after_all_too() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    let before = page.differences();
    page.act("run-remove", "1");
    assert!(page.words("left").contains("was removed. Undo"));
    assert!(page.words("middle").contains("Two runs are needed"));
    page.act("run-undo", "");
    assert_eq!(page.differences(), before);
    page.act("run-single", "");
    assert!(page.words("middle").contains("Two runs are needed"));
    page.act("run-undo", "");
    assert_eq!(page.differences(), before);
}

#[test]
fn the_sample_is_compared_with_its_control_and_stays_marked() {
    let mut page = Page::with("");
    page.open(&sample(), Origin::Sample);
    page.act("view", "compare");
    let runs = [run("Doublet", "days=2031-10-11"), run("Vertical", "days=2031-10-13")];
    let read = native(&sample(), runs, Some("Q4MIL"));
    assert_eq!(read["compare"]["design"], "separate-days-control");
    expect_same(&page, &read);
    let answer = page.words("answer");
    assert!(answer.contains("SAMPLE"), "{answer}");
    let winner = read["compare"]["bands"].as_array().unwrap().iter().find(|part| part["band"] == "20m").unwrap();
    assert_eq!(winner["verdict"], "b-stronger");
    assert!(page.html("answer").contains("<span class=\"b\">Vertical</span> is stronger"), "{answer}");
    page.act("how", "20m");
    let how = page.words("middle");
    assert!(
        how.contains("Before the control was taken off: +") && how.contains("the control itself changed by"),
        "{how}"
    );
    // without the control nothing is claimed, no name takes a colour, and a test that would settle it is named
    page.act("run-control", "");
    let answer = page.words("answer");
    assert!(answer.contains("Doublet and Vertical cannot be told apart"), "{answer}");
    assert!(!page.html("answer").contains("class=\"b\""));
    assert!(page.words("right").contains("Plan this test"));
    // the allowance is an assumption that can be changed
    page.act("run-days", "0.5");
    assert!(page.words("right").contains("0.5 dB SD"));
    let how = page.words("middle");
    assert!(how.contains("the pairs alone would make it ±") && !how.contains("the control itself"), "{how}");
}

#[test]
fn a_second_sender_in_the_file_may_be_the_tested_one() {
    let mut page = Page::with("");
    page.open(&[("next-day-control-001.csv.gz", trial("next-day-control-001.csv.gz"))], Origin::Person);
    page.act("view", "compare");
    let words = page.words("middle");
    assert!(words.contains("Q7TST is in the file too, with") && words.contains("Test Q7TST"), "{words}");
    page.act("station", "sends:Q7TST");
    page.act("run-days-each", "");
    page.act("run-control", "Q9CTL");
    assert!(page.words("left").contains("Q9CTL"));
    assert_eq!(page.differences().len(), 6, "five bands and all");
    let mut page = Page::with("");
    page.open(&[("next-day-001.csv.gz", trial("next-day-001.csv.gz"))], Origin::Person);
    page.act("view", "compare");
    page.act("run-single", "");
    assert!(!page.words("middle").contains("is in the file too"));
}

#[test]
fn filters_act_on_the_comparison() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    let all = page.differences();
    let band = all.keys().find(|key| *key != "all").unwrap().clone();
    page.act("open", "band");
    page.act("band", &band);
    let one = page.differences();
    assert_eq!(one.len(), 1, "{one:?}");
    assert_eq!(one[&band], all[&band]);
}

#[test]
fn a_second_file_of_another_day_is_offered_to_be_compared_first() {
    let row = |day: u32, minute: u32, snr: i32, call: &str| {
        format!("2031-01-{day:02} {:02}:{:02},Q7TST,JN99fl,23,{call},JO10ej,7.0401,{snr}\n", minute / 60, minute % 60)
    };
    let file = |day: u32, better: i32| {
        let mut text =
            String::from("utc,sender,sender locator,power dBm,listener,listener locator,frequency MHz,SNR dB\n");
        for minute in (0..1200).step_by(10) {
            for (place, call) in (0..).zip(["Q1AA", "Q2BB", "Q3CC", "Q4DD", "Q5EE", "Q6FF"]) {
                text += &row(day, minute, better - place - i32::try_from(minute % 7).unwrap(), call);
            }
        }
        text.into_bytes()
    };
    let mut page = Page::with("");
    page.open(&[("loop.csv", file(16, -10))], Origin::Person);
    page.open(&[("loop.csv", file(17, -4))], Origin::Person);
    let notice = page.html("notice").to_owned();
    let (first, rest) = notice.split_once("id=\"second-").map(|(_, rest)| rest.split_once('"').unwrap()).unwrap();
    assert_eq!(first, "compare", "{rest}");
    page.act("second", "compare");
    assert!(page.html("bar").contains("id=\"nav-compare\" data-act=\"view\" data-value=\"compare\" aria-current"));
    let shown = page.differences();
    assert_eq!(shown.get("40m").map(String::as_str), Some("+6.0"), "{shown:?}");
    // a day each and no control: six decibels are within what days differ by
    assert!(page.words("answer").contains("cannot be told apart"));
    assert!(page.words("left").contains("loop"));
}

#[test]
fn a_reload_finds_runs_pair_and_assumptions_again() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    page.act("run-set", "0:name:Dipole, low & long");
    page.act("run-set", "0:power:23 dBm");
    page.act("run-exchange", "");
    page.act("run-small", "1");
    let (shown, settings) = (page.differences(), page.settings.clone());
    let mut again = Page::with(&settings);
    again.open(&files, Origin::Person);
    assert_eq!(again.differences(), shown);
    assert!(again.html("left").contains("Dipole, low &#38; long"));
    assert_eq!(again.settings, settings);
}

#[test]
fn the_plan_reckons_with_the_data_and_hands_out_a_balanced_schedule() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "plan");
    let words = page.words("middle");
    assert!(words.contains("cannot tell 2 dB, however long"), "{words}");
    assert!(words.contains("power lines") && words.contains("Local codes"), "cautions stand there");
    page.act("plan-hours", "12");
    page.act("plan-save", "");
    let (name, text) = page.saved.pop().unwrap();
    assert_eq!(name, "antenna-schedule.csv");
    let of = |antenna: &str| text.lines().filter(|line| line.ends_with(&format!("\"{antenna}\""))).count();
    assert!(of("20 dBm") > 0 && of("20 dBm") == of("23 dBm"), "{text}");
    let first: Vec<&str> = text.lines().skip(1).take(4).map(|line| line.rsplit(',').next().unwrap()).collect();
    assert_eq!(first, ["\"20 dBm\"", "\"23 dBm\"", "\"23 dBm\"", "\"20 dBm\""]);
    // 4 Ah of 5 usable at 0.1 A all the time: 40 h
    page.act("plan-capacity", "5");
    page.act("plan-transmit", "0,1");
    page.act("plan-idle", "0.1");
    assert!(page.words("middle").contains("lasts 40 h down to 20 %"), "{}", page.words("middle"));
}

#[test]
fn the_loss_of_a_feeder_is_reckoned_and_taken_over() {
    let files = [("two-senders-001.csv.gz", trial("two-senders-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("run-open", "0");
    page.act("run-use-loss", "0");
    assert!(!page.words("left").contains("feeder loss"), "nothing is taken over before there is something");
    page.act("run-set", "0:line:RG-58");
    page.act("run-set", "0:length:20");
    page.act("run-set", "0:mhz:7");
    // 0.76 dB by hand, in the tests of the feeder
    assert!(page.words("middle").contains("At 7 MHz 0.8 dB matched."), "{}", page.words("middle"));
    page.act("run-use-loss", "0");
    assert!(page.words("left").contains("feeder loss 0.76 dB"), "{}", page.words("left"));
    page.act("run-set", "0:swr:4");
    assert!(page.words("middle").contains("more by the SWR"));
    page.act("run-set", "0:swr:0.5");
    assert!(page.words("middle").contains("is not a standing wave ratio from 1"), "{}", page.words("middle"));
    page.act("run-set", "0:length:-3");
    assert!(page.words("middle").contains("is not a length in metres"));
}

#[test]
fn the_time_of_a_run_is_set_on_the_strip() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    let before = page.words("left");
    page.act("run-drawn", "60..120");
    assert_eq!(page.words("left"), before, "no editor is open");
    page.act("run-open", "0");
    page.act("run-drawn", "60..720");
    let words = page.words("middle");
    assert!(words.contains("01:00 UTC until before 2031-12-31 12:00 UTC"), "{words}");
    page.act("run-to-min", "30");
    assert!(page.words("middle").contains("It has no spot"), "the end stops at the beginning");
    page.act("run-to-min", "1440");
    page.act("run-from-min", "0");
    assert_eq!(page.words("left"), before.replace("2 runs, as 2 reported powers take turns. One run after all ", ""));
    for nonsense in ["", "x..y", "120..60", "NaN", "60..60"] {
        page.act("run-drawn", nonsense);
        page.act("run-from-min", nonsense);
    }
    assert!(!page.words("middle").contains("until before"));
}

#[test]
fn days_of_one_file_become_runs_in_one_press() {
    let files = [("next-day-001.csv.gz", trial("next-day-001.csv.gz"))];
    let mut page = Page::with("");
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    assert!(page.words("middle").contains("One run for each day"), "{}", page.words("middle"));
    page.act("run-days-each", "");
    assert!(page.words("answer").contains("cannot be told apart"), "{}", page.words("answer"));
    assert!(page.words("right").contains("One day each cannot separate the antenna from the day"));
    page.act("run-undo", "");
    assert!(page.words("middle").contains("Two runs are needed"));
}

#[test]
fn nonsense_changes_nothing() {
    let files = [("alternating-001.csv.gz", trial("alternating-001.csv.gz"))];
    let mut page = Page::with("run=~&pair=9,9&control=Q0NO&small=x&run=A~hz=9..1");
    for act in ["run-add", "run-remove", "run-set", "run-undo", "run-mark-only", "plan-save", "how"] {
        page.act(act, "7");
    }
    page.open(&files, Origin::Person);
    page.act("view", "compare");
    let before = page.differences();
    for (act, value) in [
        ("run-remove", "99"),
        ("run-set", "0"),
        ("run-set", "x:name:y"),
        ("run-set", "0:minutes:99"),
        ("run-set", "0:from:noon"),
        ("run-set", "0:nonsense:1"),
        ("run-a", "99"),
        ("run-control", "Q0NOBODY"),
        ("run-small", "-3"),
        ("plan-wanted", "0"),
        ("plan-begin", "99:99"),
        ("plan-silent", "-1"),
        ("how", "nothing"),
    ] {
        page.act(act, value);
        page.act("view", "compare");
        assert_eq!(page.differences(), before, "{act} {value}");
    }
}
