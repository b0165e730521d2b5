//! Azimuthal equidistant projection: distances and bearings from home are true.
//!
//! J. P. Snyder, 'Map Projections: A Working Manual', USGS Professional Paper 1395 (1987), chapter 25.
//! On the ellipsoid the two projected quantities are the geodesic's own length and azimuth, so no series is needed.

use super::sphere::{HomeFrame, MEAN_RADIUS_KM, project};
use super::{Geodesic, OPPOSITE_KM, Position};

/// A point of the map: home is the origin, one unit is one km.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct MapPoint {
    /// Towards the bearing 90 degrees, in km.
    pub east_km: f64,
    /// Towards true north at home, in km.
    pub north_km: f64,
}

impl MapPoint {
    /// The point at a distance and bearing from home.
    pub fn at(distance_km: f64, bearing_deg: f64) -> Self {
        let (east, north) = bearing_deg.to_radians().sin_cos();
        Self { east_km: distance_km * east, north_km: distance_km * north }
    }

    /// Distance from home in km.
    pub fn distance_km(self) -> f64 {
        self.east_km.hypot(self.north_km)
    }

    /// Bearing from home in degrees, 0 up to 360; 0 at home itself, where no bearing means anything.
    pub fn bearing_deg(self) -> f64 {
        let turned = self.east_km.atan2(self.north_km).to_degrees().rem_euclid(360.0);
        if turned >= 360.0 { 0.0 } else { turned }
    }
}

/// The exact projection on the WGS-84 ellipsoid, for stations.
#[derive(Clone, Copy, Debug)]
pub struct Azimuthal {
    home: Position,
    geodesic: Geodesic,
}

impl Azimuthal {
    /// The projection with a home in its middle.
    ///
    /// At a pole, north is along the meridian of the longitude given (for the north pole, away from it).
    pub fn new(home: Position) -> Self {
        Self { home, geodesic: Geodesic::wgs84() }
    }

    /// Where a place falls on the map; `None` for the point exactly opposite home (and the other pole
    /// seen from a pole), which is not a point of the map but its whole rim, the circle of [`OPPOSITE_KM`].
    ///
    /// ```
    /// use farheard::geography::{Azimuthal, Position};
    ///
    /// let map = Azimuthal::new(Position { lat_deg: 0.0, lon_deg: 0.0 });
    /// let quarter_north = map.forward(Position { lat_deg: 90.0, lon_deg: 0.0 }).unwrap();
    /// assert!((quarter_north.north_km - 10_001.965_729).abs() < 1e-5);
    /// assert_eq!(map.forward(Position { lat_deg: 0.0, lon_deg: -180.0 }), None);
    /// ```
    pub fn forward(&self, place: Position) -> Option<MapPoint> {
        let path = self.geodesic.path(self.home, place);
        match path.bearing_deg {
            Some(bearing) => Some(MapPoint::at(path.distance_km, bearing)),
            None if path.distance_km < 1.0 => Some(MapPoint { east_km: 0.0, north_km: 0.0 }),
            None => None,
        }
    }

    /// The place at a point of the map; `None` beyond the rim ([`OPPOSITE_KM`]) and for what is not a number.
    ///
    /// Undoes [`Azimuthal::forward`] everywhere. The other way round it does so within 19 900 km only:
    /// in the outermost 100 km the ellipsoid's paths cross, and several points of the map name one place.
    pub fn inverse(&self, point: MapPoint) -> Option<Position> {
        let distance_km = point.distance_km();
        // a micrometre of grace, so that what forward puts on the rim comes back
        (distance_km <= OPPOSITE_KM + 1e-9)
            .then(|| self.geodesic.destination(self.home, point.bearing_deg(), distance_km))
    }
}

/// The projection on a sphere of 6371.0088 km: fast, for a grid or a line that need not meet stations exactly
/// (coasts do, see [`HomeView`](super::HomeView)).
///
/// Against [`Azimuthal`] distances are off by at most 0.6 % and bearings by at most 0.5 degrees up to 16 500 km,
/// 2 degrees up to 19 000 km (checked in the tests); nearer to the opposite point by tens of degrees.
#[derive(Clone, Copy, Debug)]
pub struct SphericalAzimuthal(HomeFrame);

impl SphericalAzimuthal {
    /// The projection with a home in its middle; at a pole as in [`Azimuthal::new`].
    pub fn new(home: Position) -> Self {
        Self(HomeFrame::new(home))
    }

    /// Where a place falls on the map; `None` within about 0.1 mm of the point exactly opposite home,
    /// which is the whole rim.
    pub fn forward(&self, place: Position) -> Option<MapPoint> {
        let [east, north] = project(self.0.turned(place.direction()))?;
        Some(MapPoint { east_km: east * MEAN_RADIUS_KM, north_km: north * MEAN_RADIUS_KM })
    }

    /// The place at a point of the map; `None` beyond the rim (half around the sphere, 20 015.1 km)
    /// and for what is not a number.
    pub fn inverse(&self, point: MapPoint) -> Option<Position> {
        let angle = point.distance_km() / MEAN_RADIUS_KM;
        // the same grace as on the ellipsoid
        (angle <= std::f64::consts::PI + 1e-13)
            .then(|| Position::of_direction(self.0.direction(angle, point.bearing_deg().to_radians())))
    }
}
