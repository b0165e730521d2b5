//! Where the sun stands.
//!
//! Method: J. Meeus, 'Astronomical Algorithms', 2nd edition (1998), chapter 25 'Solar coordinates',
//! the lower accuracy (0.01 degree), with sidereal time from chapter 12 and the elevation from chapter 13.
//! Coefficients from memory; `tests/published_sky.rs` checks the results against independent tables
//! from 1990 to 2040. Elevations are airless: refraction is left out, since what matters along a radio
//! path is where the light falls high up, not where an eye on the ground sees the disc.

use super::terminator;
use crate::geography::Position;
use crate::geography::sphere::Direction;
use crate::time::UtcTime;

/// Seconds from 1970-01-01T00:00:00Z to 2000-01-01T12:00:00Z, the epoch J2000.0.
const J2000_UNIX_S: i64 = 946_728_000;
/// How far uniform time runs ahead of the earth's rotation, in seconds. It was 57 in 1990 and is
/// expected near 85 in 2040; taking 70 throughout moves the sun by less than 0.0002 degrees.
const DELTA_T_S: f64 = 70.0;
/// The sun's horizontal parallax in degrees (8.794 arc seconds; Meeus chapter 40).
const PARALLAX_DEG: f64 = 8.794 / 3600.0;
/// Sines of elevations beyond these need no closer look: 1 degree is day, -13 degrees is night.
const SURELY_DAY: f64 = 0.0175;
const SURELY_NIGHT: f64 = -0.225;

/// Elevation of the sun's centre at sunrise and sunset, in degrees: 34' of refraction and 16' of half
/// the disc below the horizon (Meeus chapter 15, 'standard altitude').
pub const SUNSET_DEG: f64 = -0.8333;
/// Elevation at which twilight ends here, in degrees: the end of nautical twilight.
///
/// The lower ionosphere stays lit after sunset on the ground: at 80 km height the sun goes down when it
/// stands `acos(6371 / 6451)` = 9.0 degrees below the horizon, so that by 12 degrees it is gone there too.
pub const TWILIGHT_END_DEG: f64 = -12.0;

/// Day, twilight or night at a place, by the elevation of the sun.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum SunState {
    /// The sun is up: at or above [`SUNSET_DEG`].
    Day,
    /// The grey line: below [`SUNSET_DEG`], down to and with [`TWILIGHT_END_DEG`].
    Twilight,
    /// Below [`TWILIGHT_END_DEG`].
    Night,
}

impl SunState {
    /// All, from day to night.
    pub const ALL: [Self; 3] = [Self::Day, Self::Twilight, Self::Night];

    /// Place in tables with one entry per state, in the order of [`Self::ALL`].
    pub fn index(self) -> usize {
        self as usize
    }

    /// The state at a sun elevation in degrees. An elevation that is no number counts as night.
    pub fn of_elevation(elevation_deg: f64) -> Self {
        if elevation_deg >= SUNSET_DEG {
            Self::Day
        } else if elevation_deg >= TWILIGHT_END_DEG {
            Self::Twilight
        } else {
            Self::Night
        }
    }
}

/// Place of the sun at one instant. Work it out once per slot, then ask it for as many places as needed.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SunPlace {
    declination_deg: f64,
    /// Longitude over which it stands.
    longitude_deg: f64,
    /// Where it stands overhead.
    overhead: Direction,
}

impl SunPlace {
    /// The sun at an instant: within 0.01 degrees of the full theory from 1990 to 2040, and
    /// slowly worse outside.
    pub fn at(time: UtcTime) -> Self {
        // whole seconds stay exact in f64
        let days_ut = (time.unix_s() - J2000_UNIX_S) as f64 / 86_400.0;
        // T, in centuries of uniform time from J2000.0 (25.1)
        let t = (days_ut + DELTA_T_S / 86_400.0) / 36_525.0;
        // geometric mean longitude (25.2) and mean anomaly (25.3)
        let mean_longitude = 280.46646 + t * (36000.76983 + t * 0.0003032);
        let m = (357.52911 + t * (35999.05029 - t * 0.0001537)).to_radians();
        // equation of the centre
        let centre = (1.914602 - t * (0.004817 + t * 0.000014)) * m.sin()
            + (0.019993 - t * 0.000101) * (2.0 * m).sin()
            + 0.000289 * (3.0 * m).sin();
        // apparent longitude: aberration, and nutation from the moon's node
        let node = (125.04 - 1934.136 * t).to_radians();
        let nutation = -0.00478 * node.sin();
        let longitude = (mean_longitude + centre - 0.00569 + nutation).to_radians();
        // obliquity (22.2) with its correction (25.8)
        let obliquity_deg =
            23.439291111 - t * (0.013004167 + t * (0.000000164 - t * 0.000000504)) + 0.00256 * node.cos();
        let obliquity = obliquity_deg.to_radians();
        // right ascension (25.6) and declination (25.7)
        let right_ascension_deg = (obliquity.cos() * longitude.sin()).atan2(longitude.cos()).to_degrees();
        let sin_declination = obliquity.sin() * longitude.sin();
        // apparent sidereal time at Greenwich (12.4) of the instant, in centuries of the earth's rotation
        let t_ut = days_ut / 36_525.0;
        let sidereal_deg = 280.46061837
            + 360.98564736629 * days_ut
            + t_ut * t_ut * (0.000387933 - t_ut / 38_710_000.0)
            + nutation * obliquity.cos();
        let longitude_deg = wrap_180(right_ascension_deg - sidereal_deg);
        let (sin_longitude, cos_longitude) = longitude_deg.to_radians().sin_cos();
        let cos_declination = (1.0 - sin_declination * sin_declination).sqrt();
        Self {
            declination_deg: sin_declination.asin().to_degrees(),
            longitude_deg,
            overhead: [cos_declination * cos_longitude, cos_declination * sin_longitude, sin_declination],
        }
    }

