//! Sun, hops, angles and openings of spots: against published tables, against plain recounts of the same rows,
//! and as parts of a comparison.

#![allow(
    clippy::unwrap_used,
    clippy::panic,
    clippy::cast_possible_truncation,
    clippy::cast_possible_wrap,
    clippy::cast_sign_loss,
    clippy::float_cmp,
    reason = "a test may stop at the first surprise; laws that hold exactly are compared exactly"
)]

mod published;

use std::collections::{BTreeMap, BTreeSet};
use std::sync::LazyLock;

use farheard::geography::{Geodesic, Locator, Position};
use farheard::model::{Band, RowSet, Side as End, Spot, SpotTable, TableBuilder};
use farheard::sky::hop::{E_HEIGHT_KM, hop_span_km};
use farheard::sky::{HopPath, SunPlace, SunState};
use farheard::study::angles::{ANGLE_EDGES_DEG, AngleCounts, NEAR_VERTICAL_DEG, long_way_round};
use farheard::study::compare::{self, Comparison, Part, Settings};
use farheard::study::openings::{GROUND_WAVE_KM, near_ring_km};
use farheard::study::runs::Run;
use farheard::study::sunlight::{PathLight, PathSuns, sun_day};
use farheard::study::{HopClass, Layer, PathAngle, Subject, Tally, angles, openings, sunlight};
use farheard::time::UtcTime;

/// The triangle of Rec. ITU-R P.533; tables made with other programs, see `tests/published/SOURCES.md`.
#[test]
fn angles_of_one_hop_are_those_of_the_published_triangle() {
    let mut checked = 0;
    for row in published::rows("hops.csv").filter(|row| row.text("visible") == "1") {
        let layer = Layer::at(row.number("height_km")).unwrap();
        let of = PathAngle::of(row.number("ground_range_km"), layer).unwrap();
        assert_eq!(of.hops, 1, "{row}");
        let elevation_deg = row.number("elevation_deg");
        published::close(of.elevation_deg, elevation_deg, 1e-5, &row);
        published::close(of.slant_km, row.number("slant_path_km"), 1e-5, &row);
        let class = if elevation_deg >= NEAR_VERTICAL_DEG { HopClass::NearVertical } else { HopClass::OneHop };
        assert_eq!(of.class, class, "{row}");
        checked += 1;
    }
    assert!(checked > 60, "{checked} rows");
}

/// What the table says at one height lies within the range that is given for another height of the same layer.
/// (Where the lower of the two needs a hop more, its own row says how many.)
#[test]
fn the_range_of_angles_holds_the_published_angles_at_its_other_heights() {
    let rows: Vec<_> = published::rows("hops.csv").filter(|row| row.text("visible") == "1").collect();
    let mut checked = 0;
    for row in &rows {
        let (km, height_km) = (row.number("ground_range_km"), row.number("height_km"));
        for of_height in rows.iter().map(|row| row.number("height_km")) {
            let layer = Layer::at(of_height).unwrap();
            let (low_km, high_km) = layer.range_km();
            if low_km <= height_km && height_km <= high_km {
                let (low, high) = PathAngle::of(km, layer).unwrap().range_deg;
                let elevation = row.number("elevation_deg");
                assert!(low - 1e-5 <= elevation && elevation <= high + 1e-5, "{row}: {low} to {high}");
                checked += 1;
            }
        }
    }
    assert!(checked > 1000, "{checked} pairs of rows");
    // 3600 km: 250 km of height need two hops, 300 km one
    let spanning = PathAngle::of(3600.0, Layer::default()).unwrap();
    let two_hops = HopPath::of_hops(3600.0, 250.0, 2).unwrap().hop.elevation_deg;
    assert_eq!((spanning.hops, spanning.hops_range), (1, (1, 2)));
    assert!(spanning.range_deg.0 == 0.0 && spanning.range_deg.1 >= two_hops, "{spanning:?}");
}

