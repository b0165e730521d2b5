//! What the controls of runs do: the words of `data-act` that begin with `run-`.

use std::ops::RangeInclusive;

use super::history::is_of_runs;
use super::loaded::Loaded;
use super::message::Patch;
use super::runs::{Card, MOST_RUNS, Runs};
use super::session::Session;
use super::words::number;
use super::zone::Clock;
use crate::study::feeder::Line;
use crate::study::runs::{Rule, Run};
use crate::words::power;

/// Longest name and longest note that a card takes, letters.
const MOST_LETTERS: usize = 400;

impl Session {
    /// Does what a control of the runs asks for.
    pub(super) fn act_runs(&mut self, act: &str, value: &str) {
        let at = value.parse::<usize>().ok();
        match (act, at) {
            ("run-open", Some(at)) if self.runs.open != Some(at) => self.open_run(at),
            ("run-open" | "run-close", _) => {
                self.close_run();
            }
            ("run-add", _) => self.add_run(),
            ("run-remove", Some(at)) => self.remove_run(at),
            ("run-undo", _) if self.history.ends_with(is_of_runs) => self.step(false, ""),
            ("run-undo", _) if self.runs.undo() => self.runs_changed(),
            ("run-single", _) => {
                let Some(work) = &self.work else { return };
                self.runs.remember("All spots are one run now.".to_owned());
                self.runs.cards = Runs::single(&work.loaded);
                self.runs.why = None;
                self.runs_changed();
            }
            ("run-days-each", _) => {
                let Some(work) = &self.work else { return };
                let cards = Runs::by_day(&work.loaded);
                if (2..=MOST_RUNS).contains(&cards.len()) {
                    self.runs.remember(format!("{} runs now, one for each UTC day.", cards.len()));
                    self.runs.cards = cards;
                    self.runs.why = None;
                    self.runs_changed();
                }
            }
            ("run-exchange", _) => {
                let (a, b) = self.runs.pair;
                self.runs.pair = (b, a);
                self.pair_changed();
            }
            ("run-a", Some(at)) => self.choose_pair(at, None),
            ("run-b", Some(at)) => self.choose_pair(self.runs.pair.0, Some(at)),
            ("run-control", _) => {
                self.runs.control = (!value.is_empty()).then(|| value.to_owned());
                self.pair_changed();
            }
            ("run-span", Some(at)) => self.use_time_shown(at),
            ("run-mark-only", _) => self.same_power(),
            ("run-small", _) => {
                if let Some(db) = number(value).filter(|db| (0.0..=20.0).contains(db)) {
                    self.runs.settings.too_small_db = db;
                    self.pair_changed();
                }
            }
            ("run-days", _) => {
                if let Some(db) = number(value).filter(|db| (0.0..=20.0).contains(db)) {
                    self.runs.settings.day_to_day_db = db;
                    self.pair_changed();
                }
            }
            ("run-set", _) => self.set_run(value),
            ("run-use-loss", Some(at)) => self.use_loss(at),
            ("run-from-min" | "run-to-min" | "run-drawn", _) => self.drag_run(act, value),
            _ => {}
        }
    }

    /// The runs' rows are dealt anew, and everything shown follows.
    pub(super) fn runs_changed(&mut self) {
        let Some(work) = &mut self.work else { return };
        let before = work.loaded.all.tally.spots;
        self.runs.fit(&mut work.loaded, &self.state.filter);
        if work.loaded.all.tally.spots != before {
            self.pictures.forget();
        }
        self.generation += 1;
        self.pair_changed();
    }

    /// Another pair, or other assumptions.
    fn pair_changed(&mut self) {
        self.runs.revision += 1;
        self.pictures.touch_all();
    }

    fn open_run(&mut self, at: usize) {
        if at < self.runs.cards.len() {
            self.runs.open = Some(at);
            self.runs.wrong = None;
            self.state.menu = None;
            self.out.push(Patch::Focus { id: format!("run-{at}-name") });
        }
    }

    /// Closes the open editor, if there is one; says whether there was.
    pub(super) fn close_run(&mut self) -> bool {
        let Some(at) = self.runs.open.take() else { return false };
        self.runs.wrong = None;
        self.out.push(Patch::Focus { id: format!("run-open-{at}") });
        true
    }

    fn add_run(&mut self) {
        let at = self.runs.cards.len();
        if at >= MOST_RUNS {
            return;
        }
        self.runs.settle();
        self.runs.why = None;
        let letter = char::from(b'A' + u8::try_from(at).unwrap_or(0));
        let name = self.runs.free_name(&format!("Run {letter}"));
        self.runs.cards.push(Card::of(Run { name, ..Run::default() }));
        self.runs_changed();
        self.open_run(at);
    }