    /// Declination in degrees, north positive, within 23.45 either way.
    pub fn declination_deg(self) -> f64 {
        self.declination_deg
    }

    /// Hour angle at Greenwich in degrees, -180 up to 180: 0 when the sun is due south there,
    /// and positive in the afternoon.
    pub fn greenwich_hour_angle_deg(self) -> f64 {
        wrap_180(-self.longitude_deg)
    }

    /// Where the sun stands overhead. (Parallax is nil there.)
    pub fn subsolar(self) -> Position {
        Position { lat_deg: self.declination_deg, lon_deg: self.longitude_deg }
    }

    /// Elevation of the sun's centre over the horizon at sea level in degrees, -90 to 90, without refraction.
    pub fn elevation_deg(self, place: Position) -> f64 {
        self.elevation_over_deg(place.direction())
    }

    /// The same over a place whose plumb line points in a direction, from [`Position::direction`]: for many instants
    /// at one place it need be worked out only once.
    ///
    /// Formula: Meeus (13.6) as a scalar product, less the parallax (chapter 40).
    pub fn elevation_over_deg(self, upright: Direction) -> f64 {
        let seen_from_centre = self.sine_over(upright).clamp(-1.0, 1.0).asin();
        seen_from_centre.to_degrees() - PARALLAX_DEG * seen_from_centre.cos()
    }

    /// Day, twilight or night at a place.
    pub fn state(self, place: Position) -> SunState {
        self.state_over(place.direction())
    }

    /// The same as [`Self::elevation_over_deg`] has it, quicker where the sun is far from either limit.
    pub fn state_over(self, upright: Direction) -> SunState {
        let sine = self.sine_over(upright);
        if sine > SURELY_DAY {
            SunState::Day
        } else if sine < SURELY_NIGHT {
            SunState::Night
        } else {
            SunState::of_elevation(self.elevation_over_deg(upright))
        }
    }

    /// Sine of the elevation seen from the middle of the earth.
    fn sine_over(self, upright: Direction) -> f64 {
        let [x, y, z] = upright;
        x * self.overhead[0] + y * self.overhead[1] + z * self.overhead[2]
    }

    /// The line between day and night, see [`terminator::line_at_elevation`]; along it the sun stands at [`SUNSET_DEG`].
    pub fn day_night_line(self, places: u16) -> Vec<Position> {
        terminator::line_at_elevation(self.subsolar(), SUNSET_DEG, places)
    }
}

/// An angle as -180 up to 180 degrees.
fn wrap_180(degrees: f64) -> f64 {
    let wrapped = (degrees + 180.0).rem_euclid(360.0) - 180.0;
    if wrapped >= 180.0 { -180.0 } else { wrapped }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn states_meet_at_their_limits() {
        assert_eq!(SunState::of_elevation(SUNSET_DEG), SunState::Day);
        assert_eq!(SunState::of_elevation(-0.84), SunState::Twilight);
        assert_eq!(SunState::of_elevation(TWILIGHT_END_DEG), SunState::Twilight);
        assert_eq!(SunState::of_elevation(-12.01), SunState::Night);
        assert_eq!(SunState::of_elevation(f64::NAN), SunState::Night);
    }

    #[test]
    fn the_sun_is_overhead_at_its_own_point_and_underfoot_opposite() {
        let sun = SunPlace::at(UtcTime::from_calendar(2033, 4, 9, 8, 30, 0).unwrap());
        let over = sun.subsolar();
        assert!((sun.elevation_deg(over) - 90.0).abs() < 1e-5);
        let opposite = Position { lat_deg: -over.lat_deg, lon_deg: over.lon_deg + 180.0 };
        assert!((sun.elevation_deg(opposite) + 90.0).abs() < 1e-5);
        assert!((sun.greenwich_hour_angle_deg() + over.lon_deg).abs() < 1e-9);
    }

    #[test]
    fn worked_example_of_meeus() {
        // Example 25.a: 1992 October 13 at 0h TD (58.7 s earlier in UT): declination -7.78507 degrees
        // (figure from memory)
        let sun = SunPlace::at(UtcTime::from_calendar(1992, 10, 12, 23, 59, 1).unwrap());
        assert!((sun.declination_deg() + 7.78507).abs() < 2e-4, "{}", sun.declination_deg());
    }
}
