//! The sky over a path: where the sun stands, and the triangle of a ray thrown back from a layer.
//! Pure functions of time and place; knows nothing of spots.
//!
//! - [`sun`]: elevation of the sun, subsolar point, day, twilight or night
//! - [`suns`]: the sun's place at each of many instants, worked out once
//! - [`terminator`]: the line around the earth along which the sun stands at a given elevation
//! - [`hop`]: take-off angle, length and number of hops of a path by way of a layer

pub mod hop;
pub mod sun;
pub mod suns;
pub mod terminator;

pub use hop::{Hop, HopPath};
pub use sun::{SunPlace, SunState};
pub use suns::Suns;
