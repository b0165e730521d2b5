//! The tables of the page for other programs: one row a fact, units in the heads, lengths in km whatever the page shows.
//!
//! Each is reckoned from what leaves, so a shortened locator shows in distances, sectors and countries as well.
//! Of the comparison's own results only counts and decibels are taken; where a listener stands is asked anew.

use super::privacy::Leaving;
use super::table::Table;
use crate::geography::Locator;
use crate::model::{Band, CallId, RowSet};
use crate::study::angles::{ANGLE_EDGES_DEG, AngleCounts, HopClass, Layer, angles};
use crate::study::compare::{Comparison, Part, Verdict};
use crate::study::health::{Likely, Sender, health};
use crate::study::openings::openings;
use crate::study::statistics::median;
use crate::study::sunlight::sunlight;
use crate::study::{Places, Tally, bands, bearings, listeners, medians, places, places_by_band, reach};
use crate::time::UtcTime;
use crate::words::angles::{hops, sun};

/// Which table.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Each far station.
    Listeners,
    /// Each band.
    Bands,
    /// Each sector of bearing.
    Bearings,
    /// Each band in each UTC hour.
    Hours,
    /// First and last spot of each band on each UTC day.
    Days,
    /// Countries and continents.
    Places,
    /// How the paths lay to the sun.
    Sun,
    /// Likely take-off angles.
    Angles,
    /// Likely hops.
    Hops,
    /// Sends heard by anyone.
    Sends,
    /// Silent spans.
    Silences,
    /// Each run, with what was said of it.
    Runs,
    /// Differences between runs: over all, by band, and by everything else looked at.
    Differences,
    /// Differences at each listener.
    AtListeners,
}

