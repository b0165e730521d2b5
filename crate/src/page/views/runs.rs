//! The cards of the runs in the left column, and the editor of one of them.

use askama::Template;

use super::choice;
use super::left::facts_lines;
use super::rail::Rail;
use crate::model::Band;
use crate::page::feeding::middle_mhz;
use crate::page::loaded::Loaded;
use crate::page::menus::Choice;
use crate::page::message::Picture;
use crate::page::pictures::run_time_summary;
use crate::page::runs::{Card, MOST_RUNS, Runs, controls};
use crate::page::state::{State, View};
use crate::page::zone::Clock;
use crate::study::feeder::Line;
use crate::study::propose::Mark;
use crate::study::runs::{Rule, date};
use crate::words::number::{NO_BREAK, count, counted, decimals, typed};
use crate::words::{calendar, power};

/// All cards.
#[derive(Debug)]
pub(in crate::page) struct RunList {
    pub(super) cards: Vec<RunCard>,
    pub(super) why: String,
    pub(super) undo: String,
    pub(super) notes: Vec<String>,
    pub(super) may_add: bool,
    /// Choices of a control beacon, where there are runs to compare.
    pub(super) control: Option<Vec<Choice>>,
}

#[derive(Debug)]
pub(super) struct RunCard {
    pub(super) at: usize,
    pub(super) shape: String,
    pub(super) name: String,
    /// Its part in the comparison, for those who do not see its shape.
    pub(super) role: &'static str,
    pub(super) lines: Vec<String>,
    pub(super) open: bool,
    pub(super) acts: Vec<Choice>,
}

/// The shape of a run: circle and triangle for the two compared, ink shapes and then letters for the others.
pub(super) fn shape(runs: &Runs, at: usize) -> String {
    let (a, b) = runs.pair;
    if at == a || runs.cards.len() < 2 {
        return "a".to_owned();
    }
    if at == b {
        return "b".to_owned();
    }
    let other = (0..at).filter(|&before| before != a && before != b).count();
    match other {
        0 => "square".to_owned(),
        1 => "diamond".to_owned(),
        _ => char::from(b'C' + u8::try_from(other).unwrap_or(0)).to_string(),
    }
}

impl RunList {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, runs: &Runs) -> Self {
        let several = runs.cards.len() > 1;
        let (a, b) = runs.pair;
        let cards = runs
            .cards
            .iter()
            .zip(&runs.facts)
            .enumerate()
            .map(|(at, (card, facts))| {
                let mut lines = facts_lines(state, loaded.tested.side, facts, card.run.true_power_dbm);
                if card.run.feeder_loss_db > 0.0 {
                    lines.push(format!("feeder loss {}{NO_BREAK}dB", typed(card.run.feeder_loss_db)));
                }
                let mut acts = Vec::new();
                if runs.cards.len() > 2 && at != a && at != b {
                    acts.push(choice("run-b", at.to_string(), "Show in the pair", false));
                }
                RunCard {
                    at,
                    shape: shape(runs, at),
                    name: card.run.name.clone(),
                    role: if !several {
                        ""
                    } else if at == a {
                        ", A"
                    } else if at == b {
                        ", B"
                    } else {
                        ""
                    },
                    lines,
                    open: runs.open == Some(at),
                    acts,
                }
            })
            .collect();
        let dealt: usize = runs.facts.iter().map(|facts| facts.spots).sum();
        let left = loaded.all.tally.spots.saturating_sub(dealt);
        let mut notes = Vec::new();
        if left > 0 {
            notes.push(format!("{} in no run.", counted(left, "spot", "spots")));
        }
        Self {
            cards,
            why: why_words(runs),
            undo: runs.undoable().unwrap_or_default().to_owned(),
            notes,
            may_add: runs.cards.len() < MOST_RUNS,
            control: (several && state.view == View::Compare).then(|| control_choices(loaded, runs)).flatten(),
        }
    }
}

fn control_choices(loaded: &Loaded, runs: &Runs) -> Option<Vec<Choice>> {
    let found = controls(loaded, &runs.cards);
    if found.is_empty() {
        return None;
    }
    let chosen = runs.control.as_deref().unwrap_or_default();
    let mut choices = vec![choice("run-control", "", "none", chosen.is_empty())];
    choices.extend(found.into_iter().map(|(call, spots)| {
        let label = format!("{call}, {}", counted(spots, "spot", "spots"));
        let on = call == chosen;
        choice("run-control", call, label, on)
    }));
    Some(choices)
}

