//! Health of the beacon: sends heard, silent spans, frequency, and what changed on the way.

use askama::Template;

use super::choice;
use super::sky::Table;
use crate::figure::health::{self, HealthInput};
use crate::model::Band;
use crate::page::loaded::Loaded;
use crate::page::menus::Choice;
use crate::page::message::Picture;
use crate::page::pictures::Pictures;
use crate::page::state::State;
use crate::page::watch::{Watch, health_height, health_input};
use crate::study::health::{Likely, SendCount, Sender, Step};
use crate::words::calendar;
use crate::words::headline::Headline;
use crate::words::health as words;
use crate::words::number::{MISSING, NO_BREAK, count, decimals, difference, or_missing};

/// Bars of the table are so long at 100 %.
const BAR: f64 = 118.0;

/// Health of the beacon.
#[derive(Debug, Template)]
#[template(path = "health.html")]
pub(in crate::page) struct HealthView {
    /// Which of several senders is shown.
    senders: Vec<Choice>,
    caption: String,
    summary: String,
    height: f64,
    /// In place of the picture.
    table: Option<Table>,
    turn: String,
    /// Band, sends, heard, length of a bar, percent.
    sends: Vec<(String, String, String, f64, String)>,
    silences: Table,
    /// What may be behind them.
    silent: Vec<String>,
    frequency: Vec<String>,
    changes: Vec<String>,
}

/// The answer while it is shown.
pub(in crate::page) fn headline(watch: &Watch, loaded: &Loaded) -> Headline {
    let mut head = Headline::default();
    let senders = watch.whole(loaded);
    for (at, &(name, sender)) in senders.iter().enumerate() {
        let answer = words::answer(name, sender);
        let answer = if at + 1 < senders.len() { answer.replace('.', "; ") } else { answer };
        head.say(answer);
    }
    if senders.is_empty() {
        head.say("Only what sends has sends that can be missed.");
    }
    head.evidence.push_str("From reports alone: nobody can tell whether a beacon was on while no band was open. Filters change nothing here.");
    head
}

impl HealthView {
    /// `None` where nothing is known of any sender.
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, watch: &Watch, pictures: &Pictures) -> Option<Self> {
        let all = watch.senders(loaded);
        let &(_, _, sender) = all.get(watch.at).or(all.first())?;
        let several = all.iter().enumerate().filter(|_| all.len() > 1);
        Some(Self {
            senders: several
                .map(|(at, (name, ..))| choice("watch", at.to_string(), (*name).to_owned(), at == watch.at))
                .collect(),
            caption: match pictures.pointed(Picture::Health) {
                "" => "share of sends heard by anyone; hatched: silent".to_owned(),
                pointed => pointed.to_owned(),
            },
            summary: health_input(watch, loaded, health::summary).unwrap_or_default(),
            height: health_height(state),
            table: state.as_table.get(Picture::Health).and_then(|()| health_input(watch, loaded, course)),
            turn: words::turn(sender),
            sends: sends(sender),
            silences: silences(sender),
            silent: words::silences(sender),
            frequency: frequency(loaded, sender),
            changes: words::changes(sender),
        })
    }
}

/// What the picture shows: the sends of each step, and how far the sender then was from the middle.
fn course(input: &HealthInput<'_>) -> Table {
    let of = &input.sender.course;
    let drift = input.drift();
    let mut heads = ["From, UTC", "Sends", "Heard", "%"].map(str::to_owned).to_vec();
    heads.extend(drift.map(|of_band| format!("Hz, {}", of_band.band.label())));
    let row = |(at, step): (i64, &SendCount)| {
        let from = of.start.plus_s(of.step_s * at)?;
        let expected = if step.expected > 0 { count(step.expected) } else { MISSING.to_owned() };
        let mut figures =
            vec![expected, count(step.heard), or_missing(step.share(), |share| decimals(100.0 * share, 0))];
        figures.extend(drift.map(|of_band| {
            let own = |it: &&Step| (0..of.step_s).contains(&(it.start.unix_s() - from.unix_s()));
            or_missing(of_band.steps.iter().find(own).map(|it| it.offset_hz), difference)
        }));
        Some((format!("{} {}", calendar::day(from), from.clock()), figures))
    };
    Table { heads, rows: (0..).zip(&of.steps).filter_map(row).collect() }
}

fn sends(sender: &Sender) -> Vec<(String, String, String, f64, String)> {
    let of = |own: &crate::study::health::BandSends| {
        let share = own.share();
        (
            own.band.label(),
            own.expected.map_or(MISSING.to_owned(), count),
            count(own.heard),
            BAR * share.unwrap_or(0.0).min(1.0),
            or_missing(share, |share| decimals(100.0 * share, 0)),
        )
    };
    sender.sends.iter().map(of).collect()
}

fn silences(sender: &Sender) -> Table {
    let listed = sender.silences.all_bands.iter().chain(&sender.silences.one_band);
    let row = |of: &crate::study::health::Silence| {
        let from = format!("{} {}", calendar::day(of.span.from), of.span.from.clock());
        let likely = match of.likely {
            Likely::Sender => "the sender",
            Likely::Usual => "usual then",
            Likely::Unsure => "cannot tell",
        };
        let long = words::long(of.span.to.unix_s() - of.span.from.unix_s());
        (of.band.map_or_else(|| "all".to_owned(), Band::label), vec![from, long, likely.to_owned()])
    };
    Table { heads: ["Band", "From, UTC", "Long", "Likely"].map(str::to_owned).into(), rows: listed.map(row).collect() }
}

fn frequency(loaded: &Loaded, sender: &Sender) -> Vec<String> {
    let mut said = words::frequencies(sender);
    said.extend(sender.frequency.iter().filter_map(|of| words::receivers(loaded.table.stations(), of)));
    if said.is_empty() {
        said.push(format!("Too few reports give a frequency.{NO_BREAK}"));
    }
    said
}
