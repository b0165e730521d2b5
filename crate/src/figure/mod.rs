//! Figures: results and a frame become verbs on a surface.
//!
//! - [`frame`]: how large, for which eyes
//! - [`disc`]: the polar map of listeners
//! - [`legend`]: its keys, for pictures that stand alone
//! - [`bearings`]: sixteen bars of farthest distance
//! - [`hours`]: bands by UTC hour
//! - [`hours_large`]: the same with counts, sun at home and the nearest listener under it
//! - [`angles`]: likely take-off angles
//! - [`timeline`]: spots per step of time
//! - [`intervals`]: differences of two antennas with their intervals, one row a band
//! - [`by_listener`]: differences at each listener against bearing
//! - [`decibels`]: what the last two share: axis, strip, marks
//! - [`plan`]: the order of a test and its battery
//! - [`health`]: share of sends heard over time, silent spans, drift
//! - [`bars`]: what lies where in bars and rows, for pointer and keyboard
//!
//! Each figure has a `draw` that says afterwards what lies where, and a `summary`: one sentence in place of the picture.

pub mod angles;
pub mod bars;
pub mod bearings;
pub mod by_listener;
pub mod decibels;
pub mod disc;
pub mod frame;
pub mod health;
pub mod hours;
pub mod hours_large;
pub mod intervals;
pub mod legend;
pub mod plan;
pub mod timeline;

pub use bars::{BarScene, SceneBar};
pub use frame::{Frame, Size, to_svg};
