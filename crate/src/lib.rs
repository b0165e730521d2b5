//! The core of Farheard: bytes of spot files in, answers and pictures out.
//!
//! Data flows one way, and each layer uses only what stands before it
//! (plus [`geography`], [`sky`], [`units`] and [`time`]):
//!
//! ```text
//! import --> model --> study --> words --> figure --> draw --> share, page
//! ```
//!
//! The core has no clock, no files, no environment and no random order:
//! the same bytes always give the same results.

pub mod draw;
pub mod figure;
pub mod geography;
pub mod import;
pub mod model;
pub mod order;
pub mod page;
pub mod share;
pub mod sky;
pub mod study;
pub mod time;
pub mod units;
pub mod words;
