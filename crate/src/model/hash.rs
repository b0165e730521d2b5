//! A hash for tables of numbers that are never iterated.

/// A hash of words that is the same on every machine and in every run: multiply and rotate, quick, and good enough
/// where equality is checked afterwards.
#[inline]
pub(crate) fn hash_of_words<const N: usize>(words: [u64; N]) -> u64 {
    // the golden ratio in 64 bits, as multiplicative hashing customarily takes
    let mixed = |hash: u64, word: u64| (hash.rotate_left(23) ^ word).wrapping_mul(0x9E37_79B9_7F4A_7C15);
    let hash = words.into_iter().fold(0, mixed);
    hash ^ (hash >> 32)
}
