//! What the page weighs, and the weight it may not pass.

use anyhow::{Result, bail};
use zlib_rs::{DeflateConfig, ReturnCode, compress_bound, compress_slice};

/// Most bytes the page may have.
const MOST_BYTES: usize = 1_500_000;
/// Most bytes it may have on the wire, gzipped: 500 kB less what other packers of the same level make more of it (half a
/// percent was seen).
const MOST_GZIPPED_BYTES: usize = 497_000;

/// What most web hosts pack with.
const LEVEL: i32 = 6;
/// Head and foot are 18 bytes (RFC 1952, 2.3) where those of zlib are 6 (RFC 1950, 2.2); what is between is the same.
const GZIP_OVER_ZLIB: usize = 12;

/// A page's weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Weight {
    /// Bytes of the file.
    pub bytes: usize,
    /// Bytes after gzip at the level most web hosts use, 6.
    pub gzipped_bytes: usize,
}

impl Weight {
    /// Weighs a file's content.
    ///
    /// # Errors
    /// If it cannot be packed, which it can where there is memory.
    pub(crate) fn of(content: &[u8]) -> Result<Self> {
        let mut packed = vec![0; compress_bound(content.len())];
        let (packed, end) = compress_slice(&mut packed, content, DeflateConfig::new(LEVEL));
        if end != ReturnCode::Ok {
            bail!("the page could not be packed to be weighed: {end:?}");
        }
        Ok(Self { bytes: content.len(), gzipped_bytes: packed.len() + GZIP_OVER_ZLIB })
    }

    /// Checks the weight.
    ///
    /// # Errors
    /// If it passes what the page may weigh.
    pub(crate) fn check(self) -> Result<()> {
        if self.bytes > MOST_BYTES || self.gzipped_bytes > MOST_GZIPPED_BYTES {
            bail!(
                "the page is too heavy: {} bytes ({} gzipped), at most {MOST_BYTES} ({MOST_GZIPPED_BYTES}) are allowed",
                self.bytes,
                self.gzipped_bytes
            );
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_page_is_refused_by_either_weight() {
        let light = Weight { bytes: MOST_BYTES, gzipped_bytes: MOST_GZIPPED_BYTES };
        assert!(light.check().is_ok());
        assert!(Weight { bytes: MOST_BYTES + 1, ..light }.check().is_err());
        assert!(Weight { gzipped_bytes: MOST_GZIPPED_BYTES + 1, ..light }.check().is_err());
    }
}