#[test]
fn paths_take_the_published_number_of_least_hops() {
    let mut checked = BTreeMap::<u32, usize>::new();
    for row in published::rows("hops_multi.csv").filter(|row| row.text("min_elevation_deg") == "0") {
        let of = PathAngle::of(row.number("path_km"), Layer::at(row.number("height_km")).unwrap()).unwrap();
        assert_eq!(of.hops.to_string(), row.text("min_hops"), "{row}");
        published::close(of.elevation_deg, row.number("elevation_deg"), 1e-5, &row);
        published::close(of.slant_km, row.number("total_slant_km"), 1e-4, &row);
        assert_eq!(of.class == HopClass::TwoHops, of.hops == 2, "{row}");
        assert_eq!(of.class == HopClass::MoreHops, of.hops > 2, "{row}");
        *checked.entry(of.hops).or_default() += 1;
    }
    assert!(checked.len() >= 5 && checked.values().sum::<usize>() == 24, "{checked:?}");
    // a longest hop, and a little more: one hop more
    for row in published::rows("hops_max.csv").filter(|row| row.text("elevation_deg") == "0") {
        let (km, layer) = (row.number("max_ground_range_km"), Layer::at(row.number("height_km")).unwrap());
        let hops = |km| PathAngle::of(km, layer).unwrap().hops;
        assert_eq!((hops(km - 1e-3), hops(km + 1e-3), hops(2.0 * km - 1e-3)), (1, 2, 2), "{row}");
    }
}

/// States through a day against the elevations of NREL's algorithm (`sun.csv`): both hemispheres, the date line, the poles,
/// polar day and polar night.
#[test]
fn the_sun_over_a_day_has_the_published_states() {
    let mut seen = BTreeSet::new();
    let mut whole_days = BTreeSet::new();
    for row in published::rows("sun.csv") {
        let place = Position { lat_deg: row.number("lat_deg"), lon_deg: row.number("lon_deg") };
        let (time, right) = (UtcTime::parse_iso(row.text("utc")).unwrap(), row.number("elevation_airless_deg"));
        let day = sun_day(place, time);
        // looked at every minute, in which the sun moves by a quarter of a degree at most
        assert!(day.highest_deg >= right - 0.26, "{row}");
        assert_eq!((day.stretches[0].from_min, day.stretches.last().unwrap().to_min), (0, 1440));
        assert!(
            day.stretches.windows(2).all(|pair| pair[0].to_min == pair[1].from_min && pair[0].state != pair[1].state)
        );
        let minute = time.second_of_day() / 60;
        let found = day.stretches.iter().find(|stretch| stretch.from_min <= minute && minute < stretch.to_min).unwrap();
        // within the minute the sun moves by a quarter of a degree
        let near = [-0.8333, -12.0].into_iter().any(|limit: f64| (right - limit).abs() < 0.26);
        if !near {
            assert_eq!(found.state, SunState::of_elevation(right), "{row}");
            seen.insert((found.state, place.lat_deg > 0.0));
        }
        if let [one] = day.stretches.as_slice() {
            whole_days.insert((one.state, place.lat_deg > 0.0));
            assert_eq!(day.by_hour(), [one.state; 24]);
        }
    }
    assert_eq!(seen.len(), 6, "every state in either hemisphere: {seen:?}");
    assert!(
        whole_days.contains(&(SunState::Day, true)) && whole_days.contains(&(SunState::Day, false)),
        "{whole_days:?}"
    );
    // 180 degrees east and west are one place
    let noon = UtcTime::parse_iso("2024-06-20T12:00Z").unwrap();
    let at = |lon_deg| sun_day(Position { lat_deg: 51.5, lon_deg }, noon);
    assert_eq!(at(180.0).stretches, at(-180.0).stretches);
    // deep polar night: no day and no twilight
    let night = sun_day(Position { lat_deg: 85.0, lon_deg: 0.0 }, UtcTime::parse_iso("2031-12-21T12:00Z").unwrap());
    assert_eq!(night.by_hour(), [SunState::Night; 24]);
    assert!(night.highest_deg < -12.0);
}

// ---- spots ----

