//! The earth as home sees it, for drawing: bearings and distances as on the ellipsoid, at the price of a sphere.
//!
//! Stations are placed by exact geodesics; a coast line on a plain sphere would lie up to half a percent beside
//! them, and thousands of km towards the point opposite home. A geodesic has an image on a sphere of reduced
//! latitudes that is a great circle with the same azimuths; only longitudes and lengths differ, and here these
//! differences are taken to first order in the flattening: F. W. Bessel, 'Über die Berechnung der geographischen
//! Längen und Breiten aus geodätischen Vermessungen' (1825), as given by C. F. F. Karney, 'Algorithms for
//! geodesics', Journal of Geodesy 87 (2013), equations (7) and (8).

use super::sphere::{Direction, HomeFrame, Seen, dot};
use super::{OPPOSITE_KM, Position};

/// Flattening of WGS-84 (NIMA TR8350.2, third edition, 2000).
const FLATTENING: f64 = 1.0 / 298.257_223_563;
/// Equatorial radius of WGS-84 in km (same source).
const EQUATORIAL_KM: f64 = 6378.137;
/// Radius of the sphere home sees: half around it lies the point opposite.
pub(crate) const SEEN_RADIUS_KM: f64 = OPPOSITE_KM / std::f64::consts::PI;
/// Nearer than this to the point opposite (255 km; in radians) the corrections fade: on the ellipsoid paths cross
/// there and the map is no longer one to one, on a drawing it has to be. Wide against the largest correction,
/// pi times the flattening, so that fading never folds the drawing.
const FADING: f64 = 0.04;

impl Position {
    /// The place as a direction on the sphere of reduced latitudes: tan(reduced) = (1 - f) tan(geodetic).
    pub fn reduced_direction(self) -> Direction {
        let (sin_lat, cos_lat) = self.lat_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = self.lon_deg.to_radians().sin_cos();
        let (up, out) = ((1.0 - FLATTENING) * sin_lat, cos_lat);
        let length = (up * up + out * out).sqrt();
        [out * cos_lon / length, out * sin_lon / length, up / length]
    }

    /// The place of a direction on the sphere of reduced latitudes.
    pub fn of_reduced_direction(direction: Direction) -> Self {
        let [x, y, z] = direction;
        Self::of_direction([x, y, z / (1.0 - FLATTENING)])
    }
}

/// Home, and how it sees the rest of the earth.
#[derive(Clone, Copy, Debug)]
pub struct HomeView {
    frame: HomeFrame,
    home: Direction,
}

impl HomeView {
    /// The view from a home; at a pole north follows the meridian of the longitude given.
    pub fn new(home: Position) -> Self {
        let direction = home.reduced_direction();
        let reduced = Position { lat_deg: Position::of_direction(direction).lat_deg, ..home };
        Self { frame: HomeFrame::new(reduced), home: direction }
    }

    /// A place, given by its [`Position::reduced_direction`], in the bearing of its geodesic and at the angle of
    /// its distance, where 180 degrees are [`OPPOSITE_KM`].
    ///
    /// On the map within 3 km of the truth up to 19 700 km (checked in the tests). The last 255 km before the
    /// opposite point, where the ellipsoid's paths cross, pass smoothly over into the plain sphere of reduced latitudes.
    pub fn seen(&self, place: Direction) -> Seen {
        let Some(mut circle) = GreatCircle::between(self.home, place) else { return self.frame.turned(place) };
        // the longitude on the sphere depends on itself, the more the farther
        let rounds = match circle.cos_angle {
            up if up > -0.5 => 1,
            up if up > -0.95 => 2,
            _ => 5,
        };
        let mut turned = place;
        for _ in 0..rounds {
            turned = about_the_axis(place, circle.longitude_gain());
            circle.end_at(self.home, turned);
        }
        let seen = self.frame.turned(turned);
        let (sin, cos) = small_sin_cos(circle.length(self.home[2], turned[2]) - circle.angle);
        let (out, up) =
            (circle.sin_angle * cos + circle.cos_angle * sin, circle.cos_angle * cos - circle.sin_angle * sin);
        [seen[0] * out / circle.sin_angle, seen[1] * out / circle.sin_angle, up]
    }

