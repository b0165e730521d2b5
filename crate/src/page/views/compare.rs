//! Compare: the difference per band, listener, sector, distance and hour, and what one antenna alone was heard by.

use askama::Template;

use super::middle::Filters;
use super::runs::shape;
use crate::model::{Band, Side};
use crate::order::LightSort;
use crate::page::compared::{Contrast, RunResults};
use crate::page::loaded::Loaded;
use crate::page::menus::SECTORS;
use crate::page::message::Picture;
use crate::page::pair_pictures::intervals_height;
use crate::page::pictures::Pictures;
use crate::page::runs::{MOST_RUNS, Runs};
use crate::page::state::{State, Told};
use crate::study::compare::{Comparison, Design, ListenerDifference, Part, Settings, Verdict};
use crate::study::tested::frequencies;
use crate::words::angles::{hops, range, sun};
use crate::words::ground;
use crate::words::headline::{heard_by_one, interval, short};
use crate::words::number::{MISSING, NO_BREAK, bearing, count, counted, decimals, difference, or_missing};
use crate::words::verdict::{how_reckoned, part as in_words};

/// Most listeners in the table; the others have fewer pairs.
const MOST_LISTENERS: usize = 300;

/// One row of figures.
#[derive(Debug)]
pub(super) struct PartRow {
    pub(super) key: String,
    pub(super) label: String,
    pub(super) class: &'static str,
    pub(super) db: String,
    pub(super) interval: String,
    pub(super) words: String,
    pub(super) pairs: String,
    pub(super) listeners: String,
    pub(super) open: bool,
}

/// Names and assumptions that every row needs.
#[derive(Clone, Copy)]
struct Terms<'a> {
    a: &'a str,
    b: &'a str,
    settings: Settings,
}

/// Is a part one of few, or one of many that are looked at together?
#[derive(Clone, Copy, PartialEq, Eq)]
enum Looks {
    Few,
    Many,
}

fn row(key: String, label: String, part: &Part, terms: Terms<'_>, looks: Looks) -> PartRow {
    let decided = matches!(part.verdict, Verdict::AStronger | Verdict::BStronger);
    let pale = looks == Looks::Many && decided && !part.holds_together;
    PartRow {
        key,
        label,
        class: match part.verdict {
            _ if pale => "pale",
            Verdict::AStronger => "won-a",
            Verdict::BStronger => "won-b",
            Verdict::NoDifference => "even",
            Verdict::NotEnough => "pale",
        },
        db: or_missing(part.difference_db, difference),
        interval: interval(part),
        words: if pale {
            "may be chance among so many".to_owned()
        } else if part.pairs_used == 0 {
            "no safe pairs".to_owned()
        } else {
            short(terms.a, terms.b, part, terms.settings)
        },
        pairs: count(part.pairs_used),
        listeners: count(part.listeners),
        open: false,
    }
}

#[derive(Debug)]
struct How {
    of: String,
    lines: Vec<String>,
}

#[derive(Debug)]
struct Split {
    word: &'static str,
    heading: &'static str,
    column: &'static str,
    said: String,
    rows: Vec<PartRow>,
}

#[derive(Debug)]
struct OnlyRow {
    label: String,
    a: String,
    b: String,
    words: String,
}

#[derive(Debug)]
struct ListenerRow {
    call: String,
    class: &'static str,
    marked: bool,
    figures: [String; 7],
}

#[derive(Debug)]
struct SideRow {
    shape: String,
    name: String,
    bands: Vec<(String, String)>,
    figures: [String; 4],
}

#[derive(Debug)]
struct SideBySide {
    bands: Vec<String>,
    rows: Vec<SideRow>,
    note: String,
}

/// The middle of Compare.
#[derive(Debug, Template)]
#[template(path = "compare.html")]
pub(in crate::page) struct Compare {
    filters: String,
    a: String,
    b: String,
    unit: &'static str,
    small: String,
    ground_line: String,
    bands: Vec<PartRow>,
    intervals_height: f64,
    intervals_summary: String,
    ticks: &'static str,
    how: Option<How>,
    over_all: String,
    allowance: Option<String>,
    side_by_side: Option<SideBySide>,
    as_table: bool,
    listeners: Vec<ListenerRow>,
    listeners_note: String,
    listeners_summary: String,
    pointed: String,
    splits: Vec<Split>,
    only: Vec<OnlyRow>,
    one_only: String,
}