/// A fixed sequence of numbers below `below` (splitmix64).
fn numbers(seed: u64) -> impl FnMut(u64) -> u64 {
    let mut state = seed;
    move |below| {
        state = state.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = state;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        (z ^ (z >> 31)) % below
    }
}

const HOME: &str = "JN99fl";
/// Near and far, east and west, both hemispheres, either side of the date line; the last has no place.
const PLACES: [Option<&str>; 14] = [
    Some("JN99fl"),
    Some("JN99"),
    Some("JO80ab"),
    Some("JN88ee"),
    Some("JO10"),
    Some("IO91wm"),
    Some("KP20le"),
    Some("FN31pr"),
    Some("BL11bh"),
    Some("RE78jt"),
    Some("AH46"),
    Some("QF22lm"),
    Some("JQ78ug"),
    None,
];
const BANDS: [&str; 3] = ["80m", "40m", "20m"];

#[derive(Clone, Debug)]
struct Row {
    time_s: i64,
    listener: usize,
    band: &'static str,
    snr_db: f64,
    power_dbm: f64,
}

/// Three days of an antenna test: two antennas in turn, told apart by power; listeners that sleep, bands that close.
fn invented(seed: u64) -> Vec<Row> {
    heard_mostly(seed, 3)
}

/// The same where a listener that is awake hears so many slots of ten.
fn heard_mostly(seed: u64, heard_of_ten: u64) -> Vec<Row> {
    let mut next = numbers(seed);
    let mut rows = Vec::new();
    for slot in 0..3 * 720_i64 {
        let (turn, at) = (slot / 3, (slot % 3) as usize);
        let hour = slot / 30 % 24;
        for listener in 0..PLACES.len() {
            let awake = (hour as usize + 5 * listener) % 24 < 16;
            let open = [!(8..16).contains(&hour), true, (6..19).contains(&hour)][at];
            if awake && open && next(10) < heard_of_ten {
                rows.push(Row {
                    time_s: 1_935_100_800 + slot * 120,
                    listener,
                    band: BANDS[at],
                    snr_db: next(26) as f64 - 29.0 + [0.0, 2.0][(turn % 2) as usize],
                    power_dbm: [23.0, 20.0][(turn % 2) as usize],
                });
            }
        }
    }
    rows
}

fn call(listener: usize) -> String {
    format!("Q{}{}X", 9 - listener % 10, char::from(b'Z' - listener as u8))
}

fn table(rows: &[Row]) -> SpotTable {
    let mut builder = TableBuilder::new();
    builder.begin_file("invented.csv");
    for (line, row) in (2..).zip(rows) {
        let tx = builder.station("Q7TST", Some(Locator::parse(HOME).unwrap()));
        let rx = builder.station(&call(row.listener), PLACES[row.listener].map(|text| Locator::parse(text).unwrap()));
        builder.push(Spot {
            time: UtcTime::from_unix_s(row.time_s).unwrap(),
            tx,
            rx,
            freq_hz: None,
            band: Band::from_name(row.band).unwrap(),
            snr_db: Some(row.snr_db),
            drift_hz_min: None,
            power_dbm: Some(row.power_dbm),
            line,
        });
    }
    builder.freeze()
}

fn of_station(table: &SpotTable) -> Subject<'_> {
    Subject::new(table, &[table.stations().find_call("Q7TST").unwrap()], End::Sends, None)
}

fn place(text: &str) -> Position {
    Locator::parse(text).unwrap().centre()
}

fn km(listener: usize) -> Option<f64> {
    static DISTANCES_KM: LazyLock<Vec<Option<f64>>> = LazyLock::new(|| {
        let far = |to: Option<&str>| Some(Geodesic::wgs84().path(place(HOME), place(to?)).distance_km);
        PLACES.into_iter().map(far).collect()
    });
    DISTANCES_KM[listener]
}

/// The place a share of the way to a listener.
fn on_the_way(listener: usize, share: f64) -> Option<Position> {
    let (from, to) = (place(HOME), place(PLACES[listener]?));
    let path = Geodesic::wgs84().path(from, to);
    let bearing = path.bearing_deg.unwrap_or(0.0);
    Some(Geodesic::wgs84().destination(from, bearing, path.distance_km * share))
}

