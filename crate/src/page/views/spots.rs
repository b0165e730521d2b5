//! The tables: one row per spot, or one per far station.

use askama::Template;

use super::middle::{Filters, Nothing, Ramp};

use crate::model::SpotTable;
use crate::order::LightSort;
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, doubt_words, far_words};
use crate::page::pictures::Pictures;
use crate::page::state::{Column, Order, Rows, Sorting, State};
use crate::study::{FarPath, Listener};
use crate::words::number::{bearing, count, decimals, level, or_missing};

/// Rows on a page.
pub(in crate::page) const PAGE: usize = 100;

#[derive(Debug)]
struct Head {
    word: &'static str,
    name: String,
    unit: String,
    text: bool,
    sort: &'static str,
}

/// One cell.
#[derive(Debug, Default)]
pub(in crate::page) struct Cell {
    pub(in crate::page) words: String,
    text: bool,
    fill: Option<String>,
    pin: String,
}

/// One row.
#[derive(Debug)]
pub(in crate::page) struct Row {
    marked: bool,
    pub(in crate::page) cells: Vec<Cell>,
}

#[derive(Debug, Template)]
#[template(path = "spots.html")]
pub(in crate::page) struct Spots {
    filters: String,
    label: String,
    caption: String,
    heads: Vec<Head>,
    pub(in crate::page) rows: Vec<Row>,
    page: usize,
    page_count: usize,
    pages: Vec<Choice>,
    /// The panel for saving, where it is open.
    /// The panel for saving, as markup; empty while it is closed.
    pub(in crate::page) save: String,
    /// Why there are none, and what brings some back.
    nothing: Option<Nothing>,
}

impl Spots {
    /// `order` is the rows of the table (or the places in the list of listeners) in the order to show.
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, pictures: &Pictures, order: &[u32]) -> Self {
        let sorting = sorting(state);
        let page_count = order.len().div_ceil(PAGE).max(1);
        let page = sorting.page.min(page_count - 1);
        let begin = page * PAGE;
        let here = order.get(begin..).unwrap_or_default();
        let here = here.get(..PAGE).unwrap_or(here);
        let rows = match state.rows {
            Rows::Spots => spot_rows(state, loaded, here),
            Rows::Listeners => listener_rows(state, loaded, here),
        };
        let (one, many) = match state.rows {
            Rows::Spots => ("Spot", "Spots"),
            Rows::Listeners if far_words(loaded.tested.side).0 == "listener" => ("Listener", "Listeners"),
            Rows::Listeners => ("Station", "Stations"),
        };
        let caption = match order.len() {
            0 => format!("No {}", many.to_ascii_lowercase()),
            1 => format!("{one} 1 of 1"),
            n => format!(
                "{many} {} to {} of {}, {}",
                count(begin + 1),
                count(begin + rows.len()),
                count(n),
                order_words(sorting)
            ),
        };
        Self {
            filters: super::markup(&Filters::new(state, loaded, pictures)),
            label: many.to_owned(),
            caption,
            heads: heads(state, loaded, sorting),
            rows,
            page,
            page_count,
            pages: pages(page, page_count),
            save: String::new(),
            nothing: Nothing::new(state, loaded),
        }
    }

    /// Which rows these are, in words.
    pub(in crate::page) fn caption(&self) -> &str {
        &self.caption
    }

    /// The rows as text, cells parted by tabs, with their heads.
    pub(in crate::page) fn as_text(&self) -> String {
        let head =
            |head: &Head| if head.unit.is_empty() { head.name.clone() } else { format!("{} {}", head.name, head.unit) };
        let mut lines = vec![self.heads.iter().map(head).collect::<Vec<_>>().join("\t")];
        for row in &self.rows {
            let cells: Vec<&str> = row.cells.iter().map(|cell| cell.words.as_str()).collect();
            lines.push(cells.join("\t"));
        }
        // figures for other programs: plain minus, no spaces between thousands
        lines.join("\n").replace('\u{2212}', "-").replace('\u{202f}', "") + "\n"
    }
}

/// The sorting of the table that is shown.
pub(in crate::page) fn sorting(state: &State) -> Sorting {
    match state.rows {
        Rows::Spots => state.spots_sorting,
        Rows::Listeners => state.listeners_sorting,
    }
}

