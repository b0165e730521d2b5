//! Angles and hours in large.

use askama::Template;

use super::choice;
use super::middle::Filters;
use crate::figure::{angles as angles_figure, hours_large};
use crate::model::Band;
use crate::page::loaded::Loaded;
use crate::page::menus::{Choice, far_words};
use crate::page::message::Picture;
use crate::page::pictures::Pictures;
use crate::page::runs::Runs;
use crate::page::sky::{Counts, Sky, angles_height, angles_input, hours_large_height, hours_large_input};
use crate::page::state::State;
use crate::study::angles::{ANGLE_CLASSES, ANGLE_EDGES_DEG, AngleCounts, HopClass, long_way_round};
use crate::study::health::SendCount;
use crate::study::sunlight::LightCounts;
use crate::study::{BandOpenings, Places};
use crate::time::UtcTime;
use crate::words::angles::{self as words, cannot_say, caution, hops, range};
use crate::words::calendar;
use crate::words::headline::Headline;
use crate::words::number::{MISSING, NO_BREAK, bearing, count, decimals, level, or_missing};
use crate::words::places::places;

/// Heights of the layer to choose from, km.
const LAYERS_KM: [f64; 5] = [110.0, 250.0, 300.0, 350.0, 400.0];
/// Most days in the table of first and last spots.
const MOST_DAYS: usize = 7;

/// A table: heads, and rows that begin with their own.
#[derive(Debug, Default)]
pub(super) struct Table {
    pub(super) heads: Vec<String>,
    pub(super) rows: Vec<(String, Vec<String>)>,
}

/// A picture in place of which its table can stand.
#[derive(Debug)]
struct Twin {
    caption: String,
    summary: String,
    height: f64,
    /// In place of the picture.
    table: Option<Table>,
}

/// Angles and hours in large.
#[derive(Debug, Template)]
#[template(path = "sky.html")]
pub(in crate::page) struct SkyView {
    filters: String,
    bands: Vec<Choice>,
    layers: Vec<Choice>,
    /// Where the place of home is known.
    angles: Option<Twin>,
    cannot_say: &'static str,
    caution: String,
    halves: Table,
    hops: Table,
    remark: String,
    hours: Twin,
    counts: Vec<Choice>,
    days: Table,
    days_note: String,
    sunlight: Table,
    places: String,
    reached: Table,
    countries: Table,
}

impl SkyView {
    pub(in crate::page) fn new(state: &State, loaded: &Loaded, runs: &Runs, sky: &Sky, pictures: &Pictures) -> Self {
        let mut bands = vec![choice("sky-band", "all", "all bands", sky.band.is_none())];
        bands.extend(
            loaded
                .every_band()
                .iter()
                .map(|&band| choice("sky-band", band.name(), band.label(), sky.band == Some(band))),
        );
        let layers = LAYERS_KM.map(|km| {
            let name = if km < 180.0 { format!("E, {}", decimals(km, 0)) } else { decimals(km, 0) };
            choice("sky-layer", decimals(km, 0), name, (sky.layer.height_km() - km).abs() < 0.5)
        });
        let of_band = sky.band.map_or_else(|| "all bands".to_owned(), Band::label);
        let caption = |picture, caption: String| match pictures.pointed(picture) {
            "" => caption,
            pointed => pointed.to_owned(),
        };
        let as_table = |picture| state.as_table.get(picture).is_some();
        let hours_table = || hours_table(sky, loaded);
        let (days, days_note) = days_table(sky);
        Self {
            filters: super::markup(&Filters::new(state, loaded, pictures)),
            bands,
            layers: layers.into(),
            angles: loaded.subject().home().map(|_| Twin {
                caption: caption(Picture::Angles, format!("% by likely take-off angle, {of_band}")),
                summary: angles_input(sky, runs, angles_figure::summary).unwrap_or_default(),
                height: angles_height(state),
                table: as_table(Picture::Angles).then(|| angles_table(sky, runs)),
            }),
            cannot_say: cannot_say(),
            caution: caution(sky.layer),
            halves: halves(sky, runs),
            hops: hops_table(sky, runs, far_words(loaded.tested.side).1),
            remark: remark(state, loaded),
            hours: Twin {
                caption: caption(Picture::HoursLarge, "spots by band and UTC hour, all days together".to_owned()),
                summary: hours_large_input(sky, state, loaded)
                    .map_or_else(String::new, |input| hours_large::summary(&input)),
                height: hours_large_height(sky, state, loaded),
                table: as_table(Picture::HoursLarge).then(hours_table),
            },
            counts: Counts::ALL
                .into_iter()
                .map(|(counts, word, label)| choice("sky-counts", word, label, sky.counts == counts))
                .collect(),
            days,
            days_note,
            places: sky
                .seen
                .get()
                .into_iter()
                .filter_map(|seen| seen.places.first())
                .map(|(_, all)| places(all, loaded.tested.side))
                .collect(),
            sunlight: sunlight_table(sky),
            reached: reached(sky),
            countries: countries(sky, far_words(loaded.tested.side).1),
        }
    }
}

