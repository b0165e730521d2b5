//! Eight bytes at a time.

/// A one in every byte.
pub(super) const ONES: u64 = 0x0101_0101_0101_0101;

/// The highest bit of every byte in which two words are equal, and nothing else.
///
/// Method: S. E. Anderson, 'Bit Twiddling Hacks' (Stanford, 2005), 'determine if a word has a zero byte', exact form.
#[inline]
pub(super) fn bytes_equal(a: u64, b: u64) -> u64 {
    const LOW: u64 = 0x7F * ONES;
    let differ = a ^ b;
    !(((differ & LOW) + LOW) | differ | LOW)
}

/// The highest bit of every byte below 14: line ends, and few others in any text. Method as above.
#[inline]
pub(super) fn bytes_below_14(word: u64) -> u64 {
    const HIGH: u64 = 0x80 * ONES;
    !(((word & !HIGH) + (0x80 - 14) * ONES) | word) & HIGH
}

pub(super) const QUOTES: u64 = b'"' as u64 * ONES;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_at_every_place() {
        for place in 0..8 {
            for byte in 0..=255_u8 {
                for other in [0_u8, b'a', b',', 255] {
                    let mut bytes = [other; 8];
                    bytes[place] = byte;
                    let word = u64::from_le_bytes(bytes);
                    let set = |test: &dyn Fn(u8) -> bool| {
                        bytes.iter().enumerate().filter(|(_, b)| test(**b)).fold(0_u64, |m, (n, _)| m | 0x80 << (8 * n))
                    };
                    assert_eq!(bytes_equal(word, u64::from(b',') * ONES), set(&|b| b == b','), "{bytes:?}");
                    assert_eq!(bytes_below_14(word), set(&|b| b < 14), "{bytes:?}");
                }
            }
        }
    }
}