    fn remove_run(&mut self, at: usize) {
        if self.runs.cards.len() < 2 || at >= self.runs.cards.len() {
            return;
        }
        let said = format!("{} was removed.", self.runs.name(at));
        self.announce(said.clone());
        self.runs.remember(said);
        self.runs.cards.remove(at);
        let follow = |place: usize| if place > at { place - 1 } else { place };
        self.runs.pair = (follow(self.runs.pair.0), follow(self.runs.pair.1));
        self.runs.open = None;
        self.runs.why = None;
        self.runs_changed();
        self.out.push(Patch::Focus { id: "run-undo".to_owned() });
    }

    /// Chooses A, or B beside it; the one that would be both changes places with the other.
    fn choose_pair(&mut self, a: usize, b: Option<usize>) {
        let old = self.runs.pair;
        let pair = match b {
            Some(b) if b == old.0 => (old.1, old.0),
            Some(b) => (a, b),
            None if a == old.1 => (old.1, old.0),
            None => (a, old.1),
        };
        if pair.0.max(pair.1) < self.runs.cards.len() {
            self.runs.pair = pair;
            self.pair_changed();
        }
    }

    /// The card's run lasts as long as the time filter, or the whole time where there is none.
    fn use_time_shown(&mut self, at: usize) {
        let Some(card) = self.runs.cards.get_mut(at) else { return };
        (card.run.rule.from, card.run.rule.to) = (self.state.filter.from, self.state.filter.to);
        self.runs.wrong = None;
        self.runs.settle();
        self.runs_changed();
    }

    /// The reported powers were marks only: every run of the pair sent the larger one.
    fn same_power(&mut self) {
        let reported = |at: usize| self.runs.facts.get(at).and_then(|facts| facts.powers.first().copied());
        let (a, b) = self.runs.pair;
        let Some(most) = [a, b].into_iter().filter_map(reported).reduce(f64::max) else { return };
        for at in [a, b] {
            if let Some(card) = self.runs.cards.get_mut(at) {
                card.run.true_power_dbm = Some(most);
            }
        }
        self.pair_changed();
    }

    /// The loss reckoned for the card's feeder becomes its loss.
    fn use_loss(&mut self, at: usize) {
        let busiest = self.runs.facts.get(at).and_then(|facts| facts.busiest);
        let Some(card) = self.runs.cards.get_mut(at) else { return };
        let feeding = card.feeding;
        if let Some(loss) = feeding.loss(feeding.taken_mhz(busiest)) {
            card.run.feeder_loss_db = (loss.total_db * 100.0).round() / 100.0;
            self.pair_changed();
        }
    }

    /// A side of the open run was moved along the strip, or a span drawn on it: minutes since the strip's beginning.
    fn drag_run(&mut self, act: &str, value: &str) {
        let Some(strip) = self.work.as_ref().and_then(|work| work.loaded.all.timeline.as_ref()) else { return };
        let end_s = strip.end().unix_s() - strip.start.unix_s();
        #[expect(clippy::cast_possible_truncation, reason = "minutes are kept within the strip's span")]
        let seconds = |text: &str| number(text).map(|minutes| ((minutes * 60.0).round() as i64).clamp(0, end_s));
        // a handle at the end of the strip leaves that side open
        let from_of = |s: i64| strip.start.plus_s(s).filter(|_| s > 0);
        let to_of = |s: i64| strip.start.plus_s(s).filter(|_| s < end_s);
        let Some(card) = self.runs.open.and_then(|at| self.runs.cards.get_mut(at)) else { return };
        let rule = &mut card.run.rule;
        let before = (rule.from, rule.to);
        match (act, value.split_once("..")) {
            ("run-drawn", Some((from, to))) => {
                let (Some(from), Some(to)) = (seconds(from), seconds(to)) else { return };
                if from < to {
                    (rule.from, rule.to) = (from_of(from), to_of(to));
                }
            }
            ("run-from-min", None) => {
                let Some(from) = seconds(value) else { return };
                rule.from = from_of(from).map(|time| rule.to.map_or(time, |to| time.min(to)));
            }
            ("run-to-min", None) => {
                let Some(to) = seconds(value) else { return };
                rule.to = to_of(to).map(|time| rule.from.map_or(time, |from| time.max(from)));
            }
            _ => {}
        }
        if (rule.from, rule.to) != before {
            self.runs.wrong = None;
            self.runs.settle();
            self.runs.why = None;
            self.runs_changed();
        }
    }