/// The answer while angles and hours are shown.
pub(in crate::page) fn headline(loaded: &Loaded, runs: &Runs, sky: &Sky) -> Headline {
    let mut of = counted(sky, runs);
    if let [(name, _)] = of.as_mut_slice() {
        loaded.name().clone_into(name);
    }
    words::headline(&of, sky.band)
}

/// The names of what is counted, and the counts of the band looked at.
fn counted<'a>(sky: &'a Sky, runs: &Runs) -> Vec<(String, &'a AngleCounts)> {
    let of = sky.seen.get().into_iter().flat_map(|seen| &seen.angles).map(|angles| sky.counts_of(angles));
    let names = match runs.compared() {
        Some((a, b)) => [runs.name(a).to_owned(), runs.name(b).to_owned()],
        None => ["All spots".to_owned(), String::new()],
    };
    names.into_iter().zip(of).filter_map(|(name, counts)| Some((name, counts?))).collect()
}

fn halves(sky: &Sky, runs: &Runs) -> Table {
    let (low, high) = sky.layer.range_km();
    let row = |(name, counts): (String, &AngleCounts)| {
        let spread = counts.half_under_range_deg;
        let spread =
            spread.map_or(MISSING.to_owned(), |(low, high)| format!("{} to {}", decimals(low, 0), decimals(high, 0)));
        (name, vec![or_missing(counts.half_under_deg, |deg| decimals(deg, 0)), spread])
    };
    Table {
        heads: vec![
            "Half of the spots under".to_owned(),
            "degrees".to_owned(),
            format!("layer {} to {}{NO_BREAK}km", decimals(low, 0), decimals(high, 0)),
        ],
        rows: counted(sky, runs).into_iter().map(row).collect(),
    }
}

fn hops_table(sky: &Sky, runs: &Runs, far: &str) -> Table {
    let of = counted(sky, runs);
    let mut heads = vec!["Likely hops".to_owned()];
    for (name, _) in &of {
        let before = if of.len() > 1 { format!("{name}: ") } else { String::new() };
        heads.extend([format!("{before}% of spots"), format!("{before}{far}")]);
    }
    let row = |class: HopClass| {
        let figures = of.iter().flat_map(|(_, counts)| {
            let own = counts.hops[class.index()];
            let percent = 100.0 * own.spots as f64 / counts.spots.max(1) as f64;
            [decimals(percent, 0), count(own.listeners)]
        });
        (hops(class).to_owned(), figures.collect())
    };
    Table { heads, rows: HopClass::ALL.into_iter().map(row).collect() }
}

fn angles_table(sky: &Sky, runs: &Runs) -> Table {
    let of = counted(sky, runs);
    let mut heads = vec!["Degrees".to_owned()];
    for (name, _) in &of {
        heads.extend([
            format!("{name}: spots"),
            "least to most".to_owned(),
            "far stations".to_owned(),
            "least to most".to_owned(),
        ]);
    }
    let row = |class: usize| {
        let figures = of.iter().flat_map(|(_, counts)| {
            let own = counts.classes[class];
            let spread = |(least, most): (usize, usize)| format!("{} to {}", count(least), count(most));
            [count(own.spots), spread(own.spots_range), count(own.listeners), spread(own.listeners_range)]
        });
        (range((ANGLE_EDGES_DEG[class], ANGLE_EDGES_DEG[class + 1])), figures.collect())
    };
    Table { heads, rows: (0..ANGLE_CLASSES).map(row).collect() }
}

/// The long way round to the farthest listener: a remark, since no report tells which way it came.
fn remark(state: &State, loaded: &Loaded) -> String {
    let farthest = loaded.figures().reach.farthest.as_ref();
    let subject = loaded.subject();
    let path = farthest.and_then(|farthest| Some(subject.path(farthest.call)?.path));
    path.and_then(|path| Some((path, long_way_round(&path)?))).map_or_else(String::new, |(path, long)| {
        format!(
            "The farthest listener is {} away; the long way round would be {} at {}°. No report tells which way it came, and none is counted so.",
            state.length.text(path.distance_km),
            state.length.text(long.distance_km),
            bearing(long.bearing_deg)
        )
    })
}

