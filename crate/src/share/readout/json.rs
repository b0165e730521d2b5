//! The JSON document. Its keys are a contract with other programs: none may be renamed or change its meaning.
//!
//! Distances in km on the WGS-84 ellipsoid, bearings in degrees clockwise from true north at the tested station,
//! times ISO 8601 in UTC, SNR in dB in 2500 Hz; what is not known is null.

use std::collections::BTreeMap;

use serde::Serialize;

use super::contrast::{Contrast, contrast};
use super::health::{HealthEntry, entries};
use super::{Choice, Readout, Results};
use crate::geography::{Geodesic, Path, Position};
use crate::import::Reading;
use crate::model::{Band, StationId};
use crate::sky::SunPlace;
use crate::study::angles::{Layer, PathAngle};
use crate::study::bearings::WIDTH_DEG;
use crate::study::compare::{Design, Part, Verdict};
use crate::study::{
    BandHours, BandMedian, Places, Sector, Subject, Tally, places, places_by_band, reach::DistanceClass,
};
use crate::time::UtcTime;
use crate::words::{angles as in_words, verdict};

#[derive(Serialize)]
struct Document<'a> {
    version: u32,
    files: &'a [Reading],
    station: Option<Station<'a>>,
    spots: usize,
    listeners: usize,
    first_utc: Option<UtcTime>,
    last_utc: Option<UtcTime>,
    bands: Vec<BandEntry>,
    reach: Reach,
    places: PlacesEntry,
    bearings: Vec<SectorEntry>,
    hours: Vec<BandHours>,
    runs: Vec<RunEntry<'a>>,
    compare: Option<Compare<'a>>,
    health: Vec<HealthEntry<'a>>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spots_list: Option<Vec<SpotEntry<'a>>>,
}

#[derive(Serialize)]
struct Station<'a> {
    call: &'a str,
    locator: Option<String>,
    lat_deg: Option<f64>,
    lon_deg: Option<f64>,
}

#[derive(Serialize)]
struct BandEntry {
    band: Band,
    spots: usize,
    listeners: usize,
    farthest_km: Option<f64>,
    median_km: Option<f64>,
    p90_km: Option<f64>,
    median_snr_db: Option<f64>,
    median_snr_1w_db: Option<f64>,
}

#[derive(Serialize)]
struct SectorEntry {
    from_deg: f64,
    to_deg: f64,
    spots: usize,
    listeners: usize,
    farthest_km: Option<f64>,
    median_snr_1w_db: Option<f64>,
}

#[derive(Serialize)]
struct Reach {
    farthest_km: Option<f64>,
    farthest_bearing_deg: Option<f64>,
    farthest_repeated_km: Option<f64>,
    median_km: Option<f64>,
    p90_km: Option<f64>,
    distance_classes: Vec<DistanceClass>,
}

/// Countries and continents are those of the data set in `geography/places.md`; a listener that may be across a
/// border counts under `perhaps`.
#[derive(Serialize)]
struct PlacesEntry {
    countries_sure: usize,
    continents_sure: usize,
    unsure: usize,
    at_sea: usize,
    without_locator: usize,
    countries: Vec<PlaceEntry>,
    continents: Vec<PlaceEntry>,
    bands: Vec<PlacesOfBand>,
}

#[derive(Serialize)]
struct PlaceEntry {
    name: &'static str,
    sure: usize,
    perhaps: usize,
}

#[derive(Serialize)]
struct PlacesOfBand {
    band: Band,
    countries_sure: usize,
    continents_sure: usize,
    unsure: usize,
}

#[derive(Serialize)]
struct SpotEntry<'a> {
    file: &'a str,
    line: u32,
    time: UtcTime,
    band: Band,
    tx: &'a str,
    rx: &'a str,
    tx_locator: Option<String>,
    rx_locator: Option<String>,
    freq_hz: Option<f64>,
    snr_db: Option<f64>,
    drift_hz_min: Option<f64>,
    power_dbm: Option<f64>,
    distance_km: Option<f64>,
    bearing_deg: Option<f64>,
    /// Least equal hops off a layer at 300 km, and the angle they would leave at.
    likely_hops: Option<u32>,
    likely_elevation_deg: Option<f64>,
    /// Elevation of the sun at the tested station, at the far end and over the middle of the path.
    sun_near_deg: Option<f64>,
    sun_far_deg: Option<f64>,
    sun_middle_deg: Option<f64>,
    run: Option<&'a str>,
}