fn why_words(runs: &Runs) -> String {
    let n = count(runs.cards.len());
    match runs.why {
        None => String::new(),
        Some(Mark::Call) => format!("{n} runs, as there are {n} calls."),
        Some(Mark::Power) => format!("{n} runs, as {n} reported powers take turns."),
        Some(Mark::File) => format!("{n} runs, one from each file."),
        Some(Mark::Gap) => format!("{n} runs, as hours of silence part them."),
    }
}

/// A field of the editor.
#[derive(Debug, Default)]
struct EditField {
    act: &'static str,
    word: &'static str,
    label: &'static str,
    value: String,
    unit: String,
    hint: String,
    mode: &'static str,
    options: Vec<(String, String, bool)>,
    wrong: String,
}

#[derive(Debug)]
struct Group {
    heading: &'static str,
    fields: Vec<EditField>,
    lines: Vec<String>,
    acts: Vec<Choice>,
}

/// The editor of a run.
#[derive(Debug, Template)]
#[template(path = "editor.html")]
pub(in crate::page) struct Editor {
    at: usize,
    name: String,
    rail: Rail,
    zone: String,
    groups: Vec<Group>,
    meaning: String,
    acts: Vec<Choice>,
}

fn field(word: &'static str, label: &'static str, value: impl Into<String>, unit: &str, hint: &str) -> EditField {
    let (value, unit, hint) = (value.into(), unit.to_owned(), hint.to_owned());
    EditField { act: "run-set", word, label, value, unit, hint, mode: "text", ..EditField::default() }
}

impl Editor {
    /// The editor of the open card, if one is open.
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, runs: &Runs) -> Option<Self> {
        let at = runs.open?;
        let card = runs.cards.get(at)?;
        let mut groups =
            vec![about(card), strength(card, runs, at), feeder(card, runs, at), which(state, loaded, card)];
        if let Some((word, why)) = &runs.wrong {
            for field in groups.iter_mut().flat_map(|group| &mut group.fields) {
                if field.word == word {
                    field.wrong.clone_from(why);
                }
            }
        }
        let mut acts = Vec::new();
        acts.push(choice("run-span", at.to_string(), "Use the time shown", false));
        if runs.cards.len() > 1 {
            acts.push(choice("run-remove", at.to_string(), "Remove this run", false));
            if at != runs.pair.0 {
                acts.push(choice("run-a", at.to_string(), "Make it A", false));
            }
            if at != runs.pair.1 {
                acts.push(choice("run-b", at.to_string(), "Make it B", false));
            }
        }
        let sides = (card.run.rule.from, card.run.rule.to);
        let rail = Rail::new(state, loaded, sides, ["run-from-min", "run-to-min"])
            .showing(Picture::RunTime, run_time_summary(loaded, runs));
        Some(Self {
            at,
            name: card.run.name.clone(),
            rail: Rail { drawn: "run-drawn", ..rail },
            zone: if state.clock.is_local() { "axis in UTC".to_owned() } else { "UTC".to_owned() },
            groups,
            meaning: fits_words(state, loaded, runs, at),
            acts,
        })
    }
}

fn about(card: &Card) -> Group {
    Group {
        heading: "The antenna",
        fields: vec![
            field("name", "Name", &card.run.name, "", ""),
            field("antenna", "Antenna", &card.antenna, "", "dipole, vertical, loop"),
            field("height", "Height", &card.height, "m", ""),
            field("direction", "Direction", &card.direction, "degrees", ""),
            field("notes", "Notes", &card.notes, "", ""),
        ],
        lines: Vec::new(),
        acts: Vec::new(),
    }
}

fn strength(card: &Card, runs: &Runs, at: usize) -> Group {
    let reported = runs.facts.get(at).and_then(|facts| facts.powers.first().copied());
    let hint = reported.map_or_else(|| "200 mW".to_owned(), |dbm| format!("{} as reported", power(dbm)));
    let loss = if card.run.feeder_loss_db > 0.0 { typed(card.run.feeder_loss_db) } else { String::new() };
    let typed = card.run.true_power_dbm.map_or_else(String::new, power);
    Group {
        heading: "Power and loss",
        fields: vec![
            field("power", "Power sent", typed, "", &hint),
            EditField { mode: "decimal", ..field("loss", "Feeder loss", loss, "dB", "0") },
        ],
        lines: vec![
            "Power as sent, where the reported one only marks the antenna. Levels are compared at 1\u{a0}W at the antenna."
                .to_owned(),
        ],
        acts: Vec::new(),
    }
}

