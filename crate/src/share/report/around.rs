//! How the spots came about: how they were sent, how their files were read; and what to mind in antenna work.

use super::Asked;
use super::section::{Section, paragraph};
use crate::model::Side;
use crate::share::privacy::{Leaving, RunNotes};
use crate::study::Tally;
use crate::words::calendar;
use crate::words::cautions::{CAUTIONS, FIRST};
use crate::words::number::{NO_BREAK, count, counted, typed};
use crate::words::power::{power, powers, sent as sent_words};
use crate::words::terms::{far_words, rows_read};

/// Most files that have a line of their own.
const MOST_FILES: usize = 6;

/// A line for each run.
pub(super) fn sent(leaving: &Leaving<'_>, asked: &Asked<'_>, all: &Tally) -> Section {
    let side = leaving.subject().side();
    let pair = asked.pair.map(|pair| pair.runs);
    let heading = match side {
        Side::Sends => "How it was sent",
        Side::Hears => "How it was heard",
    };
    let mut section = Section::new("sent", heading);
    for (at, told) in leaving.runs().iter().enumerate() {
        let class = match pair {
            Some((a, _)) if at == a => "a",
            Some((_, b)) if at == b => "b",
            _ => "head",
        };
        section.after +=
            &paragraph("", &[(class, &told.run.name), ("", ": "), ("", &run(leaving, told, all)), ("", ".")]);
    }
    section
}

/// What was said of a run, power and place, and what of it is shown.
fn run(leaving: &Leaving<'_>, told: &RunNotes, all: &Tally) -> String {
    let subject = leaving.subject();
    let [antenna, height, direction, notes] = &told.words;
    let mut parts = vec![antenna.clone()];
    for (word, text, unit) in [("height ", height, "m"), ("direction ", direction, "degrees")] {
        if !text.is_empty() {
            parts.push(format!("{word}{text}{NO_BREAK}{unit}"));
        }
    }
    let power = match told.run.true_power_dbm {
        Some(dbm) => Some(power(dbm)),
        None => powers(&told.powers).map(|power| format!("{power} as reported,")),
    };
    parts.push(sent_words(subject.side(), power, told.place.map(|place| place.to_string())));
    if told.run.feeder_loss_db > 0.0 {
        parts.push(format!("feeder loss {}{NO_BREAK}dB", typed(told.run.feeder_loss_db)));
    }
    let own = told.rows.as_ref().map(|rows| Tally::of(&subject, &rows.and(&leaving.row_set())));
    let tally = own.as_ref().unwrap_or(all);
    let (one, many) = far_words(subject.side());
    parts.push(format!("{}, {}", counted(tally.spots, "spot", "spots"), counted(tally.far.len(), one, many)));
    if let Some((first, last)) = tally.span {
        let (begin, end) = (calendar::date(first), calendar::date(last));
        let end = if begin == end { String::new() } else { format!("{end}, ") };
        parts.push(format!("{begin}, {} to {end}{}{NO_BREAK}UTC", first.clock(), last.clock()));
    }
    parts.push(notes.clone());
    parts.retain(|part| !part.is_empty());
    parts.join("; ")
}

/// A line for each file.
pub(super) fn read(leaving: &Leaving<'_>, asked: &Asked<'_>) -> Section {
    let subject = leaving.subject();
    let (names, leaves) = (subject.table().files(), leaving.leaves());
    let mut section = Section::new("read", "How it was read");
    for (at, reading) in asked.readings.iter().take(MOST_FILES).enumerate() {
        // the name as it leaves, of files whose spots leave
        let name = reading.file.and_then(|file| names.get(file.index())).filter(|name| leaves.files.contains(name));
        let name = name.map_or_else(|| format!("File {}", at + 1), Clone::clone);
        let aside = reading.set_aside.len() as u64;
        let sum = rows_read(reading.rows, reading.spots, aside, reading.duplicates);
        section.say(&format!("{name}:"), &format!("{sum}."));
    }
    if asked.readings.len() > MOST_FILES {
        let more = format!("And {} more.", counted(asked.readings.len() - MOST_FILES, "file", "files"));
        section.after += &paragraph("", &[("", &more)]);
    }
    let others = subject.table().len().saturating_sub(asked.shown.of);
    let mut basis = String::new();
    if others > 0 {
        basis = format!("{} of the used rows belong to other stations. ", count(others));
    }
    basis += "Level is SNR in 2500\u{a0}Hz; where it says so, at 1\u{a0}W from the power stated. \
              Distances and bearings are reckoned on the WGS-84 ellipsoid between the middles of locators.";
    section.after += &paragraph("", &[("", &basis)]);
    section
}

/// What to mind.
pub(super) fn cautions() -> Section {
    let mut section = Section::new("cautions", "Cautions");
    section.after = paragraph("", &[("", FIRST)]);
    for (head, text) in CAUTIONS {
        section.say(&format!("{head}:"), text);
    }
    section
}