#[derive(Serialize)]
struct RunEntry<'a> {
    name: &'a str,
    spots: usize,
    listeners: usize,
    first_utc: Option<UtcTime>,
    last_utc: Option<UtcTime>,
    places: PlacesEntry,
}

#[derive(Serialize)]
struct Compare<'a> {
    a: &'a str,
    b: &'a str,
    design: Design,
    floor_db: f64,
    days_a: usize,
    days_b: usize,
    all: PartEntry,
    bands: Vec<OfBand>,
    sectors: Vec<OfRange>,
    distances: Vec<OfDistance>,
    suns: Vec<OfName>,
    hops: Vec<OfName>,
    angles: Vec<OfRange>,
}

#[derive(Serialize)]
struct OfBand {
    band: Band,
    #[serde(flatten)]
    part: PartEntry,
}

/// A state of the sun over the middle of the path, or a class of hops.
#[derive(Serialize)]
struct OfName {
    name: &'static str,
    #[serde(flatten)]
    part: PartEntry,
}

#[derive(Serialize)]
struct OfRange {
    from_deg: f64,
    to_deg: f64,
    #[serde(flatten)]
    part: PartEntry,
}

#[derive(Serialize)]
struct OfDistance {
    from_km: f64,
    to_km: f64,
    #[serde(flatten)]
    part: PartEntry,
}

#[derive(Serialize)]
struct PartEntry {
    pairs: usize,
    pairs_used: usize,
    listeners: usize,
    blocks: usize,
    margin_db: f64,
    difference_db: Option<f64>,
    low_db: Option<f64>,
    high_db: Option<f64>,
    level: f64,
    verdict: Verdict,
    only_a: usize,
    only_b: usize,
    plain_difference_db: Option<f64>,
    median_difference_db: Option<f64>,
    holds_together: bool,
    only_probability: f64,
    more_hours: Option<f64>,
    text: String,
}

pub(super) fn write(readout: &Readout) -> String {
    let subject = readout.subject();
    let results = Results::of(&subject, &readout.request.filter);
    let document = Document {
        version: 1,
        files: &readout.readings,
        station: station(readout),
        spots: results.tally.spots,
        listeners: results.tally.far.len(),
        first_utc: results.tally.span.map(|(first, _)| first),
        last_utc: results.tally.span.map(|(_, last)| last),
        bands: results.bands.iter().map(|of| band_entry(of, results.medians.band(of.band))).collect(),
        reach: Reach {
            farthest_km: results.reach.farthest.map(|farthest| farthest.km),
            farthest_bearing_deg: results.reach.farthest.and_then(|farthest| farthest.bearing_deg),
            farthest_repeated_km: results.reach.farthest_repeated.map(|farthest| farthest.km),
            median_km: results.reach.median_km,
            p90_km: results.reach.p90_km,
            distance_classes: results.reach.classes,
        },
        places: places_entry(&subject, &results.tally, &results.places),
        bearings: results.sectors.iter().zip(results.medians.sector_snr_1w_db).map(sector_entry).collect(),
        hours: results.hours,
        runs: runs(readout),
        compare: contrast(readout).as_ref().map(compare),
        health: entries(readout),
        spots_list: readout.request.list.then(|| spots_list(readout)),
    };
    // plain structs of numbers and strings always serialise; should that ever fail, no document is better than half of one
    serde_json::to_string_pretty(&document).map(|text| text + "\n").unwrap_or_default()
}

fn band_entry(result: &crate::study::BandResult, median: BandMedian) -> BandEntry {
    BandEntry {
        band: result.band,
        spots: result.spots,
        listeners: result.listeners,
        farthest_km: result.farthest.map(|farthest| farthest.km),
        median_km: result.median_km,
        p90_km: result.p90_km,
        median_snr_db: median.snr_db,
        median_snr_1w_db: median.snr_1w_db,
    }
}

