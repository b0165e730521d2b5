//! Runs in the address: what a person changed about them, to find it again after a reload.
//!
//! `run=Loop~power=20~23~1.2&pair=1,0&control=Q9CTL`: name, rule as the command line takes it, true power in dBm and
//! feeder loss in dB. What stands for a letter that means something in an address is written as `%` and its bytes.

use std::fmt::Write as _;

use super::loaded::Loaded;
use super::percent::{decoded, encoded};
use super::runs::{Card, MOST_RUNS, Runs};
use super::words::number;
use crate::study::runs::{Rule, Run, assign};

/// What an address says of the control beacon.
#[derive(Clone, Debug, Default)]
enum AskedControl {
    /// Nothing: the page chooses.
    #[default]
    Unsaid,
    /// There is none.
    Without,
    /// The beacon of this call.
    Call(String),
}

/// What an address says of runs.
#[derive(Clone, Debug, Default)]
pub(super) struct AskedRuns {
    cards: Vec<Card>,
    pair: Option<(usize, usize)>,
    control: AskedControl,
    too_small_db: Option<f64>,
    day_to_day_db: Option<f64>,
}

impl AskedRuns {
    /// The words that it takes.
    pub(super) const WORDS: [&str; 5] = ["run", "pair", "control", "small", "days"];

    /// Takes in one word of an address.
    pub(super) fn take(&mut self, word: &str, value: &str) {
        match word {
            "run" if self.cards.len() < MOST_RUNS => self.cards.extend(card(value)),
            "pair" => {
                let places = value.split_once(',').and_then(|(a, b)| Some((a.parse().ok()?, b.parse().ok()?)));
                self.pair = places.filter(|(a, b): &(usize, usize)| a != b);
            }
            "control" if value.is_empty() => self.control = AskedControl::Without,
            "control" => self.control = AskedControl::Call(decoded(value)),
            "small" => self.too_small_db = number(value).filter(|db| (0.0..=20.0).contains(db)),
            "days" => self.day_to_day_db = number(value).filter(|db| (0.0..=20.0).contains(db)),
            _ => {}
        }
    }
}

impl Runs {
    /// Takes over what an address asks for, as far as it fits what is loaded.
    pub(super) fn take_asked(&mut self, asked: &AskedRuns, loaded: &Loaded) {
        let runs: Vec<Run> = asked.cards.iter().map(|card| card.run.clone()).collect();
        let table = &loaded.table;
        let dealt = assign(table, &table.all_rows(), loaded.tested.side, &runs, Some(loaded.tested.call));
        if !dealt.is_empty() && dealt.iter().all(|rows| !rows.is_empty()) {
            self.cards.clone_from(&asked.cards);
            self.why = None;
        }
        if let Some((a, b)) = asked.pair.filter(|&(a, b)| a.max(b) < self.cards.len()) {
            self.pair = (a, b);
        }
        match &asked.control {
            AskedControl::Call(call) if table.stations().find_call(call).is_some() => self.control = Some(call.clone()),
            AskedControl::Without => self.control = None,
            AskedControl::Call(_) | AskedControl::Unsaid => {}
        }
        self.settings.too_small_db = asked.too_small_db.unwrap_or(self.settings.too_small_db);
        self.settings.day_to_day_db = asked.day_to_day_db.unwrap_or(self.settings.day_to_day_db);
    }

    /// The words of an address for what was changed about the runs.
    pub(super) fn address_parts(&self) -> Vec<String> {
        let mut parts = Vec::new();
        if self.is_changed() {
            for card in &self.cards {
                let Run { name, rule, true_power_dbm, feeder_loss_db } = &card.run;
                let mut part = format!("run={}~{}", encoded(name), encoded(&rule.to_string()));
                if true_power_dbm.is_some() || *feeder_loss_db > 0.0 {
                    let power = true_power_dbm.map_or_else(String::new, |dbm| format!("{dbm}"));
                    // writing to a string cannot fail
                    write!(part, "~{power}~{feeder_loss_db}").ok();
                }
                parts.push(part);
            }
        }
        if self.pair != (0, 1) && self.cards.len() > 1 {
            parts.push(format!("pair={},{}", self.pair.0, self.pair.1));
        }
        if self.control != self.made_control {
            parts.push(format!("control={}", encoded(self.control.as_deref().unwrap_or_default())));
        }
        let usual = crate::study::compare::Settings::default();
        let differs = |a: f64, b: f64| (a - b).abs() > 1e-9;
        if differs(self.settings.too_small_db, usual.too_small_db) {
            parts.push(format!("small={}", self.settings.too_small_db));
        }
        if differs(self.settings.day_to_day_db, usual.day_to_day_db) {
            parts.push(format!("days={}", self.settings.day_to_day_db));
        }
        parts
    }
}

fn card(value: &str) -> Option<Card> {
    let mut parts = value.split('~').map(decoded);
    let (name, rule) = (parts.next()?, parts.next().unwrap_or_default());
    let rule = if rule.trim().is_empty() { Rule::default() } else { Rule::parse(&rule).ok()? };
    let true_power_dbm = parts.next().as_deref().and_then(number);
    let feeder_loss_db = parts.next().as_deref().and_then(number).filter(|db| (0.0..=60.0).contains(db)).unwrap_or(0.0);
    (!name.is_empty()).then(|| Card::of(Run { name, rule, true_power_dbm, feeder_loss_db }))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_read_back_from_an_address() {
        let mut run = Run { name: "Loop & 40 m ~ 50% Ω".to_owned(), ..Run::default() };
        run.rule =
            Rule::parse("file=my export.csv power=20 minutes=0,4 from=2031-04-27T06:00Z days=2031-04-27").unwrap();
        run.true_power_dbm = Some(23.0);
        run.feeder_loss_db = 1.2;
        let runs = {
            let mut runs = Runs::of_cards(Vec::new(), 0);
            runs.cards.push(Card::of(run));
            runs
        };
        let parts = runs.address_parts();
        assert!(parts.iter().all(|part| part.is_ascii() && !part.contains(['&', '#', ' '])), "{parts:?}");
        let mut asked = AskedRuns::default();
        for part in &parts {
            let (word, value) = part.split_once('=').unwrap();
            asked.take(word, value);
        }
        assert_eq!(asked.cards, runs.cards);
        asked.take("run", "~");
        asked.take("run", "x~nonsense=1");
        asked.take("pair", "1,1");
        assert_eq!((asked.cards.len(), asked.pair), (1, None));
    }
}
