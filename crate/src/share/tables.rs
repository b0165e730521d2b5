//! The tables of the page for other programs: one row a fact, units in the heads, lengths in km whatever the page shows.
//!
//! Each is reckoned from what leaves, so a shortened locator shows in distances, sectors and countries as well.
//! Of the comparison's own results only counts and decibels are taken; where a listener stands is asked anew.

use super::privacy::Leaving;
use super::table::{Cell, Table};
use crate::model::{CallId, RowSet};
use crate::study::angles::{ANGLE_EDGES_DEG, Angles, HopClass, Layer, angles};
use crate::study::compare::{Comparison, Part, Verdict};
use crate::study::health::{Likely, Sender, health};
use crate::study::openings::openings;
use crate::study::statistics::median;
use crate::study::sunlight::{LightCounts, sunlight};
use crate::study::{Places, Tally, bands, bearings, listeners, places, places_by_band, reach};
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

/// A length in km, or a bearing: no locator is finer.
fn tenth(value: Option<f64>) -> Cell {
    Cell::number(value, 1)
}

fn db(value: Option<f64>) -> Cell {
    Cell::number(value, 2)
}

fn tally(leaving: &Leaving<'_>) -> (RowSet, Tally) {
    let rows = leaving.row_set();
    let tally = Tally::of(&leaving.subject(), &rows);
    (rows, tally)
}

/// Name of a run.
fn name(leaving: &Leaving<'_>, at: usize) -> Cell {
    Cell::from(leaving.runs().get(at).map_or("", |told| told.run.name.as_str()))
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
        "call|locator|locator error km|distance km|bearing deg|spots|bands|best SNR dB|median SNR at 1 W dB|first UTC|last UTC",
    );
    let mut calls = Vec::new();
    for of in listeners(&subject, &tally) {
        let locator = spots.place(of.call);
        let bands: Vec<&str> = of.bands.iter().map(|(band, _)| band.name()).collect();
        table.push([
            Cell::from(spots.stations().call(of.call)),
            locator.map_or(Cell::None, |locator| Cell::Text(locator.to_string())),
            tenth(locator.map(|locator| locator.uncertainty_km())),
            tenth(of.far.map(|far| far.path.distance_km)),
            tenth(of.far.and_then(|far| far.path.bearing_deg)),
            Cell::from(of.spots),
            Cell::Text(bands.join(" ")),
            db(of.best_snr_db()),
            db(median(&mut levels[of.call.index()])),
            Cell::from(of.first),
            Cell::from(of.last),
        ]);
        calls.push(of.call);
    }
    (table, calls)
}

fn of_bands(leaving: &Leaving<'_>) -> Table {
    let (rows, tally) = tally(leaving);
    let mut table = Table::new("band|spots|listeners|half within km|farthest km|median SNR dB|median SNR at 1 W dB");
    for of in bands(&leaving.subject(), &rows, &tally) {
        table.push([
            Cell::from(of.band),
            Cell::from(of.spots),
            Cell::from(of.listeners),
            tenth(of.median_km),
            tenth(of.farthest.map(|farthest| farthest.km)),
            db(of.median_snr_db),
            db(of.median_snr_1w_db),
        ]);
    }
    table
}

fn of_bearings(leaving: &Leaving<'_>) -> Table {
    let (rows, tally) = tally(leaving);
    let mut table = Table::new("from deg|to deg|spots|listeners|farthest km|median SNR at 1 W dB");
    for of in bearings(&leaving.subject(), &rows, &tally) {
        table.push([
            db(Some(of.from_deg.rem_euclid(360.0))),
            db(Some(of.to_deg)),
            Cell::from(of.spots),
            Cell::from(of.listeners),
            tenth(of.farthest_km),
            db(of.median_snr_1w_db),
        ]);
    }
    table
}

fn of_hours(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let (rows, tally) = tally(leaving);
    let sends = senders(leaving).into_iter().next().map(|of| of.sends).unwrap_or_default();
    let mut table = Table::new(
        "band|hour UTC|spots|listeners|median SNR at 1 W dB|nearest beyond the near ring km|sends expected|sends heard",
    );
    for of in openings(&leaving.subject(), &rows, &tally, layer) {
        let sends = sends.iter().find(|sends| sends.band == of.band);
        for hour in 0..24 {
            let sent = sends.map(|sends| sends.hours[hour]);
            let expected = sent.filter(|sent| sent.expected > 0);
            table.push([
                Cell::from(of.band),
                Cell::from(hour),
                Cell::from(of.spots[hour]),
                Cell::from(of.listeners[hour]),
                db(of.median_snr_1w_db[hour]),
                tenth(of.nearest[hour].beyond_ring_km),
                expected.map_or(Cell::None, |sent| Cell::from(sent.expected)),
                sent.map_or(Cell::None, |sent| Cell::from(sent.heard)),
            ]);
        }
    }
    table
}

