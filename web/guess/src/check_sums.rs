//! The table with which check sums are reckoned.
//!
//! The core's readers of gzip and zip bring it: 16 kB that look like noise to any guess, and that a few lines of code
//! can make.

/// The polynomial, lowest power first (RFC 1952, 8: CRC-32).
const POLYNOMIAL: u32 = 0xEDB8_8320;
/// Tables for sixteen bytes at a time, as fast readers have them.
const TABLES: usize = 16;
/// How many bytes they have.
pub(crate) const BYTES: usize = 4 * 256 * TABLES;
/// Fewer bytes than this are not worth their place in the header.
#[cfg(not(target_arch = "wasm32"))]
const LEAST: usize = 256;

/// The tables: of every byte, then each followed by one more zero byte than the one before.
pub(crate) fn check_sums() -> [u32; 256 * TABLES] {
    let mut words = [0_u32; 256 * TABLES];
    let mut at = 0;
    while at < words.len() {
        words[at] = if at < 256 {
            (0..8).fold(at as u32, |sum, _| sum >> 1 ^ if sum & 1 == 1 { POLYNOMIAL } else { 0 })
        } else {
            let sum = words[at - 256];
            sum >> 8 ^ words[(sum & 255) as usize]
        };
        at += 1;
    }
    words
}

/// Where the tables stand in a module, each word's lowest byte first, as far as they stand there; an empty range where they
/// do not.
#[cfg(not(target_arch = "wasm32"))]
pub(crate) fn place(module: &[u8]) -> std::ops::Range<usize> {
    let sums: Vec<u8> = check_sums().iter().flat_map(|word| word.to_le_bytes()).collect();
    let Some(start) = module.windows(LEAST).position(|window| window == &sums[..LEAST]) else { return 0..0 };
    let length = module[start..].iter().zip(&sums).take_while(|(byte, sum)| byte == sum).count();
    start..start + length
}