impl Compare {
    pub(in crate::page) fn new(
        state: &State,
        loaded: &Loaded,
        runs: &Runs,
        contrast: &Contrast,
        pictures: &Pictures,
    ) -> Self {
        let found = &contrast.comparison;
        let (a, b) = contrast.pair;
        let terms = Terms { a: runs.name(a), b: runs.name(b), settings: runs.settings };
        let mut bands: Vec<PartRow> = found
            .bands
            .iter()
            .map(|(band, part)| {
                let open = state.how == Some(Told::Band(*band));
                PartRow { open, ..row(band.name().to_owned(), band.label(), part, terms, Looks::Few) }
            })
            .collect();
        if found.bands.len() > 1 {
            let open = state.how == Some(Told::AllBands);
            bands
                .push(PartRow { open, ..row("all".to_owned(), "All bands".to_owned(), &found.all, terms, Looks::Few) });
        }
        let as_table = state.as_table.get(Picture::ByListener).is_some();
        Self {
            filters: super::markup(&Filters::new(state, loaded, pictures)),
            a: terms.a.to_owned(),
            b: terms.b.to_owned(),
            unit: state.length.unit(),
            small: figure(runs.settings.too_small_db),
            ground_line: ground::shared(found),
            intervals_height: intervals_height(state, bands.len()),
            intervals_summary: pictures.compare_summary(Picture::Intervals, state, loaded, runs, contrast),
            ticks: if found.design == Design::SeparateDays { ground::TICKS } else { "" },
            how: state.how.and_then(|told| how(told, found, runs.settings)),
            over_all: in_words(terms.a, terms.b, " over all bands together", &found.all, found.design, runs.settings),
            allowance: (found.design == Design::SeparateDays).then(|| figure(runs.settings.day_to_day_db)),
            side_by_side: side_by_side(state, loaded, runs, contrast),
            listeners: if as_table { listener_rows(state, loaded, contrast) } else { Vec::new() },
            listeners_note: match found.listeners.len() {
                n if n > MOST_LISTENERS => format!("The {MOST_LISTENERS} of {n} with the most pairs."),
                _ => "dB alone in bold: beyond chance when all listeners are looked at together.".to_owned(),
            },
            listeners_summary: pictures.compare_summary(Picture::ByListener, state, loaded, runs, contrast),
            pointed: pictures.pointed(Picture::ByListener).to_owned(),
            as_table,
            splits: splits(state, found, terms),
            only: only(found, terms),
            one_only: ground::one_only(&found.all),
            bands,
        }
    }
}

/// `1.5`, `4`: a figure as it is typed.
fn figure(db: f64) -> String {
    decimals(db, usize::from((db - db.round()).abs() > 1e-9))
}

fn how(told: Told, found: &Comparison, settings: Settings) -> Option<How> {
    let (of, part) = match told {
        Told::AllBands => ("all bands together".to_owned(), &found.all),
        Told::Band(band) => (band.label(), found.bands.iter().find(|(other, _)| *other == band).map(|(_, part)| part)?),
    };
    Some(How { of, lines: how_reckoned(part, found, settings).into() })
}

