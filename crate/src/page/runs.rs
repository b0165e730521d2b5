//! The runs of the page: one card each, proposed from the data or made by hand, and which two are compared.

use farheard_scan::tallied;

use super::feeding::Feeding;
use super::loaded::{Loaded, STEPS, powers};
use crate::geography::Locator;
use crate::model::{Band, RowSet, StationId};
use crate::study::compare::Settings;
use crate::study::propose::{Mark, Proposal};
use crate::study::runs::{Rule, Run, assign, calls_of};
use crate::study::sums::Left;
use crate::study::{Filter, Timeline, bands};
use crate::time::UtcTime;
use crate::words::calendar;

/// The most runs that cards are made for.
pub(super) const MOST_RUNS: usize = 8;

/// One antenna's card: its run, and what a person says of it besides.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Card {
    /// Name, rule, true power and feeder loss.
    pub(super) run: Run,
    /// Kind of antenna, in the person's words.
    pub(super) antenna: String,
    /// Height over ground, m, as typed.
    pub(super) height: String,
    /// Direction of its wire or beam, degrees, as typed.
    pub(super) direction: String,
    /// Anything else.
    pub(super) notes: String,
    /// Its feeder, where the loss is to be reckoned.
    pub(super) feeding: Feeding,
}

impl Card {
    pub(super) fn of(run: Run) -> Self {
        Self { run, ..Self::default() }
    }
}

/// What a run's rows come to, whatever the filters.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Facts {
    pub(super) spots: usize,
    pub(super) listeners: usize,
    pub(super) span: Option<(UtcTime, UtcTime)>,
    /// Reported powers in dBm, most frequent first.
    pub(super) powers: Vec<f64>,
    /// Where the antenna stood.
    pub(super) place: Option<Locator>,
    /// The band with the most of its spots.
    pub(super) busiest: Option<Band>,
    /// Bands with a spot of it.
    pub(super) bands: Vec<Band>,
    /// Its spots over time, in the steps of all spots.
    pub(super) timeline: Option<Timeline>,
}

/// What Undo brings back.
#[derive(Clone, Debug)]
struct Earlier {
    cards: Vec<Card>,
    why: Option<Mark>,
    pair: (usize, usize),
}

/// All runs.
#[derive(Clone, Debug, Default)]
pub(super) struct Runs {
    pub(super) cards: Vec<Card>,
    /// What told them apart, where the page made them itself and nobody said otherwise.
    pub(super) why: Option<Mark>,
    /// The cards as the page made them: as long as they are these, it may make them anew.
    made: Vec<Card>,
    /// The control as the page chose it.
    pub(super) made_control: Option<String>,
    /// Places of the two that are compared: A and B.
    pub(super) pair: (usize, usize),
    /// Call of the beacon whose antenna did not change.
    pub(super) control: Option<String>,
    /// What is assumed in a verdict.
    pub(super) settings: Settings,
    /// Rows of each.
    pub(super) sets: Vec<RowSet>,
    /// What these come to.
    pub(super) facts: Vec<Facts>,
    /// The card whose editor is open.
    pub(super) open: Option<usize>,
    /// The field of the open editor that could not be understood, and why.
    pub(super) wrong: Option<(String, String)>,
    /// What was done last and can be undone.
    undo: Option<(String, Earlier)>,
    /// Counts up whenever a figure may have changed.
    pub(super) revision: u64,
}

impl Runs {
    /// The runs that the data show, else a single one.
    pub(super) fn proposed(loaded: &Loaded, sample: bool) -> Self {
        let (mut cards, why) = match &loaded.proposal {
            Some(Proposal { mark, runs }) => (runs.iter().cloned().map(Card::of).collect(), Some(*mark)),
            None => (Self::single(loaded), None),
        };
        let mut control = None;
        if sample && let [first, second] = cards.as_mut_slice() {
            // the scenario of sample-files/README.md; its control beacon is the other station of the sample
            describe(first, "Doublet", "two legs of 10 m", "6", "25");
            describe(second, "Vertical", "7 m of wire over radials", "7", "");
            control = controls(loaded, &cards).into_iter().next().map(|(call, _)| call);
        }
        Self {
            made: cards.clone(),
            made_control: control.clone(),
            cards,
            why,
            pair: (0, 1),
            control,
            ..Self::default()
        }
    }

    /// Did anyone change the cards?
    pub(super) fn is_changed(&self) -> bool {
        self.cards != self.made
    }

    /// Cards as they are given.
    pub(super) fn of_cards(cards: Vec<Card>, revision: u64) -> Self {
        Self { made: cards.clone(), cards, pair: (0, 1), revision, ..Self::default() }
    }