/// The loss of a feeder from its kind, length, frequency and mismatch.
fn feeder(card: &Card, runs: &Runs, at: usize) -> Group {
    let feeding = card.feeding;
    let shown = |value: Option<f64>| value.map_or_else(String::new, typed);
    let busiest = runs.facts.get(at).and_then(|facts| facts.busiest);
    let taken_mhz = feeding.taken_mhz(busiest);
    let mut options = vec![(String::new(), "none chosen".to_owned(), feeding.line.is_none())];
    options.extend(Line::ALL.map(|line| (line.name().to_owned(), line.name().to_owned(), feeding.line == Some(line))));
    let mut lines = Vec::new();
    let mut acts = Vec::new();
    let db = |db: f64| format!("{}{NO_BREAK}dB", decimals(db, if db < 0.095 { 2 } else { 1 }));
    if let Some(loss) = feeding.loss(taken_mhz) {
        let more = loss.total_db - loss.matched_db;
        lines.push(format!(
            "At {taken_mhz}{NO_BREAK}MHz {} matched{}.",
            db(loss.matched_db),
            if more < 0.005 { String::new() } else { format!(", {} more by the SWR: {}", db(more), db(loss.total_db)) }
        ));
        let of = |band: Band| Some(format!("{} {}", band.label(), db(feeding.loss(middle_mhz(band)?)?.total_db)));
        let by_band: Vec<String> =
            runs.facts.get(at).into_iter().flat_map(|facts| &facts.bands).filter_map(|&band| of(band)).collect();
        if by_band.len() > 1 {
            lines.push(format!("By band: {}. One figure counts for all of them.", by_band.join(", ")));
        }
        acts.push(choice("run-use-loss", at.to_string(), format!("Use {}", db(loss.total_db)), false));
    }
    lines.push(
        "Nominal figures of handbook tables. Age and water add to them; a loss you have measured is the better one."
            .to_owned(),
    );
    let decimal = |field: EditField| EditField { mode: "decimal", ..field };
    Group {
        heading: "Reckon the feeder loss",
        fields: vec![
            EditField { options, ..field("line", "Cable", "", "", "") },
            decimal(field("length", "Length", shown(feeding.length_m), "m", "20")),
            decimal(field("mhz", "At", shown(feeding.mhz), "MHz", &typed(taken_mhz))),
            decimal(field("swr", "SWR at antenna", shown(feeding.swr), "to 1", "1")),
        ],
        lines,
        acts,
    }
}

fn which(state: &State, loaded: &Loaded, card: &Card) -> Group {
    let rule = &card.run.rule;
    let table = &loaded.table;
    let clock = &state.clock;
    let chosen = |word, label, any: &str, given: Option<String>, all: Vec<(String, String)>| {
        let mut options = vec![(String::new(), any.to_owned(), given.is_none())];
        options.extend(all.into_iter().map(|(value, label)| {
            let on = given.as_ref() == Some(&value);
            (value, label, on)
        }));
        if let Some(given) = given
            && !options.iter().any(|(.., on)| *on)
        {
            options.push((given.clone(), given, true));
        }
        EditField { options, ..field(word, label, "", "", "") }
    };
    let files = table.files().iter().map(|file| (file.clone(), file.clone())).collect();
    let calls = crate::study::tested::frequencies(table, loaded.tested.side)
        .into_iter()
        .take(12)
        .map(|(call, spots)| {
            let call = loaded.call(call).to_owned();
            (call.clone(), format!("{call}, {}", counted(spots, "spot", "spots")))
        })
        .collect();
    let powers = loaded
        .powers
        .iter()
        .map(|&(dbm, spots)| (format!("{dbm}"), format!("{}, {}", power(dbm), counted(spots, "spot", "spots"))))
        .collect();
    let time = |time: Option<crate::time::UtcTime>| time.map_or_else(String::new, |time| clock.date_and_minute(time));
    let span = loaded.all.tally.span;
    let example =
        |time: Option<crate::time::UtcTime>| time.map_or_else(String::new, |time| clock.date_and_minute(time));
    let zone = span.map_or_else(String::new, |(first, _)| clock.label(first));
    let days = rule.days.iter().flatten().map(|&day| date(day)).collect::<Vec<_>>().join(", ");
    let minutes = rule.minutes.iter().flatten().map(u8::to_string).collect::<Vec<_>>().join(", ");
    let mut fields = Vec::new();
    if table.files().len() > 1 || rule.file.is_some() {
        fields.push(chosen("file", "File", "any", rule.file.clone(), files));
    }
    fields.push(chosen("call", "Call", loaded.name(), rule.call.clone(), calls));
    fields.push(chosen("reported", "Reported power", "any", rule.power_dbm.map(|dbm| format!("{dbm}")), powers));
    fields.extend([
        field("from", "From", time(rule.from), &zone, &example(span.map(|(first, _)| first))),
        field("to", "Before", time(rule.to), &zone, &example(span.map(|(_, last)| last))),
        field(
            "days",
            "Days, UTC",
            days,
            "",
            example(span.map(|(first, _)| first)).split(' ').next().unwrap_or_default(),
        ),
        field("minutes", "Minutes of the hour", minutes, "", "0, 10, 20"),
        field(
            "hz",
            "Frequency",
            rule.hz.map_or_else(String::new, |(low, high)| format!("{low} to {high}")),
            "Hz",
            "1400 to 1500",
        ),
        field("locator", "Locator", rule.locator.map_or_else(String::new, |locator| locator.to_string()), "", "JO20"),
    ]);
    Group {
        heading: "Which spots are its own",
        fields,
        lines: vec![
            "Frequency under 5000\u{a0}Hz means audio: above the band\u{2019}s customary dial frequency. A spot belongs to the first run that it fits.".to_owned(),
        ],
        acts: Vec::new(),
    }
}

