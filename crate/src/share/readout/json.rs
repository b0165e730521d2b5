//! The JSON document. Its keys are a contract with other programs: none may be renamed or change its meaning.
//!
//! Distances in km on the WGS-84 ellipsoid, bearings in degrees clockwise from true north at the tested station,
//! times ISO 8601 in UTC, SNR in dB in 2500 Hz; what is not known is null.

use std::collections::BTreeMap;

use serde::Serialize;

use super::{Choice, Readout, Results};
use crate::geography::{Geodesic, Path};
use crate::import::Reading;
use crate::model::{Band, StationId};
use crate::study::{BandHours, Sector, reach::DistanceClass};
use crate::time::UtcTime;

#[derive(Serialize)]
struct Document<'a> {
    version: u32,
    files: Vec<File<'a>>,
    station: Option<Station<'a>>,
    spots: usize,
    listeners: usize,
    first_utc: Option<UtcTime>,
    last_utc: Option<UtcTime>,
    bands: Vec<BandEntry>,
    reach: Reach,
    bearings: Vec<Sector>,
    hours: Vec<BandHours>,
    runs: [(); 0],
    compare: Option<()>,
    #[serde(skip_serializing_if = "Option::is_none")]
    spots_list: Option<Vec<SpotEntry<'a>>>,
}

#[derive(Serialize)]
struct File<'a> {
    name: &'a str,
    container: Option<&'static str>,
    format: Option<&'static str>,
    encoding: Option<&'static str>,
    delimiter: Option<&'static str>,
    roles: Vec<&'static str>,
    rows: u64,
    spots: u64,
    duplicates: u64,
    set_aside: Vec<SetAside<'a>>,
    notes: Vec<Note<'a>>,
    error: Option<Failure<'a>>,
}

#[derive(Serialize)]
struct SetAside<'a> {
    line: u32,
    reason: &'static str,
    text: &'a str,
}

#[derive(Serialize)]
struct Note<'a> {
    kind: &'static str,
    count: Option<u64>,
    text: std::borrow::Cow<'a, str>,
}

#[derive(Serialize)]
struct Failure<'a> {
    kind: &'static str,
    text: &'a str,
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
struct Reach {
    farthest_km: Option<f64>,
    farthest_bearing_deg: Option<f64>,
    farthest_repeated_km: Option<f64>,
    median_km: Option<f64>,
    p90_km: Option<f64>,
    distance_classes: Vec<DistanceClass>,
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
    run: Option<&'a str>,
}

pub(super) fn write(readout: &Readout) -> String {
    let subject = readout.subject();
    let results = Results::of(&subject, &readout.request.filter);
    let document = Document {
        version: 1,
        files: files(readout),
        station: station(readout),
        spots: results.tally.spots,
        listeners: results.tally.far.len(),
        first_utc: results.tally.span.map(|(first, _)| first),
        last_utc: results.tally.span.map(|(_, last)| last),
        bands: results.bands.iter().map(band_entry).collect(),
        reach: Reach {
            farthest_km: results.reach.farthest.map(|farthest| farthest.km),
            farthest_bearing_deg: results.reach.farthest.and_then(|farthest| farthest.bearing_deg),
            farthest_repeated_km: results.reach.farthest_repeated.map(|farthest| farthest.km),
            median_km: results.reach.median_km,
            p90_km: results.reach.p90_km,
            distance_classes: results.reach.classes,
        },
        bearings: results.sectors,
        hours: results.hours,
        runs: [],
        compare: None,
        spots_list: readout.request.list.then(|| spots_list(readout)),
    };
    // plain structs of numbers and strings always serialise; should that ever fail, no document is better than half of one
    serde_json::to_string_pretty(&document).map(|text| text + "\n").unwrap_or_default()
}

fn band_entry(result: &crate::study::BandResult) -> BandEntry {
    BandEntry {
        band: result.band,
        spots: result.spots,
        listeners: result.listeners,
        farthest_km: result.farthest.map(|farthest| farthest.km),
        median_km: result.median_km,
        p90_km: result.p90_km,
        median_snr_db: result.median_snr_db,
        median_snr_1w_db: result.median_snr_1w_db,
    }
}

fn files(readout: &Readout) -> Vec<File<'_>> {
    let mut files: Vec<File<'_>> = readout.readings.iter().map(file).collect();
    // the station is settled over all files, and said once, with the first that has spots
    if let Some(first) = files.iter_mut().find(|file| file.spots > 0)
        && let Some(note) = station_note(readout)
    {
        first.notes.push(note);
    }
    files
}

fn file(reading: &Reading) -> File<'_> {
    File {
        name: &reading.name,
        container: reading.container.map(|container| container.as_str()),
        format: reading.format.map(|format| format.as_str()),
        encoding: reading.encoding.map(|encoding| encoding.as_str()),
        delimiter: reading.delimiter.map(|delimiter| delimiter.as_str()),
        roles: reading.columns.iter().map(|column| column.role.as_str()).collect(),
        rows: reading.rows,
        spots: reading.spots,
        duplicates: reading.duplicates,
        set_aside: reading
            .set_aside
            .iter()
            .map(|row| SetAside { line: row.line, reason: row.reason.as_str(), text: &row.text })
            .collect(),
        notes: reading
            .notes
            .iter()
            .map(|note| Note { kind: note.kind.as_str(), count: note.count, text: note.text.as_str().into() })
            .collect(),
        error: reading.error.as_ref().map(|error| Failure { kind: error.kind.as_str(), text: &error.text }),
    }
}

fn station_note(readout: &Readout) -> Option<Note<'_>> {
    let (kind, count) = match readout.choice {
        Choice::Asked | Choice::None => return None,
        Choice::Absent(_) => ("station-absent", None),
        Choice::Found { spots, .. } => ("station-assumed", u64::try_from(spots).ok()),
    };
    Some(Note { kind, count, text: super::text::station_choice(readout)?.into() })
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

/// Every spot read, in the order of files and lines, whoever sent it.
/// Distance and bearing are those of the row's own locators, the bearing at the end where the tested antenna stands.
fn spots_list(readout: &Readout) -> Vec<SpotEntry<'_>> {
    let table = &readout.table;
    let stations = table.stations();
    let geodesic = Geodesic::wgs84();
    let mut paths: BTreeMap<(StationId, StationId), Option<Path>> = BTreeMap::new();
    let mut list = Vec::with_capacity(table.len());
    for row in 0..table.len() {
        let (near, far) = (table.near(row, readout.side), table.far(row, readout.side));
        let path = *paths.entry((near, far)).or_insert_with(|| {
            Some(geodesic.path(stations.locator(near)?.centre(), stations.locator(far)?.centre()))
        });
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
            run: None,
        });
    }
    list
}
