//! The right column: bands, bearings, hours and time.

use askama::Template;

use super::middle::Ramp;
use super::rail::Rail;
use super::{choice, markup};
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, SECTORS, far_words, last_from, last_hours};
use crate::page::message::Picture;
use crate::page::pictures::{self, Pictures, hour_limits, hours_height};
use crate::page::play::{SPEEDS, TICK_MS, window_s};
use crate::page::state::State;
use crate::page::words::time_fields;
use crate::study::BandResult;
use crate::words::number::{NO_BREAK, count, decimals, level, or_missing};
use crate::words::terms::far_head;

#[derive(Debug)]
struct BandRow {
    fill: String,
    label: String,
    spots: String,
    of_all: String,
    listeners: String,
    half: String,
    farthest: String,
    level: String,
    off: bool,
}

/// A picture with its table twin.
#[derive(Debug)]
struct Twin {
    caption: String,
    summary: String,
    as_table: bool,
    pointed: String,
}

#[derive(Debug)]
struct SectorRow {
    label: String,
    spots: String,
    listeners: String,
    farthest: String,
    level: String,
}

#[derive(Debug)]
struct HourRow {
    label: String,
    figures: Vec<String>,
}

#[derive(Debug)]
struct Step {
    class: &'static str,
    label: String,
}

/// The time: strip, presets and fields.
#[derive(Debug, Template)]
#[template(path = "time.html")]
pub(in crate::page) struct Strip {
    rail: Rail,
    presets: Vec<Choice>,
    pointed: String,
    from: String,
    to: String,
    zone: String,
    /// Is the axis in UTC while the fields are not?
    apart: bool,
    wrong: String,
    /// Length of the window that moves: `1 h`.
    window: String,
    /// Milliseconds to the next step while it moves by itself.
    tick: Option<u32>,
    /// Is it not to move by itself?
    still: bool,
    speeds: Vec<Choice>,
}

#[derive(Debug, Template)]
#[template(path = "right.html")]
pub(in crate::page) struct Right {
    narrow: bool,
    sun: bool,
    filtered: bool,
    far: &'static str,
    unit: &'static str,
    bands: Vec<BandRow>,
    /// Where the place of home is known.
    bearings: Option<Twin>,
    sectors: Vec<SectorRow>,
    hours: Twin,
    hours_height: f64,
    steps: Vec<Step>,
    hour_bands: Vec<String>,
    hour_rows: Vec<HourRow>,
    /// What the cells of the hours count, with the clock they keep where another is shown elsewhere.
    hours_of: &'static str,
    /// The time, which is a region of its own while a handle is dragged.
    time: String,
}

impl Right {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, pictures: &Pictures, wrong_time: &str) -> Self {
        let twin = |picture: Picture, caption: &str| Twin {
            caption: match pictures.pointed(picture) {
                "" => caption.to_owned(),
                pointed => pointed.to_owned(),
            },
            summary: pictures.summary(picture, state, loaded),
            as_table: state.as_table.get(picture).is_some(),
            pointed: pictures.pointed(picture).to_owned(),
        };
        let far = far_words(loaded.tested.side).1;
        let unit = state.length.unit();
        Self {
            narrow: state.surroundings.narrow,
            sun: pictures::theme(state) == crate::draw::Theme::Sun,
            filtered: !state.filter.is_empty(),
            far: far_head(loaded.tested.side),
            unit,
            bands: band_rows(state, loaded),
            bearings: loaded
                .subject()
                .home()
                .map(|_| twin(Picture::Bearings, &format!("farthest, {unit}; figures: {far}"))),
            sectors: sector_rows(state, loaded),
            hours: twin(Picture::Hours, ""),
            hours_height: hours_height(state, loaded),
            steps: ["h1", "h2", "h3", "h4", "h5"]
                .into_iter()
                .zip(hour_limits(loaded))
                .map(|(class, least)| Step { class, label: format!("{}+", count(least)) })
                .collect(),
            hours_of: if state.clock.is_local() { "spots, UTC hours" } else { "spots" },
            hour_bands: loaded.every_band().iter().map(|band| band.label()).collect(),
            hour_rows: hour_rows(loaded),
            time: markup(&Strip::new(state, loaded, pictures, wrong_time)),
        }
    }
}