/// A rule in words: `Spots of Q7TST reported with 100 mW in the minutes 0 and 4`.
pub(super) fn rule_words(rule: &Rule, station: &str, clock: &Clock) -> String {
    let mut words = vec![format!("Spots of {}", rule.call.as_deref().unwrap_or(station))];
    if let Some(file) = &rule.file {
        words.push(format!(" in {file}"));
    }
    if let Some(dbm) = rule.power_dbm {
        words.push(format!(" reported with {}", power(dbm)));
    }
    let moment = |time| format!("{} {}", clock.date_and_minute(time), clock.label(time));
    match (rule.from, rule.to) {
        (Some(from), Some(to)) => words.push(format!(" from {} until before {}", moment(from), moment(to))),
        (Some(from), None) => words.push(format!(" from {} on", moment(from))),
        (None, Some(to)) => words.push(format!(" before {}", moment(to))),
        (None, None) => {}
    }
    if let Some(days) = &rule.days {
        let days: Vec<String> = days
            .iter()
            .filter_map(|&day| crate::time::UtcTime::from_unix_s(i64::from(day) * crate::time::DAY_S))
            .map(calendar::date)
            .collect();
        words.push(format!(" on {} (UTC)", days.join(", ")));
    }
    if let Some(minutes) = &rule.minutes {
        let minutes: Vec<String> = minutes.iter().map(u8::to_string).collect();
        words.push(format!(" begun in the minutes {} of an hour", minutes.join(", ")));
    }
    if let Some((low, high)) = rule.hz {
        words.push(format!(" at {low} to {high}{NO_BREAK}Hz"));
    }
    if let Some(locator) = rule.locator {
        words.push(format!(" sent from within {locator}"));
    }
    words.concat()
}

fn fits_words(state: &State, loaded: &Loaded, runs: &Runs, at: usize) -> String {
    let (Some(card), Some(own)) = (runs.cards.get(at), runs.facts.get(at)) else { return String::new() };
    let rule = &card.run.rule;
    let subject = loaded.subject();
    let main = rule.call.as_deref().unwrap_or(loaded.name());
    let station = loaded.table.stations().find_call(main);
    let fits = subject
        .rows()
        .iter()
        .filter(|&row| {
            let near = loaded.table.stations().call_of(loaded.table.near(row, loaded.tested.side));
            Some(near) == station && rule.fits(&loaded.table, row, loaded.tested.side)
        })
        .count();
    let mut words = vec![format!(
        "{}: {} of {} fit.",
        rule_words(rule, loaded.name(), &state.clock),
        count(fits),
        counted(loaded.all.tally.spots, "spot", "spots")
    )];
    if fits > own.spots {
        words.push(format!(" {} of them belong to a run before it.", count(fits - own.spots)));
    }
    if own.spots == 0 {
        words.push(" It has no spot: change one of the fields above, or those of another run.".to_owned());
    }
    words.concat()
}