impl Kind {
    /// All, each with its word for names of files.
    pub const ALL: [(Self, &'static str); 14] = [
        (Self::Listeners, "listeners"),
        (Self::Bands, "bands"),
        (Self::Bearings, "bearings"),
        (Self::Hours, "hours"),
        (Self::Days, "days"),
        (Self::Places, "places"),
        (Self::Sun, "sun"),
        (Self::Angles, "angles"),
        (Self::Hops, "hops"),
        (Self::Sends, "sends"),
        (Self::Silences, "silences"),
        (Self::Runs, "runs"),
        (Self::Differences, "differences"),
        (Self::AtListeners, "differences-by-listener"),
    ];

    /// Does it need two runs that were compared?
    pub fn is_of_two(self) -> bool {
        matches!(self, Self::Differences | Self::AtListeners)
    }
}

/// What is looked at besides the spots.
#[derive(Clone, Debug, Default)]
pub struct Looked<'a> {
    /// The layer assumed.
    pub layer: Layer,
    /// Runs A and B, by their places.
    pub pair: Option<(usize, usize)>,
    /// Runs held against A, by their places, B first.
    pub against: Vec<(usize, &'a Comparison)>,
}

/// A table of what leaves.
pub fn table(kind: Kind, leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    match kind {
        Kind::Listeners => of_listeners(leaving).0,
        Kind::Bands => of_bands(leaving),
        Kind::Bearings => of_bearings(leaving),
        Kind::Hours => of_hours(leaving, looked.layer),
        Kind::Days => of_days(leaving, looked.layer),
        Kind::Places => of_places(leaving),
        Kind::Sun => of_sun(leaving, looked.layer),
        Kind::Angles => of_angles(leaving, looked),
        Kind::Hops => of_hops(leaving, looked),
        Kind::Sends => of_sends(leaving),
        Kind::Silences => of_silences(leaving),
        Kind::Runs => of_runs(leaving),
        Kind::Differences => of_differences(leaving, looked),
        Kind::AtListeners => at_listeners(leaving, looked),
    }
}

/// What is not known is no number.
fn known(value: Option<f64>) -> f64 {
    value.unwrap_or(f64::NAN)
}

fn some(n: Option<usize>) -> f64 {
    known(n.map(of))
}

fn of(n: usize) -> f64 {
    n as f64
}

fn at(time: UtcTime) -> f64 {
    time.unix_s() as f64
}

fn tally(leaving: &Leaving<'_>) -> (RowSet, Tally) {
    let rows = leaving.row_set();
    let tally = Tally::of(&leaving.subject(), &rows);
    (rows, tally)
}

/// Name of a run.
fn name<'l>(leaving: &'l Leaving<'_>, at: usize) -> &'l str {
    leaving.runs().get(at).map_or("", |told| told.run.name.as_str())
}

/// Each far station, farthest first, with its call.
pub(super) fn of_listeners(leaving: &Leaving<'_>) -> (Table, Vec<CallId>) {
    let subject = leaving.subject();
    let spots = subject.table();
    let (_, tally) = tally(leaving);
    let mut levels = vec![Vec::new(); spots.stations().calls()];
    for row in leaving.rows() {
        levels[subject.far_call(row).index()].extend(spots.snr_1w_db(row));
    }
    let mut table = Table::new(
        "call|locator|bands|locator error km|distance km|bearing deg|spots|best SNR dB|median SNR at 1 W dB|first UTC|last UTC",
    );
    let mut calls = Vec::new();
    for far in listeners(&subject, &tally) {
        let locator = spots.place(far.call);
        let bands: Vec<&str> = far.bands.iter().map(|(band, _)| band.name()).collect();
        let words = locator.map_or_else(String::new, |locator| locator.to_string());
        let path = far.far.map(|far| far.path);
        table.row(
            &[spots.stations().call(far.call), &words, &bands.join(" ")],
            &[
                known(locator.map(Locator::uncertainty_km)),
                known(path.map(|path| path.distance_km)),
                known(path.and_then(|path| path.bearing_deg)),
                of(far.spots),
                known(far.best_snr_db()),
                known(median(&mut levels[far.call.index()])),
                at(far.first),
                at(far.last),
            ],
        );
        calls.push(far.call);
    }
    (table, calls)
}

fn of_bands(leaving: &Leaving<'_>) -> Table {
    let (rows, tally) = tally(leaving);
    let medians = medians(&leaving.subject(), &rows);
    let mut table = Table::new("band|spots|listeners|half within km|farthest km|median SNR dB|median SNR at 1 W dB");
    for found in bands(&leaving.subject(), &tally) {
        let median = medians.band(found.band);
        let farthest = known(found.farthest.map(|farthest| farthest.km));
        let (snr, at_1w) = (known(median.snr_db), known(median.snr_1w_db));
        let counts = [of(found.spots), of(found.listeners)];
        table.row(&[found.band.name()], &[counts[0], counts[1], known(found.median_km), farthest, snr, at_1w]);
    }
    table
}

fn of_bearings(leaving: &Leaving<'_>) -> Table {
    let (rows, tally) = tally(leaving);
    let medians = medians(&leaving.subject(), &rows);
    let mut table = Table::new("from deg|to deg|spots|listeners|farthest km|median SNR at 1 W dB");
    for (found, level) in bearings(&leaving.subject(), &tally).iter().zip(medians.sector_snr_1w_db) {
        let (from, to) = (found.from_deg.rem_euclid(360.0), found.to_deg);
        let (km, db) = (known(found.farthest_km), known(level));
        table.row(&[], &[from, to, of(found.spots), of(found.listeners), km, db]);
    }
    table
}

fn of_hours(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let (rows, tally) = tally(leaving);
    let sends = senders(leaving).into_iter().next().map(|sender| sender.sends).unwrap_or_default();
    let mut table = Table::new(
        "band|UTC hour|spots|listeners|median SNR at 1 W dB|nearest beyond the near ring km|sends expected|sends heard",
    );
    for found in openings(&leaving.subject(), &rows, &tally, layer) {
        let sends = sends.iter().find(|sends| sends.band == found.band);
        for hour in 0..24 {
            let sent = sends.map(|sends| sends.hours[hour]);
            table.row(
                &[found.band.name()],
                &[
                    of(hour),
                    of(found.spots[hour]),
                    of(found.listeners[hour]),
                    known(found.median_snr_1w_db[hour]),
                    known(found.nearest[hour].beyond_ring_km),
                    some(sent.map(|sent| sent.expected).filter(|&sends| sends > 0)),
                    some(sent.map(|sent| sent.heard)),
                ],
            );
        }
    }
    table
}

fn of_days(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let (rows, tally) = tally(leaving);
    let mut table = Table::new("band|first UTC|last UTC|spots");
    for found in openings(&leaving.subject(), &rows, &tally, layer) {
        for day in &found.days {
            table.row(&[found.band.name()], &[at(day.first), at(day.last), of(day.spots)]);
        }
    }
    table
}

fn of_places(leaving: &Leaving<'_>) -> Table {
    let (_, tally) = tally(leaving);
    let mut table = Table::new("of|kind|place|listeners|perhaps");
    let mut add = |name: &str, found: &Places| {
        let mut row = |kind: &str, place: &str, sure: usize, perhaps: usize| {
            table.row(&[name, kind, place], &[of(sure), of(perhaps)]);
        };
        for reached in &found.continents {
            row("continent", reached.place.name(), reached.sure, reached.perhaps);
        }
        for reached in &found.countries {
            row("country", reached.place.name(), reached.sure, reached.perhaps);
        }
        row("at sea", "", found.at_sea, 0);
        row("without locator", "", found.unplaced, 0);
    };
    add("all", &places(&leaving.subject(), &tally));
    for (band, found) in &places_by_band(&leaving.subject(), &tally) {
        add(band.name(), found);
    }
    table
}

fn of_sun(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let found = sunlight(&leaving.subject(), &leaving.row_set(), layer);
    let mut table = Table::new("band|all by day|an end in twilight|day and night|all by night");
    let bands = found.bands.iter().map(|(band, counts)| (band.name(), counts));
    for (name, counts) in std::iter::once(("all", &found.all)).chain(bands) {
        table.row(&[name], &counts.path.map(of));
    }
    table
}

/// With the angles of A and of B where two runs are compared, else of all spots: run, band and counts.
fn each_angles(leaving: &Leaving<'_>, looked: &Looked<'_>, each: &mut dyn FnMut(&str, &str, &AngleCounts)) {
    let subject = leaving.subject();
    let shown = leaving.row_set();
    let pair = looked.pair.into_iter().flat_map(|(a, b)| [a, b]);
    let mut sets: Vec<(&str, RowSet)> =
        pair.filter_map(|at| Some((name(leaving, at), leaving.runs().get(at)?.rows.as_ref()?.and(&shown)))).collect();
    if sets.is_empty() {
        sets.push(("all", shown));
    }
    for (name, rows) in &sets {
        let found = angles(&subject, &Tally::of(&subject, rows), looked.layer);
        each(name, "all", &found.all);
        for (band, counts) in &found.bands {
            each(name, band.name(), counts);
        }
    }
}

fn of_angles(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table =
        Table::new("run|band|from deg|to deg|spots|spots least|spots most|listeners|listeners least|listeners most");
    each_angles(leaving, looked, &mut |name, band, counts| {
        for (edges, found) in ANGLE_EDGES_DEG.windows(2).zip(&counts.classes) {
            let (spots, far) = (found.spots_range, found.listeners_range);
            let counts = [found.spots, spots.0, spots.1, found.listeners, far.0, far.1].map(of);
            table.row(&[name, band], &[edges, &counts].concat());
        }
    });
    table
}

fn of_hops(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table = Table::new("run|band|hops|spots|listeners");
    each_angles(leaving, looked, &mut |name, band, counts| {
        for (class, found) in HopClass::ALL.into_iter().zip(counts.hops) {
            table.row(&[name, band, hops(class)], &[of(found.spots), of(found.listeners)]);
        }
    });
    table
}

/// Whatever the filters: a beacon is on whoever hears it.
fn senders(leaving: &Leaving<'_>) -> Vec<Sender> {
    let subject = leaving.subject();
    health(&subject, subject.rows()).map(|found| found.senders).unwrap_or_default()
}

fn of_sends(leaving: &Leaving<'_>) -> Table {
    let mut table = Table::new("sender|band|sends expected|sends heard|heard %|heard out of turn");
    for sender in senders(leaving) {
        for found in &sender.sends {
            let share = known(found.share()) * 100.0;
            table.row(
                &[leaving.call(sender.call), found.band.name()],
                &[some(found.expected), of(found.heard), share, of(found.beside)],
            );
        }
    }
    table
}

fn of_silences(leaving: &Leaving<'_>) -> Table {
    let mut table = Table::new("sender|band|likely|from UTC|to UTC|hours|sends missed");
    for sender in senders(leaving) {
        for found in sender.silences.all_bands.iter().chain(&sender.silences.one_band) {
            let likely = match found.likely {
                Likely::Sender => "the sender",
                Likely::Usual => "usual then",
                Likely::Unsure => "cannot tell",
            };
            let span = found.span;
            table.row(
                &[leaving.call(sender.call), found.band.map_or("all", Band::name), likely],
                &[at(span.from), at(span.to), span.hours(), some(found.missed)],
            );
        }
    }
    table
}

fn of_runs(leaving: &Leaving<'_>) -> Table {
    let subject = leaving.subject();
    let shown = leaving.row_set();
    let mut table = Table::new(
        "run|antenna|height m|direction deg|notes|power sent dBm|feeder loss dB|spots|listeners|first UTC|last UTC|half within km|farthest km",
    );
    for told in leaving.runs() {
        let rows = told.rows.as_ref().map(|rows| rows.and(&shown));
        let tally = Tally::of(&subject, rows.as_ref().unwrap_or(&shown));
        let reach = reach(&subject, &tally);
        let [antenna, height, direction, notes] = &told.words;
        table.row(
            &[&told.run.name, antenna, height, direction, notes],
            &[
                known(told.run.true_power_dbm),
                told.run.feeder_loss_db,
                of(tally.spots),
                of(tally.far.len()),
                known(tally.span.map(|span| at(span.0))),
                known(tally.span.map(|span| at(span.1))),
                known(reach.median_km),
                known(reach.farthest.map(|farthest| farthest.km)),
            ],
        );
    }
    table
}

/// Does something hold when all of its kind are looked at together?
fn held(holds: bool) -> &'static str {
    if holds { "yes" } else { "no" }
}

