//! What leaves: results for other programs and for people. Bytes and text only; nothing here touches storage.
//!
//! - [`privacy`]: what is kept back; everything below that holds spots gets its result only
//! - [`table`]: heads and typed cells of any table of results
//! - [`csv`]: spots and tables for spreadsheets and other programs
//! - [`tables`]: the tables of the page
//! - [`adif`]: spots for logging programs
//! - [`map`]: stations and paths as GeoJSON and KML
//! - [`picture`]: a picture that stands alone
//! - [`report`]: one page of HTML to read or to print
//! - `shown`: what the spots that leave come to
//! - [`readout`]: the command line's text and JSON

pub mod adif;
pub mod csv;
pub mod map;
pub mod picture;
pub mod privacy;
pub mod readout;
pub mod report;
mod shown;
pub mod table;
pub mod tables;

pub use privacy::{Leaves, Leaving, Privacy, RunNotes, Source};
