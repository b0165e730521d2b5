//! Sun and hops against tables made with other programs; sources and tolerances in
//! `tests/published/SOURCES.md`.

#![allow(clippy::unwrap_used, reason = "a test may stop at the first surprise")]

use farheard::geography::Position;
use farheard::sky::hop::hop_span_km;
use farheard::sky::{Hop, HopPath, SunPlace, SunState};
use farheard::time::UtcTime;

/// Rows of a table as maps from column to text.
fn rows(text: &str) -> Vec<Row> {
    let mut reader = csv::Reader::from_reader(text.as_bytes());
    let header = reader.headers().unwrap().clone();
    reader.records().map(|record| Row { header: header.clone(), record: record.unwrap() }).collect()
}

struct Row {
    header: csv::StringRecord,
    record: csv::StringRecord,
}

impl Row {
    fn text(&self, column: &str) -> &str {
        let at = self.header.iter().position(|name| name == column).unwrap();
        &self.record[at]
    }

    fn number(&self, column: &str) -> f64 {
        self.text(column).parse().unwrap()
    }

    fn numbers(&self, column: &str) -> Vec<f64> {
        self.text(column).split_whitespace().map(|text| text.parse().unwrap()).collect()
    }
}

#[track_caller]
fn near(row: &Row, what: &str, ours: f64, right: f64, tolerance: f64) {
    let off = (ours - right).abs();
    assert!(off <= tolerance, "{} {what}: {ours} instead of {right}, off by {off:e}", row.text("id"));
}

/// NREL SPA (Reda & Andreas, NREL/TP-560-34302) by pvlib. The formula used here promises 0.01 degrees;
/// half of the 0.02 allowed for a short almanac formula.
#[test]
fn sun_elevation_is_that_of_the_full_theory_within_a_hundredth_of_a_degree() {
    let table = rows(include_str!("../../tests/published/sun.csv"));
    assert_eq!(table.len(), 64);
    for row in &table {
        let sun = SunPlace::at(UtcTime::parse_iso(row.text("utc")).unwrap());
        let place = Position { lat_deg: row.number("lat_deg"), lon_deg: row.number("lon_deg") };
        let right = row.number("elevation_airless_deg");
        near(row, "elevation", sun.elevation_deg(place), right, 0.01);
        if (right + 0.8333).abs() > 0.02 && (right + 12.0).abs() > 0.02 {
            assert_eq!(sun.state(place), SunState::of_elevation(right), "{}", row.text("id"));
        }
    }
}

/// NREL SPA by pvlib: declination, and right ascension less sidereal time.
#[test]
fn subsolar_point_is_that_of_the_full_theory_within_a_hundredth_of_a_degree() {
    let table = rows(include_str!("../../tests/published/subsolar.csv"));
    assert_eq!(table.len(), 22);
    for row in &table {
        let over = SunPlace::at(UtcTime::parse_iso(row.text("utc")).unwrap()).subsolar();
        near(row, "latitude", over.lat_deg, row.number("subsolar_lat_deg"), 0.01);
        let around = (over.lon_deg - row.number("subsolar_lon_deg") + 180.0).rem_euclid(360.0) - 180.0;
        near(row, "longitude", around, 0.0, 0.01);
    }
}

/// The triangle of Rec. ITU-R P.533, worked out twice (closed form, and bisection with 40 digits).
#[test]
fn hops_have_the_angles_and_lengths_of_the_triangle() {
    let table = rows(include_str!("../../tests/published/hops.csv"));
    assert_eq!(table.len(), 99);
    for row in &table {
        let hop = Hop::over(row.number("ground_range_km"), row.number("height_km")).unwrap();
        near(row, "elevation", hop.elevation_deg, row.number("elevation_deg"), 1e-5);
        near(row, "slant", hop.slant_km, row.number("slant_path_km"), 1e-5);
        near(row, "incidence", hop.incidence_deg, row.number("incidence_at_layer_deg"), 1e-5);
        near(row, "delay", hop.delay_ms(), row.number("delay_ms"), 1e-6);
        assert_eq!(hop.clears_ground(), row.text("visible") == "1", "{}", row.text("id"));
    }
}

#[test]
fn longest_hops_are_those_of_the_triangle() {
    let table = rows(include_str!("../../tests/published/hops_max.csv"));
    assert_eq!(table.len(), 25);
    for row in &table {
        let span_km = hop_span_km(row.number("elevation_deg"), row.number("height_km")).unwrap();
        near(row, "span", span_km, row.number("max_ground_range_km"), 1e-5);
        let hop = Hop::over(span_km, row.number("height_km")).unwrap();
        near(row, "slant", hop.slant_km, row.number("slant_path_km"), 1e-5);
    }
}

#[test]
fn paths_take_the_least_equal_hops() {
    let table = rows(include_str!("../../tests/published/hops_multi.csv"));
    assert_eq!(table.len(), 48);
    for row in &table {
        let lowest = row.number("min_elevation_deg");
        let path = HopPath::of_least_hops(row.number("path_km"), row.number("height_km"), lowest).unwrap();
        assert_eq!(path.hops.to_string(), row.text("min_hops"), "{}", row.text("id"));
        near(row, "hop", path.hop_km, row.number("hop_km"), 1e-5);
        near(row, "elevation", path.hop.elevation_deg, row.number("elevation_deg"), 1e-5);
        near(row, "slant", path.total_slant_km(), row.number("total_slant_km"), 1e-4);
        for (column, ours) in [
            ("reflection_fractions", path.reflections().collect::<Vec<_>>()),
            ("ground_fractions", path.bounces().collect()),
        ] {
            let right = row.numbers(column);
            assert_eq!(ours.len(), right.len(), "{}", row.text("id"));
            for (ours, right) in ours.iter().zip(right) {
                near(row, column, *ours, right, 1e-6);
            }
        }
    }
}