/// State of the sun over the middle of the way.
fn state(row: &Row) -> Option<SunState> {
    static MIDDLES: LazyLock<Vec<Option<Position>>> =
        LazyLock::new(|| (0..PLACES.len()).map(|listener| on_the_way(listener, 0.5)).collect());
    Some(SunPlace::at(UtcTime::from_unix_s(row.time_s).unwrap()).state(MIDDLES[row.listener]?))
}

#[test]
fn the_sun_over_each_spot_is_that_of_its_time_and_places() {
    let rows = invented(1);
    let table = table(&rows);
    let subject = of_station(&table);
    for layer in [Layer::default(), Layer::e()] {
        let suns = PathSuns::new(&subject, subject.rows(), layer);
        let found = sunlight(&subject, subject.rows(), layer);
        let (mut without, mut lights) = (0, [0; 4]);
        for (at, row) in rows.iter().enumerate() {
            let Some(km) = km(row.listener) else {
                without += 1;
                assert!(suns.spot(at).is_none() && suns.reflections_deg(at).is_empty());
                continue;
            };
            let sun = SunPlace::at(UtcTime::from_unix_s(row.time_s).unwrap());
            let elevation = |share| sun.elevation_deg(on_the_way(row.listener, share).unwrap());
            let spot = suns.spot(at).unwrap();
            for (ours, right) in [(spot.home_deg, 0.0), (spot.midpoint_deg.unwrap(), 0.5), (spot.far_deg, 1.0)]
                .map(|(ours, share)| (ours, elevation(share)))
            {
                // a metre or so by two ways to the same place
                assert!((ours - right).abs() < 1e-4, "{row:?}: {ours}, not {right}");
            }
            let hops = HopPath::of_least_hops(km, layer.height_km(), 0.0).unwrap();
            let right: Vec<f64> = hops.reflections().map(elevation).collect();
            let ours = suns.reflections_deg(at);
            assert_eq!(ours.len(), right.len());
            assert!(ours.iter().zip(&right).all(|(ours, right)| (ours - right).abs() < 1e-9));
            let ends = [spot.home_deg, spot.far_deg].map(SunState::of_elevation);
            let mut all = ends.into_iter().chain(right.into_iter().map(SunState::of_elevation));
            let light = if ends.contains(&SunState::Twilight) {
                PathLight::GreyLine
            } else if all.clone().all(|state| state == SunState::Day) {
                PathLight::Day
            } else if all.all(|state| state == SunState::Night) {
                PathLight::Night
            } else {
                PathLight::Mixed
            };
            assert_eq!(spot.light, light, "{row:?}");
            lights[light.index()] += 1;
        }
        assert_eq!((found.without_place, found.all.path), (without, lights));
        assert!(lights.iter().all(|&spots| spots > 20), "every kind occurs: {lights:?}");
        assert_eq!(
            found.all.midpoint,
            SunState::ALL.map(|wanted| rows.iter().filter(|row| state(row) == Some(wanted)).count())
        );
        let at_home = |row: &Row| SunPlace::at(UtcTime::from_unix_s(row.time_s).unwrap()).state(place(HOME));
        let placed = rows.iter().filter(|row| PLACES[row.listener].is_some());
        assert_eq!(
            found.all.home,
            SunState::ALL.map(|wanted| placed.clone().filter(|row| at_home(row) == wanted).count())
        );
        for (band, counts) in &found.bands {
            let own = rows.iter().filter(|row| row.band == band.name());
            let right = SunState::ALL.map(|wanted| own.clone().filter(|row| state(row) == Some(wanted)).count());
            assert_eq!(counts.midpoint, right, "{band:?}");
            assert_eq!(counts.far.iter().sum::<usize>(), counts.path.iter().sum::<usize>());
        }
    }
}