fn order_words(sorting: Sorting) -> &'static str {
    let rising = sorting.order == Order::Rising;
    match sorting.column {
        Column::Distance if rising => "nearest first",
        Column::Distance => "farthest first",
        Column::Time | Column::First | Column::Last if rising => "earliest first",
        Column::Time | Column::First | Column::Last => "latest first",
        Column::Snr | Column::Level if rising => "weakest first",
        Column::Snr | Column::Level => "strongest first",
        Column::Band if rising => "longest wave first",
        Column::Band => "shortest wave first",
        Column::Call | Column::Locator if rising => "from A to Z",
        Column::Call | Column::Locator => "from Z to A",
        Column::Line if rising => "in the order of the file",
        Column::Doubt => "doubtful ones first",
        _ if rising => "smallest first",
        _ => "largest first",
    }
}

fn heads(state: &State, loaded: &Loaded, sorting: Sorting) -> Vec<Head> {
    let unit = state.length.unit();
    let zone = loaded.all.tally.span.map_or_else(String::new, |(first, last)| state.clock.label_of_span(first, last));
    let far = if far_words(loaded.tested.side).0 == "listener" { "Listener" } else { "Station" };
    let columns: Vec<(Column, &str, &str, bool)> = match state.rows {
        Rows::Spots => [
            (Column::Time, "Time", &*zone, true),
            (Column::Band, "Band", "", true),
            (Column::Call, far, "", true),
            (Column::Locator, "Locator", "", true),
            (Column::Distance, "Distance", unit, false),
            (Column::Bearing, "Bearing", "", false),
            (Column::Snr, "SNR", "dB", false),
            (Column::Level, "Level", "dB at 1\u{a0}W", false),
            (Column::Drift, "Drift", "Hz/min", false),
            (Column::Frequency, "Frequency", "MHz", false),
            (Column::Line, "Line", "in file", false),
        ]
        .into_iter()
        // a column for doubts only where there are any
        .chain((!loaded.subject().doubts().any.is_empty()).then_some((Column::Doubt, "Doubtful", "", true)))
        .collect(),
        Rows::Listeners => vec![
            (Column::Call, far, "", true),
            (Column::Locator, "Locator", "", true),
            (Column::Distance, "Distance", unit, false),
            (Column::Bearing, "Bearing", "", false),
            (Column::Count, "Spots", "", false),
            (Column::Band, "Bands", "", true),
            (Column::Snr, "Best SNR", "dB", false),
            (Column::First, "First", &zone, true),
            (Column::Last, "Last", &zone, true),
        ],
    };
    columns
        .into_iter()
        .map(|(column, name, unit, text)| Head {
            word: column.word(),
            name: name.to_owned(),
            unit: unit.to_owned(),
            text,
            sort: match sorting.order {
                _ if column != sorting.column => "",
                Order::Rising => "ascending",
                Order::Falling => "descending",
            },
        })
        .collect()
}

fn figure(words: String) -> Cell {
    Cell { words, ..Cell::default() }
}

fn text(words: impl Into<String>) -> Cell {
    Cell { words: words.into(), text: true, ..Cell::default() }
}

fn way(state: &State, far: Option<&FarPath>) -> [Cell; 2] {
    [
        figure(or_missing(far.map(|far| far.path.distance_km), |km| state.length.figure(km))),
        figure(or_missing(far.and_then(|far| far.path.bearing_deg), |degrees| format!("{}°", bearing(degrees)))),
    ]
}