fn sector_entry((sector, median_snr_1w_db): (&Sector, Option<f64>)) -> SectorEntry {
    let &Sector { from_deg, to_deg, spots, listeners, farthest_km } = sector;
    SectorEntry { from_deg, to_deg, spots, listeners, farthest_km, median_snr_1w_db }
}

fn places_entry(subject: &Subject<'_>, tally: &Tally, places: &Places) -> PlacesEntry {
    let of_band = |(band, places): (Band, Places)| PlacesOfBand {
        band,
        countries_sure: places.countries_sure(),
        continents_sure: places.continents_sure(),
        unsure: places.unsure,
    };
    let entry = |name, sure, perhaps| PlaceEntry { name, sure, perhaps };
    PlacesEntry {
        countries_sure: places.countries_sure(),
        continents_sure: places.continents_sure(),
        unsure: places.unsure,
        at_sea: places.at_sea,
        without_locator: places.unplaced,
        countries: places.countries.iter().map(|at| entry(at.place.name(), at.sure, at.perhaps)).collect(),
        continents: places.continents.iter().map(|at| entry(at.place.name(), at.sure, at.perhaps)).collect(),
        bands: places_by_band(subject, tally).into_iter().map(of_band).collect(),
    }
}

fn station(readout: &Readout) -> Option<Station<'_>> {
    if let Choice::Absent(call) = &readout.choice {
        return Some(Station { call, locator: None, lat_deg: None, lon_deg: None });
    }
    let &call = readout.calls.first()?;
    let place = readout.table.place(call);
    Some(Station {
        call: readout.table.stations().call(call),
        locator: place.map(|locator| locator.to_string()),
        lat_deg: place.map(|locator| locator.centre().lat_deg),
        lon_deg: place.map(|locator| locator.centre().lon_deg),
    })
}

fn runs(readout: &Readout) -> Vec<RunEntry<'_>> {
    let subject = readout.subject();
    let mut entries = Vec::new();
    for (run, rows) in readout.request.runs.iter().zip(&readout.run_rows) {
        let tally = Tally::of(&subject, rows);
        entries.push(RunEntry {
            name: &run.name,
            spots: tally.spots,
            listeners: tally.far.len(),
            first_utc: tally.span.map(|(first, _)| first),
            last_utc: tally.span.map(|(_, last)| last),
            places: places_entry(&subject, &tally, &places(&subject, &tally)),
        });
    }
    entries
}

fn compare<'a>(contrast: &Contrast<'a>) -> Compare<'a> {
    let found = &contrast.comparison;
    let entry = |place: &str, part: &Part| PartEntry {
        pairs: part.pairs,
        pairs_used: part.pairs_used,
        listeners: part.listeners,
        blocks: part.blocks,
        margin_db: part.margin_db,
        difference_db: part.difference_db,
        low_db: part.low_db,
        high_db: part.high_db,
        level: 0.95,
        verdict: part.verdict,
        only_a: part.only_a,
        only_b: part.only_b,
        plain_difference_db: part.plain_difference_db,
        median_difference_db: part.median_db,
        holds_together: part.holds_together,
        only_probability: part.only_probability,
        more_hours: part.more_hours,
        text: verdict::part(contrast.a, contrast.b, place, part, found.design, contrast.settings),
    };
    Compare {
        a: contrast.a,
        b: contrast.b,
        design: found.design,
        floor_db: found.floor_db,
        days_a: found.days.0,
        days_b: found.days.1,
        all: entry("", &found.all),
        bands: found
            .bands
            .iter()
            .map(|(band, part)| OfBand { band: *band, part: entry(&format!(" on {}", band.label()), part) })
            .collect(),
        sectors: found
            .sectors
            .iter()
            .map(|(from_deg, part)| OfRange {
                from_deg: *from_deg,
                to_deg: from_deg + WIDTH_DEG,
                part: entry(&format!(" towards {} degrees", from_deg + WIDTH_DEG / 2.0), part),
            })
            .collect(),
        distances: found
            .distances
            .iter()
            .map(|((from_km, to_km), part)| OfDistance {
                from_km: *from_km,
                to_km: *to_km,
                part: entry(&format!(" from {from_km} to {to_km} km"), part),
            })
            .collect(),
        suns: found
            .suns
            .iter()
            .map(|(state, part)| {
                let name = in_words::sun(*state);
                OfName { name, part: entry(&format!(" with {name} at the middle of the path"), part) }
            })
            .collect(),
        hops: found
            .hops
            .iter()
            .map(|(class, part)| {
                let name = in_words::hops(*class);
                OfName { name, part: entry(&format!(" by likely hops, {name}"), part) }
            })
            .collect(),
        angles: found
            .angles
            .iter()
            .map(|((from_deg, to_deg), part)| OfRange {
                from_deg: *from_deg,
                to_deg: *to_deg,
                part: entry(&format!(" at likely angles from {from_deg} to {to_deg} degrees"), part),
            })
            .collect(),
    }
}

