//! Locators, geodesics and the azimuthal projection against published and reference values.
//! Where each table comes from and how far it is to be trusted: `tests/published/SOURCES.md`.

#![allow(clippy::panic, clippy::unwrap_used, clippy::float_cmp, reason = "a test stops at the first wrong value")]

mod published;

use farheard::geography::{
    Azimuthal, Geodesic, Locator, MapPoint, OPPOSITE_KM, Position, SphericalAzimuthal, sphere::MEAN_RADIUS_KM,
};
use published::{Row, close, rows};

fn position(row: &Row, lat: &str, lon: &str) -> Position {
    Position { lat_deg: row.number(lat), lon_deg: row.number(lon) }
}

// geodesic.csv: geographiclib 2.1, Karney (2013) and GeodTest

#[test]
fn distances_within_a_millimetre() {
    let geodesic = Geodesic::wgs84();
    for row in rows("geodesic.csv") {
        let path = geodesic.path(position(&row, "lat1_deg", "lon1_deg"), position(&row, "lat2_deg", "lon2_deg"));
        close(path.distance_km * 1000.0, row.number("dist_m"), 0.001, &row);
    }
}

#[test]
fn bearings_within_a_millionth_of_a_degree() {
    let geodesic = Geodesic::wgs84();
    let mut without = 0;
    for row in rows("geodesic.csv") {
        let path = geodesic.path(position(&row, "lat1_deg", "lon1_deg"), position(&row, "lat2_deg", "lon2_deg"));
        if row.number("azimuth_unique") == 0.0 {
            without += 1;
            assert_eq!((path.bearing_deg, path.back_bearing_deg), (None, None), "{row}");
            continue;
        }
        // a bearing over less than 10 m hangs on the last digits of the latitudes
        let tolerance = if row.number("dist_m") < 10.0 { 1e-4 } else { 1e-6 };
        close_angle(path.bearing_deg.unwrap(), row.number("azi1_deg"), tolerance, &row);
        close_angle(path.back_bearing_deg.unwrap(), row.number("back_azi_deg"), tolerance, &row);
        let azimuth_going_on = row.number("azi2_forward_deg");
        close_angle(path.back_bearing_deg.unwrap(), azimuth_going_on + 180.0, tolerance, &row);
    }
    assert!(without >= 8, "identical, opposite and pole to pole rows were met");
}

#[test]
fn the_way_back_is_the_same_way() {
    let geodesic = Geodesic::wgs84();
    for row in rows("geodesic.csv") {
        let (one, two) = (position(&row, "lat1_deg", "lon1_deg"), position(&row, "lat2_deg", "lon2_deg"));
        let (there, back) = (geodesic.path(one, two), geodesic.path(two, one));
        close(back.distance_km * 1000.0, there.distance_km * 1000.0, 1e-6, &row);
        if one.lat_deg == -two.lat_deg && there.distance_km > 19_900.0 {
            continue; // two shortest paths, and the way back may be the other
        }
        if let (Some(there), Some(back)) = (there.back_bearing_deg, back.bearing_deg) {
            let tolerance = if row.number("dist_m") < 10.0 { 1e-4 } else { 1e-6 };
            close_angle(back, there, tolerance, &row);
        }
    }
}

#[test]
fn destinations_within_a_millimetre() {
    let geodesic = Geodesic::wgs84();
    for row in rows("geodesic.csv").filter(|row| row.number("azimuth_unique") == 1.0) {
        let from = position(&row, "lat1_deg", "lon1_deg");
        let reached = geodesic.destination(from, row.number("azi1_deg"), row.number("dist_m") / 1000.0);
        let missed_km = geodesic.path(reached, position(&row, "lat2_deg", "lon2_deg")).distance_km;
        // azimuths are printed to 1e-10 degrees, which is up to 0.01 mm at the far end; distances to 1e-6 m
        close(missed_km * 1e6, 0.0, 1.0, &row);
    }
}

#[test]
fn the_opposite_point_is_half_a_meridian_away() {
    // Karney (2013): quarter meridian 10 001 965.729 313 m (also rows G026, G027)
    assert!((OPPOSITE_KM - 2.0 * 10_001.965_729_313).abs() < 1e-8);
}

