//! What leaves: results for other programs and for people. Bytes and text only; nothing here touches storage.
//!
//! - [`privacy`]: what is kept back; everything below that holds spots gets its result only
//! - [`table`]: heads and typed cells of any table of results
//! - [`csv`]: spots and tables for spreadsheets and other programs
//! - [`tables`]: the tables of the page
//! - [`adif`]: spots for logging programs
//! - [`map`]: stations and paths as GeoJSON and KML
//! - [`picture`]: a picture that stands alone
//! - [`work_file`]: everything in one file, to go on with; [`json`] is what it is written in
//! - [`shared`]: the work that stands in a page to be shared
//! - [`report`]: one page of HTML to read or to print
//! - `shown`: what the spots that leave come to
//! - [`readout`]: the command line's text and JSON

pub mod adif;
pub mod csv;
pub mod json;
pub mod map;
pub mod picture;
pub mod privacy;
pub mod readout;
pub mod report;
pub mod shared;
mod shown;
pub mod table;
pub mod tables;
pub mod work_file;

pub use privacy::{Leaves, Leaving, Privacy, RunNotes, Source};
