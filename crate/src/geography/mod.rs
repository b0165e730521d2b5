//! The earth: places, distances and bearings. Knows nothing of spots.
//!
//! - [`locator`]: Maidenhead locators of 2 to 10 characters
//! - [`geodesic`]: distance and bearings on the WGS-84 ellipsoid
//! - [`uncertainty`]: what the size of locator cells leaves open about a path
//! - [`azimuthal`]: the map with home in its middle, true in distance and bearing from there
//! - [`sphere`]: directions on the sphere, for drawing
//! - [`view`]: the ellipsoid as home sees it, for drawing
//! - [`clip`]: areas of the sphere cut to the disc of the map
//! - [`coastline`]: the land of the earth, for drawing
//! - [`places`]: country and continent of a position; `edges` keeps its borders and coasts

pub mod azimuthal;
pub mod clip;
pub mod coastline;
mod edges;
pub mod geodesic;
pub mod locator;
pub mod places;
pub mod sphere;
pub mod uncertainty;
pub mod view;

pub use azimuthal::{Azimuthal, MapPoint, SphericalAzimuthal};
pub use clip::{Disc, DiscArea, MapLine};
pub use coastline::{DiscLand, is_land, land};
pub use geodesic::{Geodesic, OPPOSITE_KM, Path};
pub use locator::{Locator, LocatorError};
pub use places::{Continent, Country, Place, place_around, place_of};
pub use uncertainty::PathUncertainty;
pub use view::HomeView;

/// A place on the ellipsoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Geodetic latitude in degrees, north positive, -90 to 90.
    pub lat_deg: f64,
    /// Longitude in degrees, east positive, -180 up to 180.
    pub lon_deg: f64,
}
