//! A figure, what it is held against, and its goals.

use serde_json::{Value, json};

/// What a figure counts in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Unit {
    Milliseconds,
    Megabytes,
    BytesASpot,
}

impl Unit {
    /// The value in words.
    pub(super) fn words(self, value: f64) -> String {
        let digits = usize::from(value < 9.95) + usize::from(value < 0.995);
        match self {
            Self::Milliseconds => format!("{value:.digits$} ms"),
            Self::Megabytes => format!("{value:.0} MB"),
            Self::BytesASpot => format!("{value:.1} bytes"),
        }
    }

    fn name(self) -> &'static str {
        match self {
            Self::Milliseconds => "ms",
            Self::Megabytes => "MB",
            Self::BytesASpot => "bytes a spot",
        }
    }
}

/// What was measured of Farheard, and what stands beside it.
#[derive(Clone, Debug)]
pub(super) struct Figure {
    pub what: &'static str,
    /// Where it ran.
    pub place: &'static str,
    /// What it was done to, in words: `1 000 000 spots`.
    pub of: String,
    pub value: f64,
    pub unit: Unit,
    /// Of how many rounds this is the median.
    pub rounds: usize,
    /// What follows from it: `198 MB/s`.
    pub more: Vec<(&'static str, f64)>,
    /// The most that the value shall be.
    pub goal: Option<f64>,
    pub beside: Vec<Beside>,
}

/// A yardstick beside a figure, measured in the same run in the same unit.
#[derive(Clone, Debug)]
pub(super) struct Beside {
    pub name: String,
    /// Its value, or in words why there is none.
    pub value: Result<f64, String>,
    /// The most that Farheard's share of it shall be: 0.5 for twice as fast, 1.5 for half as long again.
    pub goal: Option<f64>,
}

impl Beside {
    pub(super) fn new(name: impl Into<String>, value: f64) -> Self {
        Self { name: name.into(), value: Ok(value), goal: None }
    }

    pub(super) fn missing(name: impl Into<String>, why: impl Into<String>) -> Self {
        Self { name: name.into(), value: Err(why.into()), goal: None }
    }

    pub(super) fn with_goal(self, goal: Option<f64>) -> Self {
        Self { goal, ..self }
    }

    /// How much of the yardstick Farheard takes: below 1 it is the faster, or the smaller.
    pub(super) fn share(&self, farheard: f64) -> Option<f64> {
        self.value.as_ref().ok().map(|value| farheard / value.max(1e-9))
    }
}

/// A share in words.
pub(super) fn share_words(share: f64) -> String {
    if share < 1.0 { format!("{} times as fast", few(1.0 / share)) } else { format!("{} times as long", few(share)) }
}

/// To two digits, or to whole ones from ten on.
fn few(ratio: f64) -> String {
    let digits = if ratio < 1.995 { 2 } else { usize::from(ratio < 9.95) };
    format!("{ratio:.digits$}")
}

/// A goal for a share in words.
pub(super) fn goal_words(goal: f64) -> String {
    let (word, ratio) = if goal < 1.0 { ("at least", 1.0 / goal) } else { ("at most", goal) };
    let what = if goal < 1.0 { "times as fast" } else { "times as long" };
    let digits = usize::from((ratio - ratio.round()).abs() > 0.01);
    format!("{word} {ratio:.digits$} {what}")
}

/// Whether a goal is met, in a word.
pub(super) fn met_word(value: f64, goal: f64) -> &'static str {
    if value <= goal { "met" } else { "missed" }
}

impl Figure {
    /// A time.
    pub(super) fn ms(what: &'static str, place: &'static str, of: String, value: f64, rounds: usize) -> Self {
        let unit = Unit::Milliseconds;
        Self { what, place, of, value, unit, rounds, more: Vec::new(), goal: None, beside: Vec::new() }
    }

    pub(super) fn json(&self) -> Value {
        let goal = |value: Option<f64>, goal: Option<f64>| match (value, goal) {
            (Some(value), Some(goal)) => json!({ "at_most": goal, "met": value <= goal }),
            _ => Value::Null,
        };
        let beside = |beside: &Beside| {
            let share = beside.share(self.value);
            json!({
                "name": beside.name,
                "value": beside.value.as_ref().ok(),
                "why_missing": beside.value.as_ref().err(),
                "farheards_share": share,
                "goal": goal(share, beside.goal),
            })
        };
        json!({
            "what": self.what,
            "place": self.place,
            "of": self.of,
            "value": self.value,
            "unit": self.unit.name(),
            "rounds": self.rounds,
            "more": self.more.iter().map(|(unit, value)| json!({ "unit": unit, "value": value })).collect::<Vec<_>>(),
            "goal": goal(Some(self.value), self.goal),
            "beside": self.beside.iter().map(beside).collect::<Vec<_>>(),
        })
    }
}

/// A whole number with its thousands apart, as the table writes it.
pub(super) fn grouped(number: usize) -> String {
    let digits = number.to_string();
    let mut out = String::new();
    for (at, digit) in digits.chars().enumerate() {
        if at > 0 && (digits.len() - at).is_multiple_of(3) {
            out.push(' ');
        }
        out.push(digit);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn shares_and_goals_in_words() {
        let beside = Beside::new("loop", 800.0);
        assert_eq!(beside.share(400.0), Some(0.5));
        assert_eq!(share_words(0.5), "2.0 times as fast");
        assert_eq!(share_words(1.0 / 12.4), "12 times as fast");
        assert_eq!(share_words(1.256), "1.26 times as long");
        assert_eq!(goal_words(1.0 / 8.0), "at least 8 times as fast");
        assert_eq!(goal_words(1.5), "at most 1.5 times as long");
        assert_eq!(goal_words(1.0 / 1.7), "at least 1.7 times as fast");
        assert_eq!((met_word(0.125, 1.0 / 8.0), met_word(0.126, 1.0 / 8.0)), ("met", "missed"));
        assert_eq!(Beside::missing("library", "no network").share(400.0), None);
    }

    #[test]
    fn numbers_in_words() {
        assert_eq!([grouped(7), grouped(1_000), grouped(10_000_000)], ["7", "1 000", "10 000 000"]);
        assert_eq!(Unit::Milliseconds.words(0.123), "0.12 ms");
        assert_eq!(Unit::Milliseconds.words(9.94), "9.9 ms");
        assert_eq!(Unit::Milliseconds.words(312.4), "312 ms");
        assert_eq!(Unit::BytesASpot.words(40.04), "40.0 bytes");
    }

    #[test]
    fn json_says_what_is_met_and_why_something_is_missing() {
        let mut figure = Figure::ms("reading", "native", "1 000 spots".to_owned(), 2.0, 5);
        figure.goal = Some(3.0);
        figure.beside = vec![Beside::new("loop", 1.0).with_goal(Some(1.5)), Beside::missing("library", "no network")];
        let json = figure.json();
        assert_eq!(json["goal"], json!({ "at_most": 3.0, "met": true }));
        assert_eq!(json["beside"][0]["farheards_share"], 2.0);
        assert_eq!(json["beside"][0]["goal"]["met"], false);
        assert_eq!(json["beside"][1]["why_missing"], "no network");
        assert_eq!(json["beside"][1]["value"], Value::Null);
    }
}