/// Counts by angle of some rows with a layer of a height, by filtering over and over.
fn recount(rows: &[&Row], height_km: f64) -> Vec<(usize, usize)> {
    let angle = |row: &&&Row| {
        let path = HopPath::of_least_hops(km(row.listener)?, height_km, 0.0)?;
        Some(path.hop.elevation_deg.max(0.0))
    };
    ANGLE_EDGES_DEG
        .windows(2)
        .map(|edge| {
            let last = edge[1] == 90.0;
            let within =
                |row: &&&Row| angle(row).is_some_and(|deg| edge[0] <= deg && (deg < edge[1] || last && deg <= 90.0));
            let there: Vec<_> = rows.iter().filter(within).collect();
            (there.len(), there.iter().map(|row| row.listener).collect::<BTreeSet<_>>().len())
        })
        .collect()
}

fn check_counts(counts: &AngleCounts, rows: &[&Row], layer: Layer) {
    let (low, high) = layer.range_km();
    let heights = (0..=40).map(|step| low + (high - low) * f64::from(step) / 40.0);
    let at_height = recount(rows, layer.height_km());
    let over_range: Vec<_> = heights.map(|height| recount(rows, height)).collect();
    for (at, class) in counts.classes.iter().enumerate() {
        assert_eq!((class.spots, class.listeners), at_height[at]);
        let (fewest, most) =
            (over_range.iter().map(|found| found[at].0).min(), over_range.iter().map(|found| found[at].0).max());
        // the finer steps of this recount may find more, never less
        assert!(fewest.unwrap() <= class.spots_range.0 && class.spots_range.1 <= most.unwrap().max(class.spots));
        assert!(class.spots_range.0 <= class.spots && class.spots <= class.spots_range.1);
        assert!(class.listeners_range.0 <= class.listeners && class.listeners <= class.listeners_range.1);
        for end in [low, high] {
            let spots = recount(rows, end)[at].0;
            assert!(class.spots_range.0 <= spots && spots <= class.spots_range.1);
        }
    }
    let mut angles: Vec<f64> = rows
        .iter()
        .filter_map(|row| {
            Some(HopPath::of_least_hops(km(row.listener)?, layer.height_km(), 0.0)?.hop.elevation_deg.max(0.0))
        })
        .collect();
    angles.sort_by(f64::total_cmp);
    let middle = f64::midpoint(angles[(angles.len() - 1) / 2], angles[angles.len() / 2]);
    assert!((counts.half_under_deg.unwrap() - middle).abs() < 1e-9);
    let (least, most) = counts.half_under_range_deg.unwrap();
    assert!(least <= middle && middle <= most);
    assert_eq!(counts.spots, angles.len());
    assert_eq!(counts.hops.iter().map(|hops| hops.spots).sum::<usize>(), counts.spots);
    assert_eq!(counts.hops.iter().map(|hops| hops.listeners).sum::<usize>(), counts.listeners);
    assert_eq!(counts.hops[0].spots, counts.classes[8].spots, "the steepest class is the near-vertical one");
}

#[test]
fn angles_equal_a_plain_recount() {
    let rows = invented(2);
    let table = table(&rows);
    let subject = of_station(&table);
    let tally = Tally::of(&subject, subject.rows());
    for layer in [Layer::default(), Layer::e(), Layer::at(250.0).unwrap(), Layer::at(400.0).unwrap()] {
        let found = angles(&subject, &tally, layer);
        assert_eq!(found.without_place, 1);
        check_counts(&found.all, &rows.iter().collect::<Vec<_>>(), layer);
        assert_eq!(found.bands.len(), 3);
        for (band, counts) in &found.bands {
            check_counts(counts, &rows.iter().filter(|row| row.band == band.name()).collect::<Vec<_>>(), layer);
        }
    }
}