fn splits(state: &State, found: &Comparison, terms: Terms<'_>) -> Vec<Split> {
    let split = |word, heading, column, rows: Vec<PartRow>| {
        let tested = rows.iter().filter(|row| row.db != MISSING).count();
        let held = rows.iter().filter(|row| row.class.starts_with("won")).count();
        let said = match (tested, held) {
            (0, _) => "too few pairs".to_owned(),
            (_, 0) => format!("none of {} stands out", count(tested)),
            (_, 1) => format!("1 of {} stands out", count(tested)),
            _ => format!("{} of {} stand out", count(held), count(tested)),
        };
        Split { word, heading, column, said, rows }
    };
    let sectors = found.sectors.iter().zip(SECTORS).filter(|((_, part), _)| part.pairs > 0);
    let sectors = sectors.map(|((from, part), name)| {
        let label = format!("{name}, about {}°", bearing(from + 11.25));
        row(name.to_owned(), label, part, terms, Looks::Many)
    });
    let distances = found.distances.iter().filter(|(_, part)| part.pairs > 0).map(|&((from, to), ref part)| {
        let label = crate::page::parts::distance_words(Some(from), Some(to).filter(|&km| km < 20_000.0), state.length);
        row(format!("{from}"), label, part, terms, Looks::Many)
    });
    let hours = found.hours.iter().filter(|(_, part)| part.pairs > 0);
    let hours = hours.map(|&(first, ref part)| {
        row(first.to_string(), format!("{first:02} to {:02}", first + 3), part, terms, Looks::Many)
    });
    let mut splits = Vec::new();
    if found.sectors.iter().any(|(_, part)| part.pairs > 0) {
        splits.push(split("sectors", "By bearing", "Sector", sectors.collect()));
        splits.push(split("distances", "By distance", "Distance", distances.collect()));
    }
    splits.push(split("hours", "By hour of day", "Hours, UTC", hours.collect()));
    let mut push = |word, heading, column, parts: &[(String, &Part)]| {
        let held = parts.iter().filter(|(_, part)| part.pairs > 0);
        let rows: Vec<PartRow> =
            held.map(|(label, part)| row(String::new(), label.clone(), part, terms, Looks::Many)).collect();
        if !rows.is_empty() {
            splits.push(split(word, heading, column, rows));
        }
    };
    let suns: Vec<_> = found.suns.iter().map(|(state, part)| (sun(*state).to_owned(), part)).collect();
    push("suns", "By the sun over the middle of the path", "Sun", &suns);
    let of_hops: Vec<_> = found.hops.iter().map(|(class, part)| (hops(*class).to_owned(), part)).collect();
    push("hops", "By likely hops", "Hops", &of_hops);
    let angles: Vec<_> = found.angles.iter().map(|(edges, part)| (range(*edges), part)).collect();
    push("angles", "By likely take-off angle", "Above the horizon", &angles);
    splits
}

fn only(found: &Comparison, terms: Terms<'_>) -> Vec<OnlyRow> {
    let line = |label: String, part: &Part| OnlyRow {
        label,
        a: count(part.only_a),
        b: count(part.only_b),
        words: heard_by_one(terms.a, terms.b, part),
    };
    let mut rows: Vec<OnlyRow> = found.bands.iter().map(|(band, part)| line(band.label(), part)).collect();
    if found.bands.len() > 1 {
        rows.push(line("All bands".to_owned(), &found.all));
    }
    rows
}

/// How often each run was heard by a listener.
fn heard(results: &RunResults, call: crate::model::CallId) -> String {
    let found = results.listeners.iter().find(|listener| listener.call == call);
    count(found.map_or(0, |listener| listener.spots))
}

fn listener_rows(state: &State, loaded: &Loaded, contrast: &Contrast) -> Vec<ListenerRow> {
    let mut listeners: Vec<&ListenerDifference> = contrast.comparison.listeners.iter().collect();
    listeners.order_by(|x, y| y.pairs.cmp(&x.pairs));
    listeners
        .into_iter()
        .take(MOST_LISTENERS)
        .map(|one| ListenerRow {
            call: loaded.call(one.call).to_owned(),
            marked: state.pinned.contains(&one.call),
            class: match one.holds_together {
                true if one.difference_db > 0.0 => "won-b",
                true => "won-a",
                false => "",
            },
            figures: [
                or_missing(one.distance_km, |km| state.length.figure(km)),
                or_missing(one.bearing_deg, bearing),
                heard(&contrast.a, one.call),
                heard(&contrast.b, one.call),
                difference(one.difference_db),
                match (one.low_db, one.high_db) {
                    (Some(low), Some(high)) => format!("{} to {}", difference(low), difference(high)),
                    _ => MISSING.to_owned(),
                },
                count(one.pairs),
            ],
        })
        .collect()
}