fn spot_rows(state: &State, loaded: &Loaded, rows: &[u32]) -> Vec<Row> {
    let table = &loaded.table;
    let subject = loaded.subject();
    let ramp = Ramp::new(state, loaded);
    let several_days =
        loaded.all.tally.span.is_some_and(|(first, last)| {
            state.clock.day_of(first).day_number() != state.clock.day_of(last).day_number()
        });
    rows.iter()
        .map(|&row| {
            let row = row as usize;
            let call = subject.far_call(row);
            let band = table.band(row);
            let time = table.time(row);
            let station = subject.far_station(row);
            let name = loaded.call(call);
            let when = if several_days { state.clock.date_and_minute(time) } else { state.clock.clock(time) };
            let mut cells = vec![
                text(when),
                Cell { fill: Some(ramp.fill(band)), ..text(band.label()) },
                Cell { pin: name.to_owned(), ..text(name) },
                text(table.stations().locator(station).map_or("\u{2013}".to_owned(), |locator| locator.to_string())),
            ];
            cells.extend(way(state, subject.path(call)));
            cells.extend([
                figure(or_missing(table.snr_db(row), level)),
                figure(or_missing(table.snr_1w_db(row), level)),
                figure(or_missing(table.drift_hz_min(row), drift)),
                figure(or_missing(table.freq_hz(row), |hz| decimals(hz / 1e6, 6))),
                figure(line(table, row)),
            ]);
            let doubts = subject.doubts();
            if !doubts.any.is_empty() {
                let why: Vec<&str> = doubts.of(row).map(doubt_words).collect();
                cells.push(text(why.join("; ")));
            }
            Row { marked: state.pinned.contains(&call), cells }
        })
        .collect()
}

/// The line in the file; which file it is stands before it where there are several.
fn line(table: &SpotTable, row: usize) -> String {
    let line = count(table.line(row) as usize);
    if table.files().len() > 1 { format!("{}: {line}", table.file(row).index() + 1) } else { line }
}

/// Drift is mostly whole; where it is not, one decimal is earned.
fn drift(hz_min: f64) -> String {
    decimals(hz_min, usize::from((hz_min - hz_min.round()).abs() > 1e-6))
}

fn listener_rows(state: &State, loaded: &Loaded, places: &[u32]) -> Vec<Row> {
    let listeners = places.iter().filter_map(|&place| loaded.shown.listeners.get(place as usize));
    listeners
        .map(|listener: &Listener| {
            let name = loaded.call(listener.call);
            let bands: Vec<String> = listener.bands.iter().map(|(band, _)| band.name().to_owned()).collect();
            let locator = listener.far.map_or("\u{2013}".to_owned(), |far| far.locator.to_string());
            let mut cells = vec![Cell { pin: name.to_owned(), ..text(name) }, text(locator)];
            cells.extend(way(state, listener.far.as_ref()));
            cells.extend([
                figure(count(listener.spots)),
                text(bands.join(" ")),
                figure(or_missing(listener.best_snr_db(), level)),
                text(state.clock.date_and_minute(listener.first)),
                text(state.clock.date_and_minute(listener.last)),
            ]);
            Row { marked: state.pinned.contains(&listener.call), cells }
        })
        .collect()
}

/// The pages to choose from: the first, the last, and those about the one shown.
fn pages(page: usize, page_count: usize) -> Vec<Choice> {
    let mut wanted: Vec<usize> = [0, page.saturating_sub(1), page, page + 1, page + 2, page_count - 1]
        .into_iter()
        .filter(|&at| at < page_count)
        .collect();
    wanted.order_by(usize::cmp);
    wanted.dedup();
    let mut pages = Vec::new();
    let mut next = 0;
    for at in wanted {
        if at > next {
            pages.push(super::choice("page", "", "", false));
        }
        pages.push(super::choice("page", (at + 1).to_string(), count(at + 1), at == page));
        next = at + 1;
    }
    pages
}

/// Everything in the order to show: rows of the table, or places in the list of listeners.
pub(in crate::page) fn order(state: &State, loaded: &Loaded) -> Vec<u32> {
    let sorting = sorting(state);
    let mut order = match state.rows {
        Rows::Spots => spot_keys(loaded, sorting),
        Rows::Listeners => listener_keys(loaded, sorting),
    };
    // the standard sort, as these may be a million; it is stable: equals keep the order in which they came
    order.sort_by_key(|&(key, _)| key);
    order.into_iter().map(|(_, row)| row).collect()
}

/// A value as a number that sorts like it, or against it if falling; missing values stand last whichever way.
fn key(value: Option<f64>, order: Order) -> u64 {
    let Some(value) = value else { return u64::MAX };
    let bits = (value + 0.0).to_bits();
    // the bits of positive numbers sort like them, those of negative numbers against them
    let rising = if bits >> 63 == 1 { !bits } else { bits | 1 << 63 };
    let key = match order {
        Order::Rising => rising,
        Order::Falling => !rising,
    };
    key.min(u64::MAX - 1)
}