#[test]
fn openings_equal_a_plain_recount() {
    let rows = invented(3);
    let table = table(&rows);
    let subject = of_station(&table);
    let tally = Tally::of(&subject, subject.rows());
    let layer = Layer::default();
    let ring = near_ring_km(layer);
    // one hop at 60 degrees off 300 km spans about 330 km
    assert!((ring - hop_span_km(60.0, 300.0).unwrap()).abs() < 1e-9 && (320.0..345.0).contains(&ring));
    assert!((near_ring_km(Layer::at(E_HEIGHT_KM).unwrap()) - hop_span_km(60.0, 110.0).unwrap()).abs() < 1e-9);
    let found = openings(&subject, subject.rows(), &tally, layer);
    assert_eq!(found.iter().map(|band| band.band.name()).collect::<Vec<_>>(), BANDS);
    let hour_of = |row: &Row| (row.time_s / 3600 % 24) as usize;
    let mut zones = 0;
    for band in &found {
        let own: Vec<&Row> = rows.iter().filter(|row| row.band == band.band.name()).collect();
        for hour in 0..24 {
            let there: Vec<&&Row> = own.iter().filter(|row| hour_of(row) == hour).collect();
            let who: BTreeSet<usize> = there.iter().map(|row| row.listener).collect();
            assert_eq!((band.spots[hour], band.listeners[hour]), (there.len(), who.len()));
            let slots: BTreeSet<i64> = there.iter().map(|row| row.time_s / 120).collect();
            assert_eq!(band.slots_heard[hour], slots.len());
            let mut levels: Vec<f64> = there.iter().map(|row| row.snr_db - row.power_dbm + 30.0).collect();
            levels.sort_by(f64::total_cmp);
            let middle =
                (!levels.is_empty()).then(|| f64::midpoint(levels[(levels.len() - 1) / 2], levels[levels.len() / 2]));
            assert_eq!(band.median_snr_1w_db[hour], middle);
            let nearest = band.nearest[hour];
            let distances: Vec<f64> = who.iter().filter_map(|&listener| km(listener)).collect();
            let beyond = distances.iter().copied().filter(|&km| km >= ring).reduce(f64::min);
            assert_eq!(nearest.beyond_ring_km, beyond);
            assert_eq!(nearest.ground, distances.iter().filter(|&&km| km < GROUND_WAVE_KM).count());
            let steep = distances.iter().filter(|&&km| (GROUND_WAVE_KM..ring).contains(&km)).count();
            assert_eq!(nearest.steep, steep);
            assert_eq!(nearest.skip_zone_km(), beyond.filter(|_| steep == 0));
            zones += usize::from(nearest.skip_zone_km().is_some());
            let awake: BTreeSet<usize> =
                rows.iter().filter(|row| hour_of(row) == hour).map(|row| row.listener).collect();
            let between = |&&listener: &&usize| {
                km(listener).is_some_and(|km| km >= GROUND_WAVE_KM && beyond.is_some_and(|least| km < least))
            };
            assert_eq!(nearest.deaf, awake.iter().filter(between).filter(|listener| !who.contains(listener)).count());
            if there.is_empty() {
                assert_eq!(nearest.skip_zone_km(), None, "a closed band has no skip zone");
            }
        }
        let days: BTreeSet<i64> = own.iter().map(|row| row.time_s / 86_400).collect();
        assert_eq!(band.days.len(), days.len());
        for (heard, day) in band.days.iter().zip(days) {
            let there: Vec<i64> = own.iter().map(|row| row.time_s).filter(|time| time / 86_400 == day).collect();
            let (first, last) = (*there.iter().min().unwrap(), *there.iter().max().unwrap());
            assert_eq!((heard.first.unix_s(), heard.last.unix_s(), heard.spots), (first, last, there.len()));
        }
    }
    assert!(zones > 3, "{zones} hours with a skip zone");
}

#[test]
fn the_order_of_rows_changes_nothing() {
    let rows = invented(4);
    let mut turned = rows.clone();
    turned.reverse();
    turned.rotate_left(rows.len() / 3);
    let (one, two) = (table(&rows), table(&turned));
    let found = |table| {
        let subject = of_station(table);
        let (rows, tally) = (subject.rows(), Tally::of(&subject, subject.rows()));
        let layer = Layer::default();
        (angles(&subject, &tally, layer), sunlight(&subject, rows, layer), openings(&subject, rows, &tally, layer))
    };
    assert_eq!(found(&one), found(&two));
}

