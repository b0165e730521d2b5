//! Figures: results and a frame become verbs on a surface.
//!
//! - [`frame`]: how large, for which eyes
//! - [`disc`]: the polar map of listeners
//! - [`legend`]: its keys, for pictures that stand alone
//! - [`bearings`]: sixteen bars of farthest distance
//! - [`hours`]: bands by UTC hour
//! - [`timeline`]: spots per step of time
//! - [`bars`]: what lies where in the last three, for pointer and keyboard
//!
//! Each figure has a `draw` that says afterwards what lies where, and a `summary`: one sentence in place of the picture.

pub mod bars;
pub mod bearings;
pub mod disc;
pub mod frame;
pub mod hours;
pub mod legend;
pub mod timeline;

pub use bars::{BarScene, SceneBar};
pub use frame::{Frame, Size, to_svg};
