//! Deflated data (RFC 1951), which both gzip and zip pack with.

use flate2::{Decompress, FlushDecompress, Status};

/// Why inflating stopped before the end of the data.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stop {
    /// The data end too early, or are broken.
    Cut,
    /// It would be more than the limit.
    TooLarge,
}

/// Adds what is packed to `out`, which then holds at most `most` bytes, and tells how many bytes the packed data took.
/// What comes before a stop is added too.
pub(super) fn inflate(packed: &[u8], out: &mut Vec<u8>, most: usize) -> Result<usize, Stop> {
    let mut inflater = Decompress::new(false);
    loop {
        let read = usize::try_from(inflater.total_in()).unwrap_or(usize::MAX).min(packed.len());
        // text packs to about a sixth; grow by what is left, within bounds
        let room = ((packed.len() - read) * 6).clamp(4 * 1024, 16 << 20);
        out.reserve(room);
        let before = (inflater.total_in(), inflater.total_out());
        let status = inflater.decompress_vec(&packed[read..], out, FlushDecompress::None);
        if out.len() > most {
            out.truncate(most);
            return Err(Stop::TooLarge);
        }
        match status {
            Ok(Status::StreamEnd) => {
                return usize::try_from(inflater.total_in()).ok().filter(|&n| n <= packed.len()).ok_or(Stop::Cut);
            }
            Ok(_) if (inflater.total_in(), inflater.total_out()) != before => {}
            Ok(_) | Err(_) => return Err(Stop::Cut),
        }
    }
}