    /// The same for other rows: proposed anew if nobody touched them, else kept.
    pub(super) fn renew(&mut self, loaded: &Loaded, sample: bool) {
        if !self.is_changed() {
            let settings = self.settings;
            *self = Self { settings, revision: self.revision, ..Self::proposed(loaded, sample) };
        }
    }

    /// One run of everything.
    pub(super) fn single(loaded: &Loaded) -> Vec<Card> {
        vec![Card::of(Run { name: loaded.name().to_owned(), ..Run::default() })]
    }

    /// UTC days from the first spot to the last, at most one more than there can be runs.
    pub(super) fn days(loaded: &Loaded) -> impl Iterator<Item = u32> {
        let span = loaded.all.tally.span.map(|(first, last)| first.day_number()..=last.day_number());
        span.into_iter().flatten().take(MOST_RUNS + 1)
    }

    /// One run for each UTC day.
    pub(super) fn by_day(loaded: &Loaded) -> Vec<Card> {
        let name = |day: u32| {
            UtcTime::from_unix_s(i64::from(day) * crate::time::DAY_S).map_or_else(String::new, calendar::day)
        };
        let run = |day: u32| Run {
            name: name(day),
            rule: Rule { days: Some(vec![day]), ..Rule::default() },
            ..Run::default()
        };
        Self::days(loaded).map(|day| Card::of(run(day))).collect()
    }

    /// Deals the rows to the runs, after either changed.
    pub(super) fn fit(&mut self, loaded: &mut Loaded, filter: &Filter) {
        let runs: Vec<Run> = self.cards.iter().map(|card| card.run.clone()).collect();
        let station = Some(loaded.tested.call);
        loaded.set_calls(&calls_of(&loaded.table, &runs, station), filter);
        let subject = loaded.subject();
        self.sets = assign(&loaded.table, subject.rows(), loaded.tested.side, &runs, station);
        self.facts = self
            .sets
            .iter()
            .zip(&runs)
            .map(|(rows, run)| {
                let Left { tally, timeline } = Left::of(&subject, rows, STEPS);
                let powers = powers(&loaded.table, rows).into_iter().map(|(dbm, _)| dbm).collect();
                let place = loaded.home().or_else(|| site(loaded, run, rows)).or_else(|| subject.home());
                let per_band = bands(&subject, &tally);
                Facts {
                    spots: tally.spots,
                    listeners: tally.far.len(),
                    span: tally.span,
                    powers,
                    place,
                    busiest: per_band.iter().max_by_key(|band| band.spots).map(|band| band.band),
                    bands: per_band.iter().map(|band| band.band).collect(),
                    timeline,
                }
            })
            .collect();
        let last = self.cards.len().saturating_sub(1);
        let (a, b) = (self.pair.0.min(last), self.pair.1.min(last));
        self.pair = if a == b && last > 0 { if b == 0 { (0, 1) } else { (0, b) } } else { (a, b) };
        self.open = self.open.filter(|&open| open <= last);
        self.revision += 1;
    }

    /// The two compared, if there are two and both have spots.
    pub(super) fn compared(&self) -> Option<(usize, usize)> {
        let has = |at: usize| self.facts.get(at).is_some_and(|facts| facts.spots > 0);
        let (a, b) = self.pair;
        (a != b && has(a) && has(b)).then_some((a, b))
    }

    /// Name of a run.
    pub(super) fn name(&self, at: usize) -> &str {
        self.cards.get(at).map_or("", |card| card.run.name.as_str())
    }

    /// Remembers how things stand, to undo what comes next; `said` tells what that is.
    pub(super) fn remember(&mut self, said: String) {
        self.undo = Some((said, Earlier { cards: self.cards.clone(), why: self.why, pair: self.pair }));
    }

    /// What was done last and can be undone, in words.
    pub(super) fn undoable(&self) -> Option<&str> {
        self.undo.as_ref().map(|(said, _)| said.as_str())
    }

    /// Forgets what could be undone: something else was done since.
    pub(super) fn settle(&mut self) {
        self.undo = None;
    }

    /// Brings back what was before; says whether there was anything.
    pub(super) fn undo(&mut self) -> bool {
        let Some((_, earlier)) = self.undo.take() else { return false };
        (self.cards, self.why, self.pair) = (earlier.cards, earlier.why, earlier.pair);
        self.open = None;
        true
    }

    /// The same without their rows, to come back to.
    pub(super) fn without_rows(&self) -> Self {
        Self {
            cards: self.cards.clone(),
            why: self.why,
            made: self.made.clone(),
            made_control: self.made_control.clone(),
            pair: self.pair,
            control: self.control.clone(),
            settings: self.settings,
            undo: self.undo.clone(),
            ..Self::default()
        }
    }