fn of_differences(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table = Table::new(
        "A|B|kind|part|said|holds among all of its kind|from|to|B above A dB|low dB|high dB|pairs|listeners|A only|B only",
    );
    let Some((a, _)) = looked.pair else { return table };
    for &(b, found) in &looked.against {
        let (a, b) = (name(leaving, a), name(leaving, b));
        let mut add = |kind: &str, words: &str, from: f64, to: f64, part: &Part| {
            let said = match part.verdict {
                Verdict::AStronger => "A stronger",
                Verdict::BStronger => "B stronger",
                Verdict::NoDifference => "no difference that matters",
                Verdict::NotEnough => "not enough to tell",
            };
            let [pairs, far, only_a, only_b] = [part.pairs_used, part.listeners, part.only_a, part.only_b].map(of);
            let [db, low, high] = [part.difference_db, part.low_db, part.high_db].map(known);
            table.row(
                &[a, b, kind, words, said, held(part.holds_together)],
                &[from, to, db, low, high, pairs, far, only_a, only_b],
            );
        };
        add("all", "", f64::NAN, f64::NAN, &found.all);
        for (band, part) in &found.bands {
            add("band", band.name(), f64::NAN, f64::NAN, part);
        }
        for (from, part) in &found.sectors {
            add("bearing deg", "", from.rem_euclid(360.0), from + bearings::WIDTH_DEG, part);
        }
        for ((from, to), part) in &found.distances {
            add("distance km", "", *from, *to, part);
        }
        for (first, part) in &found.hours {
            add("UTC hour", "", f64::from(*first), f64::from(*first) + 3.0, part);
        }
        for (state, part) in &found.suns {
            add("sun over the middle", sun(*state), f64::NAN, f64::NAN, part);
        }
        for (class, part) in &found.hops {
            add("likely hops", hops(*class), f64::NAN, f64::NAN, part);
        }
        for ((from, to), part) in &found.angles {
            add("likely angle deg", "", *from, *to, part);
        }
    }
    table
}

fn at_listeners(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let subject = leaving.subject();
    let mut table = Table::new(
        "A|B|listener|holds among all listeners|distance km|bearing deg|B above A dB|low dB|high dB|pairs|bands",
    );
    let Some((a, _)) = looked.pair else { return table };
    for &(b, found) in &looked.against {
        for one in &found.listeners {
            let path = subject.path(one.call).map(|far| far.path);
            let [km, deg] = [path.map(|path| path.distance_km), path.and_then(|path| path.bearing_deg)].map(known);
            table.row(
                &[name(leaving, a), name(leaving, b), leaving.call(one.call), held(one.holds_together)],
                &[km, deg, one.difference_db, known(one.low_db), known(one.high_db), of(one.pairs), of(one.bands)],
            );
        }
    }
    table
}