fn band_rows(state: &State, loaded: &Loaded) -> Vec<BandRow> {
    let ramp = Ramp::new(state, loaded);
    let length = state.length;
    let medians = loaded.medians();
    loaded
        .all_figures()
        .bands
        .iter()
        .map(|all| {
            let shown = loaded.figures().bands.iter().find(|shown| shown.band == all.band);
            let figure = |value: fn(&BandResult) -> Option<f64>, words: &dyn Fn(f64) -> String| {
                or_missing(shown.and_then(value), words)
            };
            let km = |km: f64| length.figure(km);
            BandRow {
                fill: ramp.fill(all.band),
                label: all.band.label(),
                spots: count(shown.map_or(0, |shown| shown.spots)),
                of_all: count(all.spots),
                listeners: count(shown.map_or(0, |shown| shown.listeners)),
                half: figure(|band| band.median_km, &km),
                farthest: figure(|band| band.farthest.map(|farthest| farthest.km), &km),
                level: or_missing(medians.band(all.band).snr_1w_db, level),
                off: state.filter.bands.as_ref().is_some_and(|bands| !bands.contains(&all.band)),
            }
        })
        .collect()
}

fn sector_rows(state: &State, loaded: &Loaded) -> Vec<SectorRow> {
    loaded
        .shown
        .sectors
        .iter()
        .zip(SECTORS)
        .zip(&loaded.medians().sector_snr_1w_db)
        .map(|((sector, name), &median)| SectorRow {
            label: name.to_owned(),
            spots: count(sector.spots),
            listeners: count(sector.listeners),
            farthest: or_missing(sector.farthest_km, |km| state.length.figure(km)),
            level: or_missing(median, level),
        })
        .collect()
}

fn hour_rows(loaded: &Loaded) -> Vec<HourRow> {
    (0..24_usize)
        .map(|hour| {
            let figures = loaded.every_band().iter().map(|&band| {
                let shown = loaded.figures().hours.iter().find(|hours| hours.band == band);
                count(shown.and_then(|hours| hours.spots.get(hour).copied()).unwrap_or(0))
            });
            HourRow { label: format!("{hour:02} to {:02}", hour + 1), figures: figures.collect() }
        })
        .collect()
}

impl Strip {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, pictures: &Pictures, wrong: &str) -> Self {
        let filter = &state.filter;
        let all = filter.from.is_none() && filter.to.is_none();
        let mut presets = vec![choice("clear", "time", "All", all)];
        for hours in last_hours(loaded) {
            let on = filter.to.is_none() && filter.from.is_some() && filter.from == last_from(loaded, hours);
            presets.push(choice("last", hours.to_string(), format!("Last {hours}{NO_BREAK}h"), on));
        }
        let (from, to, zone) = time_fields(state, loaded);
        Self {
            rail: Rail::new(state, loaded, (filter.from, filter.to), ["from-min", "to-min"])
                .showing(Picture::Timeline, pictures.summary(Picture::Timeline, state, loaded)),
            presets,
            pointed: pictures.pointed(Picture::Timeline).to_owned(),
            from,
            to,
            zone,
            apart: state.clock.is_local(),
            wrong: wrong.to_owned(),
            window: window_words(window_s(state)),
            tick: state.play.on.then_some(TICK_MS),
            still: state.surroundings.still,
            speeds: SPEEDS
                .iter()
                .map(|&speed| choice("play", speed.to_string(), speed.to_string(), state.play.speed == speed))
                .collect(),
        }
    }
}

/// A length of time as the buttons that move by it say it: `30 min`, `1 h`, `1.5 h`.
fn window_words(seconds: i64) -> String {
    if seconds < 3600 {
        return format!("{}{NO_BREAK}min", (seconds / 60).max(1));
    }
    format!("{}{NO_BREAK}h", decimals(seconds as f64 / 3600.0, usize::from(seconds % 3600 != 0)))
}