#[test]
fn a_sphere_is_as_wrong_as_documented() {
    let geodesic = Geodesic::wgs84();
    for row in rows("geodesic.csv") {
        let (one, two) = (position(&row, "lat1_deg", "lon1_deg"), position(&row, "lat2_deg", "lon2_deg"));
        if row.number("dist_m") < 1.0 || row.number("dist_m") > 16_500e3 {
            continue;
        }
        let (exact, sphere) = (geodesic.path(one, two), SphericalAzimuthal::new(one).forward(two).unwrap());
        close(sphere.distance_km() * 1000.0, row.number("sphere_dist_m"), 1.0, &row);
        close_angle(
            sphere.bearing_deg(),
            row.number("sphere_azi1_deg"),
            if exact.distance_km < 0.01 { 1e-4 } else { 1e-6 },
            &row,
        );
        close(sphere.distance_km(), exact.distance_km, 0.006 * exact.distance_km, &row);
        close_angle(sphere.bearing_deg(), exact.bearing_deg.unwrap(), 0.5, &row);
    }
}

// locator.csv, locator_encode.csv, locator_invalid.csv: exact rational arithmetic

#[test]
fn locators_decode() {
    for row in rows("locator.csv") {
        let locator = Locator::parse(row.text("locator")).unwrap_or_else(|error| panic!("{row}: {error}"));
        let (height_deg, width_deg) = locator.size_deg();
        for (found, column) in [
            (locator.south_west().lat_deg, "sw_lat_deg"),
            (locator.south_west().lon_deg, "sw_lon_deg"),
            (locator.south_west().lat_deg + height_deg, "ne_lat_deg"),
            (locator.south_west().lon_deg + width_deg, "ne_lon_deg"),
            (locator.centre().lat_deg, "centre_lat_deg"),
            (locator.centre().lon_deg, "centre_lon_deg"),
            (height_deg, "height_deg"),
            (width_deg, "width_deg"),
        ] {
            close(found, row.number(column), 1e-9, &row);
        }
        assert_eq!(locator.to_string(), row.text("canonical"), "{row}");
        assert_eq!(locator.len().to_string(), row.text("length"), "{row}");
    }
}

#[test]
fn places_encode() {
    for row in rows("locator_encode.csv") {
        let place = position(&row, "lat_deg", "lon_deg");
        for chars in [2, 4, 6, 8] {
            let expected = row.text(&format!("loc{chars}"));
            assert_eq!(Locator::of_position(place, chars).to_string(), expected, "{row}");
        }
        let (found, expected) = (Locator::of_position(place, 10), Locator::parse(row.text("loc10")).unwrap());
        if row.text("on_edge") == "1" {
            // one finest cell either way: the text may be rounded across the edge
            let (height, width) = expected.size_deg();
            let (a, b) = (found.south_west(), expected.south_west());
            close(a.lat_deg, b.lat_deg, height * 1.001, &row);
            close(a.lon_deg, b.lon_deg, width * 1.001, &row);
        } else {
            assert_eq!(found, expected, "{row}");
        }
    }
}

#[test]
fn what_is_no_locator_is_refused() {
    for row in rows("locator_invalid.csv") {
        let text = row.text("text");
        assert!(Locator::parse(text).is_err(), "{row}: {text:?} was accepted");
    }
    // blanks around are for the reader of the file to take away
    assert!(Locator::parse(" JN58").is_err());
    assert!(Locator::parse("JN58 ").is_err());
}

// cellsize.csv: geographiclib

#[test]
fn farthest_corner_within_a_metre() {
    for row in rows("cellsize.csv") {
        let chars = row.text("locator_chars").parse().unwrap();
        let centre = Position { lat_deg: row.number("centre_lat_deg"), lon_deg: 1e-3 };
        let locator = Locator::of_position(centre, chars);
        close(locator.centre().lat_deg, centre.lat_deg, 1e-8, &row);
        close(locator.uncertainty_km() * 1000.0, row.number("farthest_corner_m"), 1.0, &row);
    }
}

// azimuthal.csv: PROJ by pyproj, geographiclib; Snyder (1987)

/// Bearings this near to the point opposite home turn by degrees for a shift of a km in either place.
const OPPOSITE_DISC_KM: f64 = 100.0;

