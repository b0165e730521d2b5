//! Maps that leave, against RFC 7946 (August 2016) and OGC 07-147r2, read by the geojson and roxmltree crates as independent
//! readers. Paths are held against geodesics by geographiclib-rs itself.

#![expect(clippy::unwrap_used, clippy::panic, reason = "in a test a panic is the answer")]

use std::collections::BTreeSet;

use farheard::geography::{Locator, Position};
use farheard::import::{self, Wishes};
use farheard::model::{SpotTable, TableBuilder};
use farheard::share::{Privacy, Source, map};
use farheard::study::{Subject, tested};
use geographiclib_rs::{DirectGeodesic, Geodesic, InverseGeodesic};
use geojson::{FeatureCollection, GeoJson, GeometryValue};
use proptest::prelude::*;

fn table(home: &str, far: &[&str]) -> SpotTable {
    let mut text =
        String::from("time UTC,sender,sender locator,listener,listener locator,frequency MHz,SNR dB,power dBm\n");
    for (at, far) in far.iter().enumerate() {
        let row = format!("2031-04-27 12:00,Q7TST,{home},Q{}FAR,{far},14.0971,-21,23\n", at + 1);
        text += &row;
    }
    let mut builder = TableBuilder::new();
    import::read("t.csv", text.as_bytes(), &Wishes::default(), &mut builder);
    builder.freeze()
}

