//! The line around the earth along which the sun stands at a given elevation: the day and night line,
//! and the edges of twilight.
//!
//! Places of equal sun elevation lie on a circle around the subsolar point, 90 degrees less the elevation
//! away from it: at elevation 0 a great circle. (In latitudes as maps count them this is exact for the
//! direction of the plumb line; the 0.002 degrees of parallax are left out.)

use crate::geography::Position;

/// Places along the line where the sun stands `elevation_deg` (-90 to 90) over the horizon, in order around
/// the earth, evenly spaced, and not closed: the first place is not repeated at the end.
///
/// The first lies north of the subsolar point (over the pole, if that is nearer than the line), the next
/// ones follow clockwise. Longitudes run from -180 up to 180. Empty for no places or an elevation that is no number.
pub fn line_at_elevation(subsolar: Position, elevation_deg: f64, places: u16) -> Vec<Position> {
    if !elevation_deg.is_finite() {
        return Vec::new();
    }
    let away = (90.0 - elevation_deg.clamp(-90.0, 90.0)).to_radians();
    let (sin_away, cos_away) = away.sin_cos();
    let (sin_lat, cos_lat) = subsolar.lat_deg.to_radians().sin_cos();
    (0..places)
        .map(|step| {
            let bearing = std::f64::consts::TAU * f64::from(step) / f64::from(places);
            // the direct problem on a sphere: the triangle of pole, subsolar point and place
            let sine = (sin_lat * cos_away + cos_lat * sin_away * bearing.cos()).clamp(-1.0, 1.0);
            let east = (bearing.sin() * sin_away * cos_lat).atan2(cos_away - sin_lat * sine);
            let lon_deg = (subsolar.lon_deg + east.to_degrees() + 180.0).rem_euclid(360.0) - 180.0;
            Position { lat_deg: sine.asin().to_degrees(), lon_deg }
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::sky::SunPlace;
    use crate::time::UtcTime;

    #[test]
    fn the_sun_stands_as_asked_all_along_the_line() {
        for (month, elevation_deg) in [(3, 0.0), (6, 0.0), (6, -12.0), (12, -0.8333), (9, 30.0)] {
            let sun = SunPlace::at(UtcTime::from_calendar(2030, month, 21, 17, 4, 0).unwrap());
            let line = line_at_elevation(sun.subsolar(), elevation_deg, 73);
            assert_eq!(line.len(), 73);
            for place in line {
                // 0.0025: parallax
                assert!((sun.elevation_deg(place) - elevation_deg).abs() < 0.0025, "{place:?}");
                assert!((-180.0..180.0).contains(&place.lon_deg) && place.lat_deg.abs() <= 90.0);
            }
        }
    }

    #[test]
    fn at_an_equinox_with_the_sun_on_the_equator_the_line_runs_through_both_poles() {
        let over = Position { lat_deg: 0.0, lon_deg: 10.0 };
        let line = line_at_elevation(over, 0.0, 4);
        assert!((line[0].lat_deg - 90.0).abs() < 1e-9 && (line[2].lat_deg + 90.0).abs() < 1e-9);
        assert!((line[1].lon_deg - 100.0).abs() < 1e-9 && (line[3].lon_deg + 80.0).abs() < 1e-9);
    }

    #[test]
    fn nothing_asked_gives_nothing() {
        let over = Position { lat_deg: 0.0, lon_deg: 0.0 };
        assert!(line_at_elevation(over, 0.0, 0).is_empty());
        assert!(line_at_elevation(over, f64::NAN, 9).is_empty());
    }
}
