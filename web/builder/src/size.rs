//! What the page weighs, and the weight it may not pass.

use anyhow::{Result, bail};

use crate::pack::gzip;

/// Most bytes the page may have.
const MOST_BYTES: usize = 1_500_000;
/// Most bytes it may have on the wire, gzipped.
const MOST_GZIPPED_BYTES: usize = 500_000;

/// A page's weight.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Weight {
    /// Bytes of the file.
    pub bytes: usize,
    /// Bytes after gzip at the level most web hosts use.
    pub gzipped_bytes: usize,
}

impl Weight {
    /// Weighs a file's content.
    ///
    /// # Errors
    /// None that writing to memory can meet; the packer's signature has one.
    pub(crate) fn of(content: &[u8]) -> Result<Self> {
        Ok(Self { bytes: content.len(), gzipped_bytes: gzip(content)?.len() })
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