    /// Comes back to what was kept without rows; these must be dealt anew.
    pub(super) fn bring_back(&mut self, kept: &Self) {
        let open = self.open.filter(|_| kept.cards.len() == self.cards.len());
        let former = std::mem::replace(self, kept.without_rows());
        (self.open, self.revision) = (open, former.revision + 1);
        (self.sets, self.facts) = (former.sets, former.facts);
    }

    /// What was done between these and later runs, in words, if anything was.
    pub(super) fn step_to(&self, later: &Self) -> Option<&'static str> {
        let (before, after) = (self.cards.len(), later.cards.len());
        Some(if after + 1 == before && later.cards.iter().all(|card| self.cards.contains(card)) {
            "run removed"
        } else if after == before + 1 && self.cards.iter().all(|card| later.cards.contains(card)) {
            "run added"
        } else if self.cards != later.cards {
            "change of runs"
        } else if self.pair != later.pair {
            "choice of A and B"
        } else if self.control != later.control {
            "choice of control"
        } else if self.settings != later.settings {
            "assumption"
        } else {
            return None;
        })
    }

    /// A name that no run has yet.
    pub(super) fn free_name(&self, wanted: &str) -> String {
        let taken = |name: &str| self.cards.iter().any(|card| card.run.name == name);
        let numbered = (2..).map(|n| format!("{wanted} {n}"));
        std::iter::once(wanted.to_owned()).chain(numbered).find(|name| !taken(name)).unwrap_or_default()
    }

    /// Takes in work that was added as a run of its own: its files are the new run, the others keep theirs.
    pub(super) fn add_files(&mut self, old: &[String], new: &[String], old_name: &str, new_name: &str) {
        for card in &mut self.cards {
            let rule = &mut card.run.rule;
            if let ([file], None) = (old, &rule.file) {
                rule.file = Some(file.clone());
            } else if rule.call.is_none() && old_name != new_name {
                rule.call = Some(old_name.to_owned());
            }
        }
        let mut rule = Rule::default();
        if let [file] = new {
            rule.file = Some(file.clone());
        }
        if old_name != new_name {
            rule.call = Some(new_name.to_owned());
        }
        let name = self.free_name(&new.first().map_or_else(|| new_name.to_owned(), |file| stem(file)));
        self.cards.push(Card::of(Run { name, rule, ..Run::default() }));
        self.why = Some(Mark::File);
        self.pair = (0, self.cards.len() - 1);
    }
}

/// Where a run's rows say the tested station stood most often.
pub(super) fn site(loaded: &Loaded, run: &Run, rows: &RowSet) -> Option<Locator> {
    if run.rule.locator.is_some() {
        return run.rule.locator;
    }
    let table = &loaded.table;
    let stations = table.stations();
    let of_station = tallied(table.near_column(loaded.tested.side), rows.bits(), stations.len());
    let mut counts: Vec<(u32, Locator)> = Vec::new();
    for (station, spots) in (0..).map(StationId).zip(of_station).filter(|&(_, spots)| spots > 0) {
        let Some(locator) = stations.locator(station) else { continue };
        match counts.iter_mut().find(|(_, known)| *known == locator) {
            Some((all, _)) => *all += spots,
            None => counts.push((spots, locator)),
        }
    }
    counts.into_iter().max_by_key(|&(spots, _)| spots).map(|(_, locator)| locator)
}

/// A file's name without folders and endings.
pub(super) fn stem(file: &str) -> String {
    let last = file.rsplit(['/', '\\']).next().unwrap_or(file);
    last.split('.').next().filter(|stem| !stem.is_empty()).unwrap_or(last).to_owned()
}

fn describe(card: &mut Card, name: &str, antenna: &str, height: &str, direction: &str) {
    name.clone_into(&mut card.run.name);
    antenna.clone_into(&mut card.antenna);
    height.clone_into(&mut card.height);
    direction.clone_into(&mut card.direction);
}

/// Other senders (or, where the antenna hears, listeners) that may serve as control, with their spots, most first.
pub(super) fn controls(loaded: &Loaded, cards: &[Card]) -> Vec<(String, usize)> {
    let own = loaded.subject();
    let named = |call: &str| cards.iter().any(|card| card.run.rule.call.as_deref() == Some(call));
    crate::study::tested::frequencies(&loaded.table, loaded.tested.side)
        .into_iter()
        .filter(|&(call, _)| call != loaded.tested.call && !own.calls().contains(&call) && !named(loaded.call(call)))
        .map(|(call, spots)| (loaded.call(call).to_owned(), spots))
        .take(12)
        .collect()
}