#[test]
fn nothing_from_nothing_and_nothing_without_a_home() {
    let table = table(&invented(5)[..50]);
    let subject = of_station(&table);
    let none = RowSet::none(table.len());
    let tally = Tally::of(&subject, &none);
    let layer = Layer::default();
    assert_eq!(sunlight(&subject, &none, layer), farheard::study::Sunlight::default());
    assert!(openings(&subject, &none, &tally, layer).is_empty());
    let found = angles(&subject, &tally, layer);
    assert_eq!((found.all.spots, found.all.half_under_deg, found.bands.len()), (0, None, 0));
    // whose call is not there, stands nowhere
    let absent = Subject::new(&table, &[], End::Sends, None);
    let all = table.all_rows();
    let tally = Tally::of(&absent, &all);
    assert_eq!(sunlight(&absent, &all, layer).without_place, table.len());
    assert_eq!(angles(&absent, &tally, layer).without_place, tally.far.len());
    let found = openings(&absent, &all, &tally, layer);
    assert!(found.iter().flat_map(|band| band.nearest).all(|nearest| nearest.beyond_ring_km.is_none()));
}

/// Around the earth and back: a great circle is 40 030 km on the mean sphere (IUGG), and 40 008 to 40 075 km on WGS-84.
#[test]
fn the_long_way_is_what_is_left_of_the_circle() {
    for far in PLACES.into_iter().flatten() {
        let path = Geodesic::wgs84().path(place(HOME), place(far));
        let Some(long) = long_way_round(&path) else {
            assert!(path.bearing_deg.is_none());
            continue;
        };
        assert!((long.distance_km + path.distance_km - 40_030.0).abs() < 1.0);
        assert!(((long.bearing_deg - path.bearing_deg.unwrap()).abs() - 180.0).abs() < 1e-9);
        // gone that way, one arrives
        let there = Geodesic::wgs84().destination(place(HOME), long.bearing_deg, long.distance_km);
        let missed = Geodesic::wgs84().path(there, place(far)).distance_km;
        assert!(missed < 80.0, "{missed} km");
    }
}

// ---- comparing ----

/// The two antennas of some rows of a table.
fn compared(table: &SpotTable, keeps: &dyn Fn(usize) -> bool, first_dbm: f64) -> Option<Comparison> {
    let subject = of_station(table);
    let of =
        |first: bool| subject.rows().filtered(|row| keeps(row) && (table.power_dbm(row) == Some(first_dbm)) == first);
    let run = Run::default();
    let (a, b) = (of(true), of(false));
    let side = |rows| compare::Side { run: &run, rows };
    compare::compare(&subject, side(&a), side(&b), None, Settings::default())
}

/// What does not hang on how long the test lasted in all.
fn figures(part: &Part) -> impl PartialEq + std::fmt::Debug + use<> {
    let counts = (part.pairs, part.pairs_used, part.listeners, part.blocks, part.only_a, part.only_b);
    let levels = (part.margin_db, part.difference_db, part.median_db, part.low_db, part.high_db, part.all_pairs_db);
    (counts, levels, part.verdict, part.probability, part.plain_difference_db)
}