fn side_by_side(state: &State, loaded: &Loaded, runs: &Runs, contrast: &Contrast) -> Option<SideBySide> {
    if contrast.others.is_empty() {
        return None;
    }
    let bands = loaded.every_band();
    let of_band = |found: Option<&Comparison>, band: Band| {
        let part = found.and_then(|found| found.bands.iter().find(|(other, _)| *other == band)).map(|(_, part)| part);
        let db = or_missing(part.and_then(|part| part.difference_db), difference);
        let half = part.and_then(|part| Some((part.high_db? - part.low_db?) / 2.0));
        let unsure = part.is_none_or(|part| part.verdict == Verdict::NotEnough);
        let width = half.map_or_else(String::new, |half| {
            format!("±{NO_BREAK}{}{}", decimals(half, 1), if unsure { ", unsure" } else { "" })
        });
        (db, width)
    };
    let line = |at: usize, found: Option<&Comparison>, reference: bool, results: &RunResults| SideRow {
        shape: shape(runs, at),
        name: runs.name(at).to_owned(),
        bands: bands
            .iter()
            .map(|&band| if reference { (MISSING.to_owned(), String::new()) } else { of_band(found, band) })
            .collect(),
        figures: [
            count(results.tally.spots),
            count(results.tally.far.len()),
            or_missing(results.reach.median_km, |km| state.length.figure(km)),
            or_missing(results.reach.farthest.map(|farthest| farthest.km), |km| state.length.figure(km)),
        ],
    };
    let (a, b) = contrast.pair;
    let mut rows = vec![line(a, None, true, &contrast.a), line(b, Some(&contrast.comparison), false, &contrast.b)];
    rows.extend(contrast.others.iter().map(|(at, found, results)| line(*at, found.as_ref(), false, results)));
    let looked_at = bands.len() * (rows.len() - 1);
    Some(SideBySide {
        bands: bands.iter().map(|band| band.label()).collect(),
        rows,
        note: format!(
            "{} are looked at here: one in twenty excludes zero by chance alone.",
            counted(looked_at, "difference", "differences")
        ),
    })
}

/// Where there are no two runs yet: how to come by them.
#[derive(Debug, Template)]
#[template(path = "need_two.html")]
pub(in crate::page) struct NeedTwo {
    filters: String,
    heading: &'static str,
    lines: Vec<String>,
    ways: [(&'static str, &'static str); 3],
    /// Can there be a run for each UTC day?
    several_days: bool,
    /// Do the filters leave nothing of two runs that have spots?
    filtered: bool,
    /// Another station that may be the tested one: its call, and what the menu of stations calls it.
    other: Option<(String, String)>,
}

/// Another call on the tested side with a fair share of the spots: the tested one perhaps, and this one its control.
fn other_station(loaded: &Loaded) -> Option<(String, usize)> {
    let (tested, stations) = (loaded.tested, loaded.table.stations());
    let calls = frequencies(&loaded.table, tested.side);
    let own = calls.iter().find(|(call, _)| *call == tested.call)?.1;
    let (call, spots) = calls.iter().copied().find(|(call, _)| *call != tested.call)?;
    (4 * spots >= own).then(|| (stations.call(call).to_owned(), spots))
}

impl NeedTwo {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, runs: &Runs, pictures: &Pictures) -> Self {
        let filtered = runs.compared().is_some();
        let empty: Vec<String> = runs
            .cards
            .iter()
            .zip(&runs.facts)
            .filter(|(_, facts)| facts.spots == 0)
            .map(|(card, _)| format!("{} has no spot yet: press its name to say which are its own.", card.run.name))
            .collect();
        let mut lines = if filtered {
            vec!["With these filters neither run has a report with a level left.".to_owned()]
        } else {
            empty
        };
        let other = if filtered { None } else { other_station(loaded) };
        if let Some((call, spots)) = &other {
            lines.push(format!(
                "{call} is in the file too, with {}. If its antenna is the one under test, choose it; {} may then be the control.",
                counted(*spots, "spot", "spots"),
                loaded.name()
            ));
        }
        let side = if loaded.tested.side == Side::Hears { "hears" } else { "sends" };
        Self {
            filters: super::markup(&Filters::new(state, loaded, pictures)),
            heading: if filtered { "Nothing is left to compare" } else { "Two runs are needed to compare antennas" },
            filtered,
            lines,
            several_days: (2..=MOST_RUNS).contains(&Runs::days(loaded).count()),
            other: other.map(|(call, _)| (format!("{side}:{call}"), call)),
            ways: [
                (
                    "A second file.",
                    "Open or drop the export of the other antenna\u{2019}s time; choose Compare when asked.",
                ),
                (
                    "Two antennas in one file.",
                    "Add a run and say what marks its spots: power, call, time, days, minutes or frequency.",
                ),
                ("No second test yet.", "Plan one: alternating antennas tells most in the least time."),
            ],
        }
    }
}
