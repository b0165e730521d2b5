//! The earth: places, distances and bearings. Knows nothing of spots.
//!
//! - [`locator`]: Maidenhead locators of 2 to 10 characters
//! - [`geodesic`]: distance and bearings on the WGS-84 ellipsoid

pub mod geodesic;
pub mod locator;

pub use geodesic::{Geodesic, Path};
pub use locator::{Locator, LocatorError};

/// A place on the ellipsoid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// Geodetic latitude in degrees, north positive, -90 to 90.
    pub lat_deg: f64,
    /// Longitude in degrees, east positive, -180 up to 180.
    pub lon_deg: f64,
}