/// Ranks of words, so that rows compare as numbers.
fn ranks(mut words: Vec<(String, usize)>, size: usize) -> Vec<f64> {
    words.order_by(Ord::cmp);
    let mut ranks = vec![0.0; size];
    for (rank, (_, at)) in words.into_iter().enumerate() {
        ranks[at] = rank as f64;
    }
    ranks
}

fn spot_keys(loaded: &Loaded, sorting: Sorting) -> Vec<(u64, u32)> {
    let table = &loaded.table;
    let subject = loaded.subject();
    let stations = table.stations();
    let call_ranks = match sorting.column {
        Column::Call => ranks(call_names(loaded), stations.calls()),
        _ => Vec::new(),
    };
    let path = |row: usize| subject.path(subject.far_call(row));
    let doubts = subject.doubts();
    let value = |row: usize| -> Option<f64> {
        match sorting.column {
            Column::Band => Some(table.band(row).index() as f64),
            Column::Call => call_ranks.get(subject.far_call(row).index()).copied(),
            Column::Locator => stations.locator(subject.far_station(row)).map(locator_rank),
            Column::Distance => path(row).map(|far| far.path.distance_km),
            Column::Bearing => path(row).and_then(|far| far.path.bearing_deg),
            Column::Snr => table.snr_db(row),
            Column::Level => table.snr_1w_db(row),
            Column::Drift => table.drift_hz_min(row),
            Column::Frequency => table.freq_hz(row),
            Column::Power => table.power_dbm(row),
            Column::Line => Some(table.file(row).index() as f64 * 4e9 + f64::from(table.line(row))),
            Column::Doubt => doubts.of(row).next().map(|doubt| doubt as u8).map(f64::from),
            Column::Time | Column::Count | Column::First | Column::Last => Some(table.time(row).unix_s() as f64),
        }
    };
    let mut rows: Vec<u32> = loaded.shown.rows.iter().filter_map(|row| u32::try_from(row).ok()).collect();
    // equals stand by time, then as in the file; most files are in order of time already
    if !rows.is_sorted_by_key(|&row| table.time(row as usize)) {
        rows.order_by_key(|&row| table.time(row as usize));
    }
    rows.into_iter().map(|row| (key(value(row as usize), sorting.order), row)).collect()
}

fn call_names(loaded: &Loaded) -> Vec<(String, usize)> {
    let far = loaded.all.tally.far.iter();
    far.map(|far| (loaded.call(far.call).to_owned(), far.call.index())).collect()
}

/// A locator's letters as a number in the same order.
fn locator_rank(locator: crate::geography::Locator) -> f64 {
    let letters = locator.to_string();
    letters.bytes().chain(std::iter::repeat(0)).take(6).fold(0.0, |rank, byte| rank * 128.0 + f64::from(byte))
}

fn listener_keys(loaded: &Loaded, sorting: Sorting) -> Vec<(u64, u32)> {
    let calls = ranks(call_names(loaded), loaded.table.stations().calls());
    let value = |listener: &Listener| -> Option<f64> {
        match sorting.column {
            Column::Call => calls.get(listener.call.index()).copied(),
            Column::Locator => listener.far.map(|far| locator_rank(far.locator)),
            Column::Bearing => listener.far.and_then(|far| far.path.bearing_deg),
            Column::Count => Some(listener.spots as f64),
            Column::Band => Some(listener.bands.len() as f64),
            Column::Snr => listener.best_snr_db(),
            Column::First => Some(listener.first.unix_s() as f64),
            Column::Last => Some(listener.last.unix_s() as f64),
            _ => listener.far.map(|far| far.path.distance_km),
        }
    };
    let listeners = loaded.shown.listeners.iter().zip(0..);
    listeners.map(|(listener, place)| (key(value(listener), sorting.order), place)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn keys_sort_like_their_values_and_missing_ones_last() {
        let values = [Some(-3.5), Some(-0.0), Some(0.0), Some(2.0), Some(1e300), None];
        for (order, sign) in [(Order::Rising, 1.0), (Order::Falling, -1.0)] {
            let mut sorted = values;
            sorted.sort_by_key(|&value| key(value, order));
            assert_eq!(sorted[5], None);
            let known: Vec<f64> = sorted.iter().flatten().map(|value| value * sign).collect();
            assert!(known.is_sorted(), "{sorted:?}");
        }
    }
}