fn leaving(table: &SpotTable, writer: fn(&farheard::share::Leaving<'_>, bool) -> Vec<u8>, paths: bool) -> String {
    let guess = tested::guess(table, None).unwrap().tested;
    let subject = Subject::new(table, &[guess.call], guess.side, None);
    let rows = subject.rows().iter().map(|row| u32::try_from(row).unwrap()).collect();
    String::from_utf8(writer(&Privacy::default().apply(&subject, rows, Source::Files, Vec::new()), paths)).unwrap()
}

fn features(text: &str) -> FeatureCollection {
    // RFC 7946, sections 3.2, 3.3 and 6.1: the members that are defined, and no foreign ones
    let raw: serde_json::Value = serde_json::from_str(text).unwrap();
    let names = |value: &serde_json::Value| value.as_object().unwrap().keys().cloned().collect::<BTreeSet<_>>();
    let of = |names: &[&str]| names.iter().map(|&name| name.to_owned()).collect::<BTreeSet<_>>();
    assert_eq!(names(&raw), of(&["features", "type"]));
    for feature in raw["features"].as_array().unwrap() {
        assert_eq!(names(feature), of(&["geometry", "properties", "type"]));
        assert_eq!(names(&feature["geometry"]), of(&["coordinates", "type"]));
    }
    FeatureCollection::try_from(text.parse::<GeoJson>().unwrap()).unwrap()
}

type Line = Vec<(f64, f64)>;

/// Lines of a path as (longitude, latitude).
fn lines(value: &GeometryValue) -> Vec<Line> {
    let line = |positions: &Vec<geojson::Position>| positions.iter().map(|at| (at[0], at[1])).collect();
    match value {
        GeometryValue::LineString { coordinates } => vec![line(coordinates)],
        GeometryValue::MultiLineString { coordinates } => coordinates.iter().map(line).collect(),
        other => panic!("{other:?}"),
    }
}

/// A path runs along the geodesic from its first position to its last, and never across 180 degrees.
fn is_the_path(lines: &[Line], home: Position, far: Position) {
    let earth = Geodesic::wgs84();
    let distance_m = |a: (f64, f64), b: (f64, f64)| -> f64 { earth.inverse(a.1, a.0, b.1, b.0) };
    let (from, to) = ((home.lon_deg, home.lat_deg), (far.lon_deg, far.lat_deg));
    let whole_m = distance_m(from, to);
    let (first, last) = (lines[0][0], *lines.last().unwrap().last().unwrap());
    assert!(distance_m(first, from) < 0.2 && distance_m(last, to) < 0.2, "{first:?} {last:?}");
    for pair in lines.windows(2) {
        let (end, begin) = (*pair[0].last().unwrap(), pair[1][0]);
        let (lon, lat) = ([end.0.abs(), -end.0].map(f64::to_bits), end.1.to_bits());
        assert_eq!(lon, [180.0, begin.0].map(f64::to_bits), "cut at {end:?} {begin:?}");
        assert_eq!(lat, begin.1.to_bits(), "cut at {end:?} {begin:?}");
    }
    let mut length_m = 0.0;
    for line in lines {
        assert!(line.len() >= 2, "RFC 7946, section 3.1.4: two positions or more");
        for &(lon, lat) in line {
            assert!(lon.abs() <= 180.0 && lat.abs() <= 90.0, "{lon} {lat}");
            let off_m = distance_m(from, (lon, lat)) + distance_m((lon, lat), to) - whole_m;
            assert!(off_m < 1.0, "{lon} {lat} is {off_m} m off the path");
        }
        for pair in line.windows(2) {
            let (a, b) = (pair[0], pair[1]);
            assert!((a.0 - b.0).abs() <= 180.0, "across 180 degrees: {a:?} {b:?}");
            let step_m = distance_m(a, b);
            assert!(step_m < 100_300.0, "{step_m}");
            length_m += step_m;
            // a straight line of degrees between the two (RFC 7946, section 3.1.1) stays by the geodesic
            let (_, azimuth, _, _) = earth.inverse(a.1, a.0, b.1, b.0);
            let (lat, lon): (f64, f64) = earth.direct(a.1, a.0, azimuth, step_m / 2.0);
            let straight = (f64::midpoint(a.0, b.0), f64::midpoint(a.1, b.1));
            assert!(distance_m(straight, (lon, lat)) < 3_000.0, "{a:?} {b:?} bulges");
        }
    }
    assert!((length_m - whole_m).abs() < 1.0 + whole_m * 1e-6, "{length_m} of {whole_m} m");
}

fn centre(locator: &str) -> Position {
    Locator::parse(locator).unwrap().centre()
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn paths_are_geodesics_cut_at_180_degrees(
        from in (-89.9..89.9_f64, -180.0..180.0_f64), to in (-89.9..89.9_f64, -180.0..180.0_f64), near in any::<bool>()
    ) {
        let at = |(lat_deg, lon_deg)| Locator::of_position(Position { lat_deg, lon_deg }, 6).to_string();
        // as often as not by 180 degrees, where it matters
        let bent = |(lat, lon): (f64, f64), side: f64| if near { (lat, side * (180.0 - lon.abs() / 20.0)) } else { (lat, lon) };
        let (home, far) = (at(bent(from, 1.0)), at(bent(to, -1.0)));
        let table = table(&home, &[&far]);
        let found = features(&leaving(&table, map::geojson, true));
        let paths: Vec<_> = found.features.iter().filter(|f| f.property("kind").unwrap() == "path").collect();
        prop_assert_eq!(paths.len(), usize::from(home != far));
        for path in paths {
            is_the_path(&lines(&path.geometry.as_ref().unwrap().value), centre(&home), centre(&far));
        }
    }
}

#[test]
fn paths_over_a_pole_along_180_degrees_and_between_near_places() {
    // on one meridian and its other side; from pole to pole nearly; over the pole with some degrees to spare; a neighbour
    for (home, far) in [
        ("JP50", "BP50"),
        ("JP50", "CP50"),
        ("JR00", "AR09"),
        ("RP90", "AP00"),
        ("RA99", "RR90"),
        ("JO22ob", "JO22oc"),
        ("RI99", "AI09"),
        ("AI09", "RI99"),
        ("AJ00", "AJ01"),
        ("JA50", "BA50"),
    ] {
        let found = features(&leaving(&table(home, &[far]), map::geojson, true));
        let path = found.features.iter().find(|f| f.property("kind").unwrap() == "path").unwrap();
        is_the_path(&lines(&path.geometry.as_ref().unwrap().value), centre(home), centre(far));
    }
    // exactly opposite: every path is as short, none is drawn; the points stay
    let found = features(&leaving(&table("JJ00", &["AI09"]), map::geojson, true));
    assert_eq!(found.features.len(), 2);
}

#[test]
fn marks_say_what_is_known_of_each_station() {
    let table = table("JN99fl", &["JO10ej", "", "FN31"]);
    let text = leaving(&table, map::geojson, false);
    let found = features(&text);
    assert_eq!(found.features.len(), 3, "the one without a locator has no mark: {text}");
    let of = |call: &str| {
        let feature = found.features.iter().find(|f| f.property("call").unwrap() == call).unwrap();
        let GeometryValue::Point { coordinates } = &feature.geometry.as_ref().unwrap().value else { panic!("{text}") };
        (feature, (coordinates[0], coordinates[1]))
    };
    let (home, at) = of("Q7TST");
    let place = centre("JN99fl");
    assert_eq!(home.property("kind").unwrap(), "tested station");
    assert!((at.0 - place.lon_deg).abs() < 1e-6 && (at.1 - place.lat_deg).abs() < 1e-6, "{at:?} {place:?}");
    let (far, at) = of("Q1FAR");
    let there = centre("JO10ej");
    assert!((at.0 - there.lon_deg).abs() < 1e-6 && (at.1 - there.lat_deg).abs() < 1e-6);
    let number = |name: &str| far.property(name).unwrap().as_f64().unwrap();
    let (distance_m, azimuth, _, _): (f64, f64, f64, f64) =
        Geodesic::wgs84().inverse(place.lat_deg, place.lon_deg, there.lat_deg, there.lon_deg);
    assert!((number("distance_km") - distance_m / 1000.0).abs() <= 0.05);
    assert!((number("bearing_deg") - azimuth.rem_euclid(360.0)).abs() <= 0.05);
    // 23 dBm is 0.1995 W: -21 dB at it is -14 dB at 1 W (30 dBm)
    assert_eq!((number("best_snr_db"), number("median_snr_at_1_w_db")), (-21.0, -14.0));
    assert_eq!((number("spots"), far.property("bands").unwrap().as_str().unwrap()), (1.0, "20m"));
    let uncertainty = Locator::parse("JO10ej").unwrap().uncertainty_km();
    assert!((number("locator_error_km") - uncertainty).abs() <= 0.05);
    assert_eq!(far.property("first_utc").unwrap(), "2031-04-27T12:00:00Z");
}

/// The same positions in both, KML's as longitude and latitude parted by a comma (OGC 07-147r2, section 16.10).
#[test]
fn kml_holds_the_same_marks() {
    let table = table("JN99fl", &["JO10ej", "RE78", "AL55"]);
    for paths in [false, true] {
        let text = leaving(&table, map::kml, paths);
        let document = roxmltree::Document::parse(&text).unwrap();
        let root = document.root_element();
        assert_eq!(
            (root.tag_name().name(), root.tag_name().namespace()),
            ("kml", Some("http://www.opengis.net/kml/2.2"))
        );
        let marks: Vec<_> = document.descendants().filter(|node| node.has_tag_name("Placemark")).collect();
        let found = features(&leaving(&table, map::geojson, paths));
        assert_eq!(marks.len(), found.features.len());
        for (mark, feature) in marks.iter().zip(&found.features) {
            let name = mark.children().find(|node| node.has_tag_name("name")).unwrap().text().unwrap();
            assert_eq!(feature.property("call").unwrap(), name);
            let rows: Vec<Line> = mark
                .descendants()
                .filter(|node| node.has_tag_name("coordinates"))
                .map(|node| {
                    let tuples = node.text().unwrap().split_whitespace().map(|tuple| tuple.split_once(',').unwrap());
                    tuples.map(|(lon, lat)| (lon.parse().unwrap(), lat.parse().unwrap())).collect()
                })
                .collect();
            match &feature.geometry.as_ref().unwrap().value {
                GeometryValue::Point { coordinates } => assert_eq!(rows, [[(coordinates[0], coordinates[1])]]),
                path => assert_eq!(rows, lines(path)),
            }
        }
    }
}