/// Every spot read, in the order of files and lines, whoever sent it.
/// What lies between two places.
#[derive(Clone, Copy)]
struct Between {
    path: Path,
    angle: Option<PathAngle>,
    middle: Option<Position>,
}

impl Between {
    fn of(geodesic: &Geodesic, near: Position, far: Position) -> Self {
        let path = geodesic.path(near, far);
        Self {
            path,
            angle: PathAngle::of(path.distance_km, Layer::default()),
            middle: path.bearing_deg.map(|bearing| geodesic.destination(near, bearing, path.distance_km / 2.0)),
        }
    }
}

/// Distance and bearing are those of the row's own locators, the bearing at the end where the tested antenna stands.
fn spots_list(readout: &Readout) -> Vec<SpotEntry<'_>> {
    let table = &readout.table;
    let stations = table.stations();
    let geodesic = Geodesic::wgs84();
    // what two places have between them is worked out once for all their rows
    let mut paths: BTreeMap<(StationId, StationId), Option<Between>> = BTreeMap::new();
    let mut list = Vec::with_capacity(table.len());
    let mut last: Option<(UtcTime, SunPlace)> = None;
    for row in 0..table.len() {
        let (near, far) = (table.near(row, readout.side), table.far(row, readout.side));
        let between = *paths.entry((near, far)).or_insert_with(|| {
            Some(Between::of(&geodesic, stations.locator(near)?.centre(), stations.locator(far)?.centre()))
        });
        let path = between.map(|between| between.path);
        let angle = between.and_then(|between| between.angle);
        let middle = between.and_then(|between| between.middle);
        // rows are mostly in order of time: the sun's place is worked out once a slot
        let time = table.time(row);
        let sun = last.filter(|(at, _)| *at == time).map_or_else(|| SunPlace::at(time), |(_, sun)| sun);
        last = Some((time, sun));
        let (tx, rx) = (table.tx(row), table.rx(row));
        let locator = |station| stations.locator(station).map(|locator| locator.to_string());
        list.push(SpotEntry {
            file: table.file_name(table.file(row)),
            line: table.line(row),
            time: table.time(row),
            band: table.band(row),
            tx: stations.call(stations.call_of(tx)),
            rx: stations.call(stations.call_of(rx)),
            tx_locator: locator(tx),
            rx_locator: locator(rx),
            freq_hz: table.freq_hz(row),
            snr_db: table.snr_db(row),
            drift_hz_min: table.drift_hz_min(row),
            power_dbm: table.power_dbm(row),
            distance_km: path.map(|path| path.distance_km),
            bearing_deg: path.and_then(|path| path.bearing_deg),
            likely_hops: angle.map(|angle| angle.hops),
            likely_elevation_deg: angle.map(|angle| angle.elevation_deg),
            sun_near_deg: stations.locator(near).map(|near| sun.elevation_deg(near.centre())),
            sun_far_deg: stations.locator(far).map(|far| sun.elevation_deg(far.centre())),
            sun_middle_deg: middle.map(|middle| sun.elevation_deg(middle)),
            run: readout.run_of(row),
        });
    }
    list
}
