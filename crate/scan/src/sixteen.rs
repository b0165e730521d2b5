//! Sixteen bytes of a text at a time, in one register where the machine has such, as every browser's engine has.

use wide::u8x16;

/// Bytes that are looked at together.
pub const SIXTEEN: usize = 16;

/// Sixteen bytes. What is asked of them is answered by a bit each, the first lowest.
#[derive(Clone, Copy, Debug)]
pub struct Sixteen(u8x16);

impl Sixteen {
    /// These bytes.
    #[inline]
    pub fn new(bytes: [u8; SIXTEEN]) -> Self {
        Self(u8x16::new(bytes))
    }

    /// Those from a place on; `None` where there are fewer left.
    #[inline]
    pub fn at(text: &[u8], at: usize) -> Option<Self> {
        text.get(at..)?.first_chunk().copied().map(Self::new)
    }

    /// Those from a place on, with zeros behind the end of the text.
    #[inline]
    pub fn or_zeros(text: &[u8], at: usize) -> Self {
        Self::at(text, at).unwrap_or_else(|| {
            let rest = text.get(at..).unwrap_or_default();
            let mut bytes = [0; SIXTEEN];
            bytes.iter_mut().zip(rest).for_each(|(byte, &there)| *byte = there);
            Self::new(bytes)
        })
    }

    /// Letters of ASCII as small ones; a few signs change too, the same in what is sought and where.
    #[inline]
    #[must_use]
    pub fn small(self) -> Self {
        Self(self.0 | u8x16::splat(0x20))
    }

    /// Which are this byte?
    #[inline]
    pub fn are(self, byte: u8) -> u32 {
        self.0.simd_eq(u8x16::splat(byte)).to_bitmask()
    }

    /// Which may end a cell: the delimiter, a quote, or one below 14, which are line ends and few others in any text?
    #[inline]
    pub fn end_cells(self, delimiter: u8) -> u32 {
        let control = self.0.simd_eq(self.0.min(u8x16::splat(13)));
        let quotes = self.0.simd_eq(u8x16::splat(b'"'));
        (self.0.simd_eq(u8x16::splat(delimiter)) | quotes | control).to_bitmask()
    }

    /// Which are digits of ASCII?
    #[inline]
    pub fn are_digits(self) -> u32 {
        let above = self.0 - u8x16::splat(b'0');
        above.simd_eq(above.min(u8x16::splat(9))).to_bitmask()
    }

    /// Which are not of ASCII?
    #[inline]
    pub fn are_beyond(self) -> u32 {
        self.0.to_bitmask()
    }
}

/// Are all bytes ASCII, and none of them NUL?
#[inline(never)]
pub fn is_plain_ascii(text: &[u8]) -> bool {
    // as in `Rows::each`: fast code comes with another call
    text.chunks(1 << 16).all(is_plain_stretch)
}

#[inline(never)]
fn is_plain_stretch(text: &[u8]) -> bool {
    let (blocks, rest) = text.as_chunks::<SIXTEEN>();
    let (mut least, mut any) = (u8x16::splat(1), u8x16::splat(0));
    for &block in blocks {
        let bytes = u8x16::new(block);
        (least, any) = (least.min(bytes), any | bytes);
    }
    least == u8x16::splat(1) && any.to_bitmask() == 0 && rest.iter().all(|byte| (1..0x80).contains(byte))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_at_every_place() {
        for place in 0..SIXTEEN {
            for byte in 0..=255_u8 {
                for other in [0_u8, b'a', b',', 255] {
                    let mut bytes = [other; SIXTEEN];
                    bytes[place] = byte;
                    let these = Sixteen::new(bytes);
                    let set = |test: &dyn Fn(u8) -> bool| {
                        bytes.iter().enumerate().filter(|(_, b)| test(**b)).fold(0_u32, |bits, (n, _)| bits | 1 << n)
                    };
                    assert_eq!(these.are(b','), set(&|b| b == b','), "{bytes:?}");
                    assert_eq!(these.end_cells(b','), set(&|b| b == b',' || b == b'"' || b < 14), "{bytes:?}");
                    assert_eq!(these.small().are(b'q'), set(&|b| b == b'q' || b == b'Q'), "{bytes:?}");
                    assert_eq!(these.are_digits(), set(&|b| b.is_ascii_digit()), "{bytes:?}");
                    assert_eq!(these.are_beyond(), set(&|b| !b.is_ascii()), "{bytes:?}");
                }
            }
        }
    }

    #[test]
    fn behind_the_end_are_zeros() {
        let text = b"0123456789abcdefgh";
        for at in 0..=text.len() + 1 {
            let left = text.len().saturating_sub(at);
            assert_eq!(Sixteen::at(text, at).is_some(), left >= SIXTEEN);
            assert_eq!(Sixteen::or_zeros(text, at).are(0), if left < SIXTEEN { 0xFFFF & !0 << left } else { 0 });
        }
    }

    #[test]
    fn plain_ascii_is_told_at_every_place() {
        for length in [0, 1, 15, 16, 17, 63, 64, 65, 200] {
            let text = vec![b'a'; length];
            assert!(is_plain_ascii(&text), "{length}");
            for at in 0..length {
                for odd in [0, 0x80, 0xFF] {
                    let mut text = text.clone();
                    text[at] = odd;
                    assert!(!is_plain_ascii(&text), "{odd} at {at} of {length}");
                }
            }
        }
        assert!(is_plain_ascii(&(1..0x80).cycle().take(1000).collect::<Vec<u8>>()));
    }
}
