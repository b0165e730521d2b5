//! The next test in pictures.
//!
//! - [`order`]: which antenna when, and the dark hours under it
//! - [`battery`]: how long the battery lasts

pub mod battery;
pub mod order;