#[test]
fn parts_by_hops_and_angle_are_what_comparing_those_listeners_alone_gives() {
    // sends heard nearly always, so that a part alone has the same spacing between them
    let rows = heard_mostly(6, 9);
    let table = table(&rows);
    let whole = compared(&table, &|_| true, 23.0).unwrap();
    let angle_of = |row: usize| km(rows[row].listener).and_then(|km| PathAngle::of(km, Layer::default()));
    assert_eq!(whole.hops.iter().map(|(class, _)| *class).collect::<Vec<_>>(), HopClass::ALL);
    for (class, part) in &whole.hops {
        let alone = compared(&table, &|row| angle_of(row).is_some_and(|angle| angle.class == *class), 23.0).unwrap();
        assert!(part.pairs > 50, "{class:?}");
        assert_eq!(figures(part), figures(&alone.all), "{class:?}");
    }
    assert_eq!(whole.angles.len(), 9);
    for ((from, to), part) in &whole.angles {
        let within = |angle: PathAngle| *from <= angle.elevation_deg && (angle.elevation_deg < *to || *to == 90.0);
        match compared(&table, &|row| angle_of(row).is_some_and(within), 23.0) {
            Some(alone) => assert_eq!(figures(part), figures(&alone.all), "{from} to {to}"),
            None => assert_eq!(part.pairs, 0),
        }
    }
    // all but the listener without a place
    let sum = |parts: &mut dyn Iterator<Item = usize>| parts.sum::<usize>();
    let placed = compared(&table, &|row| PLACES[rows[row].listener].is_some(), 23.0).unwrap().all.pairs;
    assert_eq!(sum(&mut whole.hops.iter().map(|(_, part)| part.pairs)), placed);
    assert_eq!(sum(&mut whole.angles.iter().map(|(_, part)| part.pairs)), placed);
}

#[test]
fn parts_by_the_sun_hold_pairs_with_one_state_over_the_middle() {
    let rows = invented(7);
    let table = table(&rows);
    let whole = compared(&table, &|_| true, 23.0).unwrap();
    let placed = compared(&table, &|row| PLACES[rows[row].listener].is_some(), 23.0).unwrap().all.pairs;
    let in_parts: usize = whole.suns.iter().map(|(_, part)| part.pairs).sum();
    // few pairs lie across a limit: each listener passes four a day
    assert!(in_parts <= placed && placed - in_parts < placed / 20, "{in_parts} of {placed}");
    assert_eq!(whole.suns.iter().map(|(state, _)| *state).collect::<Vec<_>>(), SunState::ALL);
    for (wanted, part) in &whole.suns {
        let heard = |dbm: f64| -> BTreeSet<usize> {
            let own = rows.iter().filter(|row| row.power_dbm == dbm && state(row) == Some(*wanted));
            own.map(|row| row.listener).collect()
        };
        let (a, b) = (heard(23.0), heard(20.0));
        assert_eq!((part.only_a, part.only_b), (a.difference(&b).count(), b.difference(&a).count()), "{wanted:?}");
        let level = |dbm: f64| {
            let own = rows.iter().filter(|row| row.power_dbm == dbm && state(row) == Some(*wanted));
            let levels: Vec<f64> = own.map(|row| row.snr_db - row.power_dbm + 30.0).collect();
            levels.iter().sum::<f64>() / levels.len() as f64
        };
        assert!((part.plain_difference_db.unwrap() - (level(20.0) - level(23.0))).abs() < 1e-9);
        assert!(part.pairs > 50);
    }
}

#[test]
fn exchanging_the_antennas_flips_every_sign() {
    let rows = invented(8);
    let table = table(&rows);
    let (there, back) = (compared(&table, &|_| true, 23.0).unwrap(), compared(&table, &|_| true, 20.0).unwrap());
    let of = |found: &Comparison| -> Vec<Part> {
        let suns = found.suns.iter().map(|(_, part)| part.clone());
        let hops = found.hops.iter().map(|(_, part)| part.clone());
        suns.chain(hops).chain(found.angles.iter().map(|(_, part)| part.clone())).collect()
    };
    let (there, back) = (of(&there), of(&back));
    assert_eq!(there.len(), 3 + 4 + 9);
    for (one, other) in there.iter().zip(&back) {
        let flip = |db: Option<f64>| db.map(|db| 0.0 - db);
        assert_eq!(one.difference_db, flip(other.difference_db));
        assert_eq!((one.low_db, one.high_db), (flip(other.high_db), flip(other.low_db)));
        assert_eq!(
            (one.pairs, one.pairs_used, one.holds_together),
            (other.pairs, other.pairs_used, other.holds_together)
        );
        assert_eq!((one.only_a, one.only_b), (other.only_b, other.only_a));
    }
}