#[test]
fn the_map_on_the_ellipsoid_within_a_centimetre() {
    let (mut opposite, mut near) = (0, 0);
    for row in rows("azimuthal.csv") {
        let (home, place) = (position(&row, "lat0_deg", "lon0_deg"), position(&row, "lat_deg", "lon_deg"));
        let (x_m, y_m) = (row.number("ell_x_m"), row.number("ell_y_m"));
        let to_opposite_km = OPPOSITE_KM - x_m.hypot(y_m) / 1000.0;
        let Some(point) = Azimuthal::new(home).forward(place) else {
            opposite += 1;
            close(to_opposite_km, 0.0, 1e-6, &row); // only the exact opposite has no point
            continue;
        };
        close(point.distance_km() * 1000.0, x_m.hypot(y_m), 0.01, &row);
        if to_opposite_km < OPPOSITE_DISC_KM {
            near += 1;
            continue;
        }
        close(point.east_km * 1000.0, x_m, 0.01, &row);
        close(point.north_km * 1000.0, y_m, 0.01, &row);
    }
    assert_eq!((opposite, near), (3, 1), "rows opposite and nearly opposite home");
}

#[test]
fn the_map_on_the_sphere_within_a_decimetre() {
    let half_around_km = std::f64::consts::PI * MEAN_RADIUS_KM;
    let (mut opposite, mut near) = (0, 0);
    for row in rows("azimuthal.csv") {
        let (home, place) = (position(&row, "lat0_deg", "lon0_deg"), position(&row, "lat_deg", "lon_deg"));
        let (x_m, y_m) = (row.number("sph_x_m"), row.number("sph_y_m"));
        let to_opposite_km = half_around_km - x_m.hypot(y_m) / 1000.0;
        let Some(point) = SphericalAzimuthal::new(home).forward(place) else {
            opposite += 1;
            close(to_opposite_km, 0.0, 1e-5, &row);
            continue;
        };
        close(point.distance_km() * 1000.0, x_m.hypot(y_m), 0.1, &row);
        if to_opposite_km < OPPOSITE_DISC_KM {
            near += 1;
            continue;
        }
        close(point.east_km * 1000.0, x_m, 0.1, &row);
        close(point.north_km * 1000.0, y_m, 0.1, &row);
    }
    assert_eq!(opposite + near, 4, "rows opposite and nearly opposite home");
}

#[test]
fn snyders_example() {
    // Snyder, USGS PP 1395 (1987), numerical example of the azimuthal equidistant projection of the sphere:
    // R = 3, centre 40 N 100 W, point 20 S 100 E; x = -5.8311398, y = 5.5444634
    // (figures from memory; recomputed, and agreeing)
    let map = SphericalAzimuthal::new(Position { lat_deg: 40.0, lon_deg: -100.0 });
    let point = map.forward(Position { lat_deg: -20.0, lon_deg: 100.0 }).unwrap();
    let scale = 3.0 / MEAN_RADIUS_KM;
    assert!((point.east_km * scale - -5.8311398).abs() < 5e-8, "{point:?}");
    assert!((point.north_km * scale - 5.5444634).abs() < 5e-8, "{point:?}");
}

#[test]
fn map_points_lead_back_to_their_places() {
    for row in rows("azimuthal.csv") {
        let home = position(&row, "lat0_deg", "lon0_deg");
        let place = position(&row, "lat_deg", "lon_deg");
        let point = MapPoint { east_km: row.number("ell_x_m") / 1000.0, north_km: row.number("ell_y_m") / 1000.0 };
        if Azimuthal::new(home).forward(place).is_none() {
            continue; // the opposite point is the whole rim
        }
        let found = Azimuthal::new(home).inverse(point).unwrap();
        // coordinates are printed to the millimetre
        close(Geodesic::wgs84().path(found, place).distance_km * 1e6, 0.0, 2.0, &row);
        let point = MapPoint { east_km: row.number("sph_x_m") / 1000.0, north_km: row.number("sph_y_m") / 1000.0 };
        let found = SphericalAzimuthal::new(home).inverse(point).unwrap();
        close(Geodesic::wgs84().path(found, place).distance_km * 1e6, 0.0, 2.0, &row);
    }
}

/// The two directions agree within a tolerance, all in degrees; 0 is 360.
fn close_angle(found: f64, expected: f64, tolerance: f64, row: &Row) {
    close((found - expected + 180.0).rem_euclid(360.0) - 180.0, 0.0, tolerance, row);
}
