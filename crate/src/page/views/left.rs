//! The left column: the run and the sum of the reading.

use askama::Template;

use super::beside::Ground;
use super::choice;
use super::runs::RunList;
use crate::import::{Reading, SoFar};
use crate::model::Side;
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, far_words};
use crate::page::runs::{Facts, Runs};
use crate::page::state::{Menu, State};
use crate::study::tested::frequencies;
use crate::words::calendar;
use crate::words::number::{NO_BREAK, count, counted};
use crate::words::power::{power, powers, sent};

/// Most stations offered as the tested one, on each side.
const MOST_STATIONS: usize = 8;
/// Most file names written out.
const MOST_FILES: usize = 3;

#[derive(Debug, Template)]
#[template(path = "left.html")]
pub(in crate::page) struct Left {
    name: String,
    runs: RunList,
    station: Option<Station>,
    ground: Option<Ground>,
    files: Vec<String>,
    sum: Vec<(&'static str, String)>,
    rows: String,
    partial: bool,
    note: String,
    /// Is the panel for saving open?
    saving: bool,
}

/// The menu of the tested station.
#[derive(Debug)]
struct Station {
    sides: Vec<SideChoices>,
    home: String,
    wrong: String,
}

#[derive(Debug)]
struct SideChoices {
    heading: &'static str,
    choices: Vec<Choice>,
}

impl Left {
    /// `partial` is what was read so far of files that are still being read;
    /// `ground` is the block that Compare puts under the runs.
    pub(in crate::page) fn new(
        state: &State,
        loaded: &Loaded,
        runs: &Runs,
        readings: &[Reading],
        partial: Option<SoFar>,
        wrong: &str,
        ground: Option<Ground>,
    ) -> Self {
        let sums = partial.unwrap_or_else(|| SoFar::of(readings));
        let used = loaded.all.tally.spots;
        let others = loaded.table.len() - used;
        let mut sum = vec![("Used", count(used))];
        if others > 0 {
            sum.push(("Other stations", count(others)));
        }
        sum.push(("Set aside", figure(sums.set_aside)));
        sum.push(("Repeated", figure(sums.duplicates)));
        let mut files: Vec<String> = readings.iter().take(MOST_FILES).map(|reading| reading.name.clone()).collect();
        if readings.len() > MOST_FILES {
            files.push(format!("and {} more", readings.len() - MOST_FILES));
        }
        let note = readings.iter().flat_map(|reading| &reading.notes).next();
        Self {
            name: loaded.name().to_owned(),
            runs: RunList::new(state, loaded, runs),
            ground,
            station: (state.menu == Some(Menu::Station)).then(|| Station::new(loaded, wrong)),
            files,
            sum,
            rows: figure(sums.rows),
            partial: partial.is_some(),
            saving: state.menu == Some(Menu::Save),
            note: if partial.is_some() {
                "Filters, bands and pins can be used while it reads.".to_owned()
            } else {
                note.map_or_else(String::new, |note| note.text.clone())
            },
        }
    }
}

/// A count of rows, which may be larger than this machine's `usize`.
pub(super) fn figure(n: u64) -> String {
    count(usize::try_from(n).unwrap_or(usize::MAX))
}

/// When, with what power from where, and how often a run was heard.
pub(super) fn facts_lines(state: &State, side: Side, facts: &Facts, true_power_dbm: Option<f64>) -> Vec<String> {
    let mut lines = Vec::new();
    let clock = &state.clock;
    if let Some((first, last)) = facts.span {
        let (begin, end) = (clock.day_of(first), clock.day_of(last));
        lines.push(if begin.day_number() == end.day_number() {
            format!("{}, {} to {}", calendar::day(begin), clock.clock(first), clock.clock(last))
        } else {
            let moment = |face, time| format!("{},{NO_BREAK}{}", calendar::day(face), clock.clock(time));
            format!("{} to {}", moment(begin, first), moment(end, last))
        });
    }
    let place = facts.place.map(|home| home.to_string());
    let power = true_power_dbm.map(power).or_else(|| powers(&facts.powers));
    lines.push(sent(side, power, place));
    let (one, many) = far_words(side);
    lines.push(format!("{}, {}", counted(facts.spots, "spot", "spots"), counted(facts.listeners, one, many)));
    lines
}

impl Station {
    fn new(loaded: &Loaded, wrong: &str) -> Self {
        let side = |side: Side, heading, word: &str| SideChoices {
            heading,
            choices: frequencies(&loaded.table, side)
                .into_iter()
                .take(MOST_STATIONS)
                .map(|(call, spots)| {
                    let name = loaded.call(call);
                    let on = loaded.tested.side == side && loaded.tested.call == call;
                    let mut choice = choice("station", format!("{word}:{name}"), name, on);
                    choice.effect = counted(spots, "spot", "spots");
                    choice
                })
                .collect(),
        };
        let home = loaded.subject().home().map_or_else(String::new, |home| home.to_string());
        Self {
            sides: vec![side(Side::Sends, "It sends", "sends"), side(Side::Hears, "It hears", "hears")],
            home,
            wrong: if wrong.is_empty() {
                format!("A locator of 4 to 10{NO_BREAK}characters; all distances start there.")
            } else {
                wrong.to_owned()
            },
        }
    }
}