    /// The reduced direction that home sees at an angle and on a bearing (both in radians): undoes [`HomeView::seen`].
    pub fn place(&self, angle: f64, bearing: f64) -> Direction {
        let sin_equator = (1.0 - self.home[2] * self.home[2]).sqrt() * bearing.sin();
        let mut circle = GreatCircle::of_angle(angle, sin_equator);
        let mut turned = self.frame.direction(circle.angle, bearing);
        for _ in 0..10 {
            let longer = circle.length(self.home[2], turned[2]) - angle;
            circle = GreatCircle::of_angle(circle.angle - longer, sin_equator);
            turned = self.frame.direction(circle.angle, bearing);
        }
        about_the_axis(turned, -circle.longitude_gain())
    }
}

/// A great circle from home on the sphere of reduced latitudes.
struct GreatCircle {
    /// Angle from home to its end in radians.
    angle: f64,
    sin_angle: f64,
    cos_angle: f64,
    /// Sine of the azimuth where it crosses the equator.
    sin_equator: f64,
}

impl GreatCircle {
    /// `None` for the same and for opposite directions.
    fn between(home: Direction, place: Direction) -> Option<Self> {
        let (sin_angle, cos_angle, sin_equator) = Self::measured(home, place);
        let angle = sin_angle.atan2(cos_angle);
        (sin_angle > 1e-12).then_some(Self { angle, sin_angle, cos_angle, sin_equator })
    }

    /// Moves the end to a place a little aside (up to 0.02 radians), which spares the arc tangent.
    fn end_at(&mut self, home: Direction, place: Direction) {
        let (sin_angle, cos_angle, sin_equator) = Self::measured(home, place);
        if sin_angle > 1e-12 {
            let sin_more = sin_angle * self.cos_angle - cos_angle * self.sin_angle;
            let angle = self.angle + sin_more * (1.0 + sin_more * sin_more / 6.0);
            *self = Self { angle, sin_angle, cos_angle, sin_equator };
        }
    }

    /// Sine and cosine of the angle, and the sine of the azimuth at the equator (0 if there is no angle).
    fn measured(home: Direction, place: Direction) -> (f64, f64, f64) {
        let [x, y, z] = home;
        let normal = [y * place[2] - z * place[1], z * place[0] - x * place[2], x * place[1] - y * place[0]];
        let sin_angle = dot(normal, normal).sqrt();
        (sin_angle, dot(home, place), if sin_angle > 0.0 { normal[2] / sin_angle } else { 0.0 })
    }

    fn of_angle(angle: f64, sin_equator: f64) -> Self {
        let (sin_angle, cos_angle) = angle.sin_cos();
        Self { angle, sin_angle, cos_angle, sin_equator }
    }

    /// By how much the longitude on the sphere is the larger, in radians: (8) with I3 = angle.
    fn longitude_gain(&self) -> f64 {
        FLATTENING * self.angle * self.sin_equator * self.share()
    }

    /// Length of the geodesic in angles of the sphere home sees, from the heights of both ends over the equator.
    ///
    /// (7): over the polar radius it is the integral of sqrt(1 + k^2 sin^2), k^2 = e'^2 cos^2(azimuth at the equator);
    /// the sines of the arc's ends are the heights over that cosine.
    fn length(&self, home_z: f64, place_z: f64) -> f64 {
        let cos_squared = 1.0 - self.sin_equator * self.sin_equator;
        let second_eccentricity_squared = FLATTENING * (2.0 - FLATTENING) / (1.0 - FLATTENING).powi(2);
        let swing = self.sin_angle * (cos_squared * self.cos_angle - 2.0 * home_z * place_z);
        let stretched = self.angle + second_eccentricity_squared / 4.0 * (cos_squared * self.angle - swing);
        let polar_km = EQUATORIAL_KM * (1.0 - FLATTENING);
        self.angle + (polar_km / SEEN_RADIUS_KM * stretched - self.angle) * self.share()
    }

    /// How much of the corrections applies, 1 down to 0 opposite home.
    fn share(&self) -> f64 {
        ((std::f64::consts::PI - self.angle) / FADING).clamp(0.0, 1.0)
    }
}

/// A direction turned eastward about the earth's axis.
fn about_the_axis(direction: Direction, angle: f64) -> Direction {
    let (sin, cos) = small_sin_cos(angle);
    let [x, y, z] = direction;
    [x * cos - y * sin, x * sin + y * cos, z]
}

/// Sine and cosine of the small angles of the corrections (up to 0.011), by their series, to 1e-12.
fn small_sin_cos(angle: f64) -> (f64, f64) {
    let square = angle * angle;
    (angle * (1.0 - square / 6.0), 1.0 - square / 2.0 * (1.0 - square / 12.0))
}