    /// A field of a card was changed: `2:power:200 mW`.
    fn set_run(&mut self, value: &str) {
        let mut parts = value.splitn(3, ':');
        let (Some(at), Some(field), Some(typed)) = (parts.next(), parts.next(), parts.next()) else { return };
        let Ok(at) = at.parse::<usize>() else { return };
        let Some(work) = &self.work else { return };
        let taken =
            self.runs.cards.iter().enumerate().any(|(other, card)| other != at && card.run.name == typed.trim());
        let Some(card) = self.runs.cards.get_mut(at) else { return };
        let before = card.clone();
        let told = if field == "name" && taken {
            Err(format!("Another run is called \u{201c}{}\u{201d}.", typed.trim()))
        } else {
            set(card, field, typed.trim(), &work.loaded, &self.state.clock)
        };
        let changed = *card != before;
        let rule_changed = card.run.rule != before.run.rule;
        self.runs.wrong = told.err().map(|why| (field.to_owned(), why));
        if let Some((_, why)) = &self.runs.wrong {
            let why = why.clone();
            self.announce(why);
        }
        if rule_changed {
            self.runs.settle();
            self.runs.why = None;
            self.runs_changed();
        } else if changed {
            self.pair_changed();
        }
    }
}

/// Sets a field from what was typed.
///
/// # Errors
/// Says what was not understood and how it is written.
fn set(card: &mut Card, field: &str, typed: &str, loaded: &Loaded, clock: &Clock) -> Result<(), String> {
    // marks of direction would turn the sentences about that they stand in
    let turns =
        |letter: &char| matches!(letter, '\u{200E}' | '\u{200F}' | '\u{202A}'..='\u{202E}' | '\u{2066}'..='\u{2069}');
    let short = || typed.chars().filter(|letter| !turns(letter)).take(MOST_LETTERS).collect::<String>();
    let given = (!typed.is_empty()).then_some(typed);
    let quoted = format!("\u{201c}{typed}\u{201d}");
    match field {
        "name" if typed.is_empty() => return Err("A run needs a name.".to_owned()),
        "name" => card.run.name = short(),
        "antenna" => card.antenna = short(),
        "height" => card.height = short(),
        "direction" => card.direction = short(),
        "notes" => card.notes = short(),
        "power" => card.run.true_power_dbm = given.map(|typed| power::parse(typed, &quoted)).transpose()?,
        "loss" => {
            let loss = given.map_or(Some(0.0), number).filter(|db| (0.0..=60.0).contains(db));
            card.run.feeder_loss_db = loss.ok_or(format!("{quoted}: a loss is a number of dB from 0, such as 1.2."))?;
        }
        "line" => card.feeding.line = Line::from_name(typed),
        "length" => card.feeding.length_m = figure(given, "a length in metres, such as 20", 0.0..=5000.0)?,
        "mhz" => card.feeding.mhz = figure(given, "a frequency in MHz, such as 14.1", 0.1..=500.0)?,
        "swr" => card.feeding.swr = figure(given, "a standing wave ratio from 1, such as 1.5", 1.0..=1000.0)?,
        _ => set_rule(&mut card.run.rule, field, typed, loaded, clock)?,
    }
    Ok(())
}

/// A figure of the feeder, if one was typed.
///
/// # Errors
/// Says how it is written.
fn figure(given: Option<&str>, like: &str, within: RangeInclusive<f64>) -> Result<Option<f64>, String> {
    let Some(typed) = given else { return Ok(None) };
    let found = number(typed).filter(|value| within.contains(value));
    found.map(Some).ok_or_else(|| format!("\u{201c}{typed}\u{201d} is not {like}."))
}

fn set_rule(rule: &mut Rule, field: &str, typed: &str, loaded: &Loaded, clock: &Clock) -> Result<(), String> {
    let given = (!typed.is_empty()).then_some(typed);
    let quoted = format!("\u{201c}{typed}\u{201d}");
    match field {
        "file" => rule.file = given.map(str::to_owned),
        "call" => rule.call = given.map(str::to_ascii_uppercase),
        "reported" => rule.power_dbm = given.and_then(number),
        "from" | "to" => {
            let time = given.map(|typed| {
                clock.parse(typed).ok_or_else(|| {
                    let example =
                        loaded.all.tally.span.map_or_else(String::new, |(first, _)| clock.date_and_minute(first));
                    format!("{quoted} is no time. Write it like {example}.")
                })
            });
            let time = time.transpose()?;
            if field == "from" { rule.from = time } else { rule.to = time }
        }
        // what the command line understands, with the blanks people put between
        _ => {
            let close: String = typed.chars().filter(|letter| !letter.is_whitespace()).collect();
            let close = if field == "hz" { close.replace("to", "..").replace('\u{2013}', "..") } else { close };
            let read = given.map(|_| Rule::parse(&format!("{field}={close}"))).transpose();
            let read = read.map_err(|error| format!("{error}."))?.unwrap_or_default();
            match field {
                "days" => rule.days = read.days,
                "minutes" => rule.minutes = read.minutes,
                "hz" => rule.hz = read.hz,
                "locator" => rule.locator = read.locator,
                _ => {}
            }
        }
    }
    Ok(())
}
