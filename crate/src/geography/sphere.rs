//! Directions on the sphere as unit vectors, and the view from home. For drawing only: see
//! [`SphericalAzimuthal`](super::SphericalAzimuthal) for how far a sphere is from the truth.

use super::Position;

/// Mean radius of the earth, (2a + b) / 3 of WGS-84 to the decimetre, as the International Union of
/// Geodesy and Geophysics defines it (H. Moritz, 'Geodetic Reference System 1980', Journal of Geodesy 74 (2000)).
pub const MEAN_RADIUS_KM: f64 = 6371.0088;

/// A direction from the middle of the earth, of length 1: towards 0 N 0 E, 0 N 90 E and the north pole.
pub type Direction = [f64; 3];

/// A direction as home sees it, of length 1: east, north and up at home.
pub type Seen = [f64; 3];

impl Position {
    /// The place as a direction, its latitude taken as that of a sphere.
    pub fn direction(self) -> Direction {
        let (sin_lat, cos_lat) = self.lat_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = self.lon_deg.to_radians().sin_cos();
        [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat]
    }

    /// The place in a direction; the length of the vector does not matter. Longitude 0 at the poles.
    pub fn of_direction(direction: Direction) -> Self {
        let [x, y, z] = direction;
        let lon_deg = y.atan2(x).to_degrees();
        Self {
            lat_deg: z.atan2(x.hypot(y)).to_degrees(),
            lon_deg: if lon_deg >= 180.0 { lon_deg - 360.0 } else { lon_deg },
        }
    }
}

/// East, north and up at home, as directions from the middle of the earth.
#[derive(Clone, Copy, Debug)]
pub struct HomeFrame {
    east: Direction,
    north: Direction,
    up: Direction,
}

impl HomeFrame {
    /// The frame of a home; at a pole north follows the meridian of the longitude given.
    pub fn new(home: Position) -> Self {
        let (sin_lat, cos_lat) = home.lat_deg.to_radians().sin_cos();
        let (sin_lon, cos_lon) = home.lon_deg.to_radians().sin_cos();
        Self {
            east: [-sin_lon, cos_lon, 0.0],
            north: [-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat],
            up: [cos_lat * cos_lon, cos_lat * sin_lon, sin_lat],
        }
    }

    /// East at home, square to its meridian.
    pub fn east(&self) -> Direction {
        self.east
    }

    /// A direction as home sees it.
    pub fn turned(&self, direction: Direction) -> Seen {
        [dot(self.east, direction), dot(self.north, direction), dot(self.up, direction)]
    }

    /// The direction at an angle from home, on a bearing (both in radians).
    pub fn direction(&self, angle: f64, bearing: f64) -> Direction {
        let (out, up) = angle.sin_cos();
        let (east, north) = (out * bearing.sin(), out * bearing.cos());
        let mix = |axis: usize| east * self.east[axis] + north * self.north[axis] + up * self.up[axis];
        [mix(0), mix(1), mix(2)]
    }
}

/// Azimuthal equidistant map point of a direction home sees, east and north, in radians of angle from home;
/// `None` opposite home (within 1e-11).
pub(crate) fn project(seen: Seen) -> Option<[f64; 2]> {
    let [east, north, up] = seen;
    let across = (east * east + north * north).sqrt();
    if across < 1e-11 {
        // home itself, or the whole rim
        return (up > 0.0).then_some([east, north]);
    }
    let stretch = across.atan2(up) / across;
    Some([east * stretch, north * stretch])
}

/// Scalar product.
pub(crate) fn dot(a: [f64; 3], b: [f64; 3]) -> f64 {
    a[0] * b[0] + a[1] * b[1] + a[2] * b[2]
}
