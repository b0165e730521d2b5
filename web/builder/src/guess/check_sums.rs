//! The table with which check sums are reckoned.
//!
//! The core's readers of gzip and zip bring it: 16 kB that look like noise to any guess, and that nine lines of script
//! can make.

use std::ops::Range;

/// The polynomial, lowest power first (RFC 1952, 8: CRC-32).
const POLYNOMIAL: u32 = 0xEDB8_8320;
/// Tables for sixteen bytes at a time, as fast readers have them.
const TABLES: usize = 16;
/// Fewer bytes than this are not worth their place in the header.
const LEAST: usize = 256;

/// The tables as a module has them, each word's lowest byte first: of every byte, then each followed by one more zero byte
/// than the one before.
pub(crate) fn check_sums() -> Vec<u8> {
    let mut words: Vec<u32> =
        (0..256).map(|byte| (0..8).fold(byte, |sum, _| sum >> 1 ^ if sum & 1 == 1 { POLYNOMIAL } else { 0 })).collect();
    for at in 256..256 * TABLES {
        let sum = words[at - 256];
        words.push(sum >> 8 ^ words[(sum & 255) as usize]);
    }
    words.iter().flat_map(|word| word.to_le_bytes()).collect()
}

/// Where the tables stand in a module, as far as they stand there; an empty range where they do not.
pub(crate) fn place(module: &[u8]) -> Range<usize> {
    let sums = check_sums();
    let Some(start) = module.windows(LEAST).position(|window| window == &sums[..LEAST]) else { return 0..0 };
    let length = module[start..].iter().zip(&sums).take_while(|(byte, sum)| byte == sum).count();
    start..start + length
}