fn hours_table(sky: &Sky, loaded: &Loaded) -> Table {
    let openings = sky.seen.get().map_or(&[][..], |seen| &seen.openings);
    let of = |band| openings.iter().find(|of| of.band == band);
    // filters do not act on sends: a beacon is on whoever hears it
    let sends = sky.seen.get().and_then(|seen| seen.sends.as_deref()).unwrap_or_default();
    let share = |of: &BandOpenings, hour: usize| {
        let own = sends.iter().find(|sends| sends.band == of.band).map(|sends| sends.hours[hour]);
        or_missing(own.and_then(SendCount::share), |share| decimals(100.0 * share, 0))
    };
    let figure = |of: &BandOpenings, hour: usize| match sky.counts {
        Counts::Spots => count(of.spots[hour]),
        Counts::Listeners => count(of.listeners[hour]),
        Counts::Level => or_missing(of.median_snr_1w_db[hour], level),
        Counts::Sends => share(of, hour),
    };
    let mut heads = vec!["Hour, UTC".to_owned()];
    heads.extend(loaded.every_band().iter().map(|band| band.label()));
    let row = |hour: usize| {
        let figures =
            loaded.every_band().iter().map(|&band| of(band).map_or(MISSING.to_owned(), |of| figure(of, hour)));
        (format!("{hour:02}"), figures.collect())
    };
    Table { heads, rows: (0..24).map(row).collect() }
}

/// Spots by how their path lay to the sun.
fn sunlight_table(sky: &Sky) -> Table {
    let row = |(name, of): (String, &LightCounts)| {
        let all: usize = of.path.iter().sum();
        let share = |spots: usize| {
            format!("{} ({}{NO_BREAK}%)", count(spots), decimals(100.0 * spots as f64 / all.max(1) as f64, 0))
        };
        (name, of.path.map(share).into())
    };
    let found = sky.seen.get().map(|seen| &seen.sunlight);
    let all = found.map(|found| ("All".to_owned(), &found.all));
    let bands = found.into_iter().flat_map(|found| &found.bands).map(|(band, of)| (band.label(), of));
    Table {
        heads: ["Spots", "all by day", "an end in twilight", "day and night", "all by night"].map(str::to_owned).into(),
        rows: all.into_iter().chain(bands).map(row).collect(),
    }
}

/// How many countries and continents: of all, of runs, of bands.
fn reached(sky: &Sky) -> Table {
    let row = |(name, of): &(String, Places)| {
        let perhaps = of.countries.len() - of.countries_sure();
        (name.clone(), [of.countries_sure(), perhaps, of.continents_sure(), of.unsure].map(count).into())
    };
    Table {
        heads: ["", "Countries", "perhaps more", "Continents", "Near a border"].map(str::to_owned).into(),
        rows: sky.seen.get().into_iter().flat_map(|seen| &seen.places).map(row).collect(),
    }
}

/// Continents and countries with their listeners.
fn countries(sky: &Sky, far: &str) -> Table {
    let mut rows = Vec::new();
    let mut row = |name: &str, sure: usize, perhaps: usize| {
        let perhaps = if perhaps == 0 { String::new() } else { count(perhaps) };
        rows.push((name.to_owned(), vec![count(sure), perhaps]));
    };
    if let Some((_, all)) = sky.seen.get().and_then(|seen| seen.places.first()) {
        for of in &all.continents {
            row(of.place.name(), of.sure, of.perhaps);
        }
        for of in &all.countries {
            row(of.place.name(), of.sure, of.perhaps);
        }
    }
    Table { heads: vec!["Continent, country".to_owned(), far.to_owned(), "perhaps".to_owned()], rows }
}

/// First and last spot of each band on each day.
fn days_table(sky: &Sky) -> (Table, String) {
    let openings = sky.seen.get().map_or(&[][..], |seen| &seen.openings);
    let mut days: Vec<i64> = crate::order::distinct_numbers(
        openings.iter().flat_map(|of| of.days.iter().map(|day| i64::from(day.first.day_number()))),
    );
    let all = days.len();
    days.truncate(MOST_DAYS);
    let mut heads = vec!["Band".to_owned()];
    heads.extend(days.iter().filter_map(|day| UtcTime::from_unix_s(day * crate::time::DAY_S)).map(calendar::day));
    let row = |of: &BandOpenings| {
        let cells = days.iter().map(|&number| {
            let day = of.days.iter().find(|day| i64::from(day.first.day_number()) == number);
            day.map_or(MISSING.to_owned(), |day| format!("{}\u{2013}{}", day.first.clock(), day.last.clock()))
        });
        (of.band.label(), cells.collect())
    };
    let note = if all > MOST_DAYS {
        format!("The first {MOST_DAYS} of {} days; a time filter shows others.", count(all))
    } else {
        String::new()
    };
    (Table { heads, rows: openings.iter().map(row).collect() }, note)
}