fn of_days(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let (rows, tally) = tally(leaving);
    let mut table = Table::new("band|first UTC|last UTC|spots");
    for of in openings(&leaving.subject(), &rows, &tally, layer) {
        for day in of.days {
            table.push([Cell::from(of.band), Cell::from(day.first), Cell::from(day.last), Cell::from(day.spots)]);
        }
    }
    table
}

fn of_places(leaving: &Leaving<'_>) -> Table {
    let (_, tally) = tally(leaving);
    let mut table = Table::new("of|kind|place|listeners|perhaps");
    let mut add = |of: &str, found: Places| {
        let mut row = |kind: &str, place: &str, sure: usize, perhaps: usize| {
            table.push([of.into(), kind.into(), place.into(), sure.into(), perhaps.into()]);
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
    add("all", places(&leaving.subject(), &tally));
    for (band, found) in places_by_band(&leaving.subject(), &tally) {
        add(band.name(), found);
    }
    table
}

fn of_sun(leaving: &Leaving<'_>, layer: Layer) -> Table {
    let found = sunlight(&leaving.subject(), &leaving.row_set(), layer);
    let mut table = Table::new("band|all by day|an end in twilight|day and night|all by night");
    let mut add = |of: &str, counts: LightCounts| {
        let [day, twilight, both, night] = counts.path;
        table.push([of.into(), day.into(), twilight.into(), both.into(), night.into()]);
    };
    add("all", found.all);
    for (band, counts) in found.bands {
        add(band.name(), counts);
    }
    table
}

/// The angles of A and of B where two runs are compared, else of all spots, with their names.
fn each_angles(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Vec<(Cell, Angles)> {
    let subject = leaving.subject();
    let shown = leaving.row_set();
    let of = |rows: &RowSet| angles(&subject, &Tally::of(&subject, rows), looked.layer);
    let pair = looked.pair.into_iter().flat_map(|(a, b)| [a, b]);
    let runs = pair.filter_map(|at| Some((name(leaving, at), leaving.runs().get(at)?.rows.as_ref()?.and(&shown))));
    let mut sets: Vec<(Cell, RowSet)> = runs.collect();
    if sets.is_empty() {
        sets.push((Cell::from("all"), shown));
    }
    sets.into_iter().map(|(name, rows)| (name, of(&rows))).collect()
}

fn of_angles(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table =
        Table::new("run|band|from deg|to deg|spots|spots least|spots most|listeners|listeners least|listeners most");
    for (name, found) in each_angles(leaving, looked) {
        let bands = found.bands.iter().map(|(band, counts)| (band.name(), counts));
        for (band, counts) in std::iter::once(("all", &found.all)).chain(bands) {
            for (edges, of) in ANGLE_EDGES_DEG.windows(2).zip(&counts.classes) {
                table.push([
                    name.clone(),
                    Cell::from(band),
                    tenth(edges.first().copied()),
                    tenth(edges.last().copied()),
                    Cell::from(of.spots),
                    Cell::from(of.spots_range.0),
                    Cell::from(of.spots_range.1),
                    Cell::from(of.listeners),
                    Cell::from(of.listeners_range.0),
                    Cell::from(of.listeners_range.1),
                ]);
            }
        }
    }
    table
}

fn of_hops(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table = Table::new("run|band|hops|spots|listeners");
    for (name, found) in each_angles(leaving, looked) {
        let bands = found.bands.iter().map(|(band, counts)| (band.name(), counts));
        for (band, counts) in std::iter::once(("all", &found.all)).chain(bands) {
            for (class, of) in HopClass::ALL.into_iter().zip(counts.hops) {
                table.push([name.clone(), band.into(), hops(class).into(), of.spots.into(), of.listeners.into()]);
            }
        }
    }
    table
}

/// Whatever the filters: a beacon is on whoever hears it.
fn senders(leaving: &Leaving<'_>) -> Vec<Sender> {
    let subject = leaving.subject();
    health(&subject, subject.rows()).map(|found| found.senders).unwrap_or_default()
}

fn of_sends(leaving: &Leaving<'_>) -> Table {
    let subject = leaving.subject();
    let mut table = Table::new("sender|band|sends expected|sends heard|heard %|heard out of turn");
    for sender in senders(leaving) {
        for of in &sender.sends {
            table.push([
                Cell::from(subject.table().stations().call(sender.call)),
                Cell::from(of.band),
                of.expected.map_or(Cell::None, Cell::from),
                Cell::from(of.heard),
                tenth(of.share().map(|share| 100.0 * share)),
                Cell::from(of.beside),
            ]);
        }
    }
    table
}

fn of_silences(leaving: &Leaving<'_>) -> Table {
    let subject = leaving.subject();
    let mut table = Table::new("sender|band|from UTC|to UTC|hours|sends missed|likely");
    for sender in senders(leaving) {
        for of in sender.silences.all_bands.iter().chain(&sender.silences.one_band) {
            table.push([
                Cell::from(subject.table().stations().call(sender.call)),
                of.band.map_or(Cell::from("all"), Cell::from),
                Cell::from(of.span.from),
                Cell::from(of.span.to),
                db(Some(of.span.hours())),
                of.missed.map_or(Cell::None, Cell::from),
                Cell::from(match of.likely {
                    Likely::Sender => "the sender",
                    Likely::Usual => "usual then",
                    Likely::Unsure => "cannot tell",
                }),
            ]);
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
        let tally = Tally::of(&subject, &told.rows.as_ref().map_or_else(|| shown.clone(), |rows| rows.and(&shown)));
        let reach = reach(&subject, &tally);
        let [antenna, height, direction, notes] = told.words.each_ref().map(|words| Cell::from(words.as_str()));
        table.push([
            Cell::from(told.run.name.as_str()),
            antenna,
            height,
            direction,
            notes,
            db(told.run.true_power_dbm),
            db(Some(told.run.feeder_loss_db)),
            Cell::from(tally.spots),
            Cell::from(tally.far.len()),
            tally.span.map_or(Cell::None, |(first, _)| Cell::from(first)),
            tally.span.map_or(Cell::None, |(_, last)| Cell::from(last)),
            tenth(reach.median_km),
            tenth(reach.farthest.map(|farthest| farthest.km)),
        ]);
    }
    table
}

fn of_differences(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let mut table = Table::new(
        "A|B|kind|part|from|to|B above A dB|low dB|high dB|pairs|listeners|A only|B only|said|holds among all of its kind",
    );
    let Some((a, _)) = looked.pair else { return table };
    for &(b, found) in &looked.against {
        let (a, b) = (name(leaving, a), name(leaving, b));
        let mut add = |kind: &str, part: &str, edges: Option<(f64, f64)>, of: &Part| {
            table.push([
                a.clone(),
                b.clone(),
                Cell::from(kind),
                Cell::from(part),
                db(edges.map(|(from, _)| from)),
                db(edges.map(|(_, to)| to)),
                db(of.difference_db),
                db(of.low_db),
                db(of.high_db),
                Cell::from(of.pairs_used),
                Cell::from(of.listeners),
                Cell::from(of.only_a),
                Cell::from(of.only_b),
                Cell::from(match of.verdict {
                    Verdict::AStronger => "A stronger",
                    Verdict::BStronger => "B stronger",
                    Verdict::NoDifference => "no difference that matters",
                    Verdict::NotEnough => "not enough to tell",
                }),
                Cell::from(if of.holds_together { "yes" } else { "no" }),
            ]);
        };
        add("all", "", None, &found.all);
        for (band, part) in &found.bands {
            add("band", band.name(), None, part);
        }
        for (from, part) in &found.sectors {
            add("bearing deg", "", Some((from.rem_euclid(360.0), from + bearings::WIDTH_DEG)), part);
        }
        for (edges, part) in &found.distances {
            add("distance km", "", Some(*edges), part);
        }
        for (first, part) in &found.hours {
            add("hour UTC", "", Some((f64::from(*first), f64::from(*first) + 3.0)), part);
        }
        for (state, part) in &found.suns {
            add("sun over the middle", sun(*state), None, part);
        }
        for (class, part) in &found.hops {
            add("likely hops", hops(*class), None, part);
        }
        for (edges, part) in &found.angles {
            add("likely angle deg", "", Some(*edges), part);
        }
    }
    table
}

fn at_listeners(leaving: &Leaving<'_>, looked: &Looked<'_>) -> Table {
    let subject = leaving.subject();
    let mut table = Table::new(
        "A|B|listener|distance km|bearing deg|B above A dB|low dB|high dB|pairs|bands|holds among all listeners",
    );
    let Some((a, _)) = looked.pair else { return table };
    for &(b, found) in &looked.against {
        for of in &found.listeners {
            let path = subject.path(of.call).map(|far| far.path);
            table.push([
                name(leaving, a),
                name(leaving, b),
                Cell::from(subject.table().stations().call(of.call)),
                tenth(path.map(|path| path.distance_km)),
                tenth(path.and_then(|path| path.bearing_deg)),
                db(Some(of.difference_db)),
                db(of.low_db),
                db(of.high_db),
                Cell::from(of.pairs),
                Cell::from(of.bands),
                Cell::from(if of.holds_together { "yes" } else { "no" }),
            ]);
        }
    }
    table
}
