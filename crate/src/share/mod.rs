//! What leaves: results for other programs and for people. Bytes and text only; nothing here touches storage.
//!
//! - [`csv`]: the spots as a table for spreadsheets and other programs
//! - [`readout`]: the command line's text and JSON

pub mod csv;
pub mod readout;
