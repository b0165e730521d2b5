//! What leaves: results for other programs and for people. Bytes and text only; nothing here touches storage.
//!
//! - [`readout`]: the command line's text and JSON

pub mod readout;
