//! What a file is packed in, by its first bytes.
//!
//! - [`gzip`]: RFC 1952, several members, cut files, wrong check sums
//! - [`archive`]: zip archives
//! - [`inflate`]: what both are packed with

pub(crate) mod archive;
pub(crate) mod gzip;
mod inflate;
pub(crate) mod stream;

/// The most that is held unpacked, in bytes: beyond it a file is refused before memory runs out.
/// A year of a busy club beacon takes a tenth of it.
pub(crate) const MOST_BYTES: usize = 1 << 30;
