//! Antenna tests whose true answer is known, from file to verdict; see `tests/samples/trials/PROVENANCE.md`.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use farheard::share::readout::{Input, Readout, Request};
use farheard::study::runs::{Rule, Run};
use farheard::time::UtcTime;
use serde_json::Value;

/// One band's result of one test.
#[derive(Debug)]
struct Result {
    design: String,
    name: String,
    truth_db: f64,
    difference_db: Option<f64>,
    interval_db: Option<(f64, f64)>,
    verdict: String,
}

impl Result {
    fn holds(&self) -> Option<bool> {
        self.interval_db.map(|(low, high)| low <= self.truth_db && self.truth_db <= high)
    }

    /// Does it claim the weaker antenna to be the stronger?
    fn wrong_sign(&self) -> bool {
        (self.verdict == "b-stronger" && self.truth_db < 0.0) || (self.verdict == "a-stronger" && self.truth_db > 0.0)
    }
}

fn folder() -> std::path::PathBuf {
    std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../tests/samples/trials")
}

fn rule(marks: &Value, start: UtcTime) -> Rule {
    let mut rule =
        Rule { power_dbm: marks["power"].as_f64(), call: marks["call"].as_str().map(str::to_owned), ..Rule::default() };
    let day = |value: &Value| start.day_number() + u32::try_from(value.as_u64().unwrap()).unwrap();
    rule.days = match marks.get("day").or(marks.get("days")) {
        Some(Value::Array(days)) => Some(days.iter().map(day).collect()),
        Some(one) => Some(vec![day(one)]),
        None => None,
    };
    rule
}

#[allow(clippy::disallowed_methods, reason = "the test reads files, not the core")]
fn document(name: &str, truth: &Value) -> Value {
    let start = UtcTime::parse_iso(truth["start"].as_str().unwrap()).unwrap();
    let true_power_dbm = (truth["design"] == "alternating").then_some(23.0);
    let run = |name: &str, marks: &Value| Run {
        name: name.to_owned(),
        rule: rule(marks, start),
        true_power_dbm,
        feeder_loss_db: 0.0,
    };
    let bytes = std::fs::read(folder().join(format!("{name}.csv.gz"))).unwrap();
    let request = Request {
        runs: vec![run("A", &truth["a"]), run("B", &truth["b"])],
        compare: Some(("A".to_owned(), "B".to_owned())),
        control: truth["control"].as_str().map(str::to_owned),
        ..Request::default()
    };
    let readout = Readout::of(&[Input { name: format!("{name}.csv.gz"), bytes }], request);
    serde_json::from_str(&readout.json()).unwrap()
}

#[allow(clippy::disallowed_methods, reason = "the test reads files, not the core")]
fn results() -> Vec<Result> {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .unwrap()
        .filter_map(|entry| Some(entry.unwrap().file_name().to_str()?.strip_suffix(".json")?.to_owned()))
        .collect();
    names.sort();
    assert_eq!(names.len(), 10);
    let mut all = Vec::new();
    for name in names {
        let truth: Value =
            serde_json::from_str(&std::fs::read_to_string(folder().join(format!("{name}.json"))).unwrap()).unwrap();
        let read = document(&name, &truth);
        assert_eq!(
            read["files"][0]["spots"].as_u64().unwrap() + read["files"][0]["duplicates"].as_u64().unwrap(),
            truth["rows"].as_u64().unwrap(),
            "{name}"
        );
        let design = match truth["design"].as_str().unwrap() {
            "alternating" | "two-senders" => "interleaved",
            "next-day-control" => "separate-days-control",
            _ => "separate-days",
        };
        assert_eq!(read["compare"]["design"], design, "{name}");
        for part in read["compare"]["bands"].as_array().unwrap() {
            let band = part["band"].as_str().unwrap();
            all.push(Result {
                design: truth["design"].as_str().unwrap().to_owned(),
                name: format!("{name} {band}"),
                truth_db: truth["b_minus_a_db"][band].as_f64().unwrap(),
                difference_db: part["difference_db"].as_f64(),
                interval_db: part["low_db"].as_f64().zip(part["high_db"].as_f64()),
                verdict: part["verdict"].as_str().unwrap().to_owned(),
            });
        }
    }
    all
}

#[test]
fn the_truth_lies_within_the_intervals_as_often_as_they_say() {
    let all = results();
    let tell = |designs: &[&str]| -> (usize, usize) {
        let of: Vec<_> =
            all.iter().filter(|result| designs.contains(&result.design.as_str())).filter_map(Result::holds).collect();
        (of.iter().filter(|&&holds| holds).count(), of.len())
    };
    // 2 of 18 misses lie within what 95 % intervals scatter; the calibration has the exact shares
    let (held, of) = tell(&["alternating", "two-senders"]);
    assert!(of >= 18 && held + 2 >= of, "{held} of {of}");
    let (held, of) = tell(&["next-day", "next-day-control", "four-days"]);
    assert!(of >= 12 && held + 1 >= of, "{held} of {of}");
    for result in &all {
        assert!(!result.wrong_sign(), "{result:?}");
    }
}

#[test]
fn taking_turns_finds_the_difference_closely() {
    for result in results().iter().filter(|result| ["alternating", "two-senders"].contains(&result.design.as_str())) {
        let off = result.difference_db.unwrap() - result.truth_db;
        assert!(off.abs() <= 1.2, "{}: {off}", result.name);
    }
}

#[test]
fn one_day_each_does_not_pretend_to_tell() {
    for result in results().iter().filter(|result| result.design == "next-day") {
        assert!(result.verdict == "not-enough" || result.holds() == Some(true), "{result:?}");
    }
}
