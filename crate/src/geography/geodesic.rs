//! Distance and bearing on the WGS-84 ellipsoid.
//!
//! Method: C. F. F. Karney, 'Algorithms for geodesics', Journal of Geodesy 87 (2013), 43-55,
//! doi 10.1007/s00190-012-0578-z, as implemented by geographiclib-rs.

use geographiclib_rs::{DirectGeodesic, InverseGeodesic};

use super::Position;

/// Two places nearer than this are one: no bearing leads from one to the other. 0.1 mm.
const SAME_PLACE_M: f64 = 1e-4;
/// Distance in km to the point exactly opposite, the farthest any place can be:
/// half a meridian ellipse of WGS-84 (Karney 2013, twice the quarter meridian).
pub const OPPOSITE_KM: f64 = 20_003.931_458_625;

/// The shortest path between two places.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Path {
    /// Length in km.
    pub distance_km: f64,
    /// Bearing at the first place towards the second, degrees clockwise from true north, 0 up to 360;
    /// `None` for the same place and for points exactly opposite, where every bearing is as right.
    pub bearing_deg: Option<f64>,
    /// Bearing at the second place back towards the first; `None` likewise.
    pub back_bearing_deg: Option<f64>,
}

/// The ellipsoid, ready for use; make it once for many paths.
#[derive(Clone, Copy, Debug)]
pub struct Geodesic(geographiclib_rs::Geodesic);

impl Geodesic {
    /// WGS-84.
    pub fn wgs84() -> Self {
        Self(geographiclib_rs::Geodesic::wgs84())
    }

    /// The shortest path from one place to another.
    ///
    /// Nearly opposite places of exactly opposite latitudes can have two shortest paths, mirror images
    /// of each other; one is given, and for the way back it may be the other.
    /// Within some hundred km of the opposite point the bearing turns by tens of degrees for a small shift
    /// of either place: show it as unreliable there.
    /// At a pole it is counted from the meridian of the longitude given.
    pub fn path(&self, from: Position, to: Position) -> Path {
        let (distance_m, azimuth_from, azimuth_to, _) =
            self.0.inverse(from.lat_deg, from.lon_deg, to.lat_deg, to.lon_deg);
        let unique = distance_m > SAME_PLACE_M && !opposite(from, to);
        Path {
            distance_km: distance_m / 1000.0,
            bearing_deg: unique.then(|| turn(azimuth_from)),
            back_bearing_deg: unique.then(|| turn(azimuth_to + 180.0)),
        }
    }

    /// The place reached after `distance_km` on a bearing; its longitude is -180 up to 180.
    ///
    /// Negative distances lead the other way, and longer ones than half around the earth go on past it.
    pub fn destination(&self, from: Position, bearing_deg: f64, distance_km: f64) -> Position {
        let (lat_deg, lon_deg) = self.0.direct(from.lat_deg, from.lon_deg, bearing_deg, distance_km * 1000.0);
        Position { lat_deg, lon_deg: if lon_deg >= 180.0 { lon_deg - 360.0 } else { lon_deg } }
    }
}

/// Are the two exactly opposite each other (or pole to pole)?
fn opposite(a: Position, b: Position) -> bool {
    let poles = a.lat_deg.abs() > 90.0 - 1e-9 && b.lat_deg.abs() > 90.0 - 1e-9;
    let across = (a.lon_deg - b.lon_deg).rem_euclid(360.0) - 180.0;
    (a.lat_deg + b.lat_deg).abs() < 1e-9 && (poles || across.abs() < 1e-9)
}

/// A direction as 0 up to 360 degrees.
fn turn(degrees: f64) -> f64 {
    let turned = degrees.rem_euclid(360.0);
    if turned >= 360.0 { 0.0 } else { turned }
}
