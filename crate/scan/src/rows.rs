//! A set of rows as bits.

/// Words of a set that are looked at in one call: those of 4096 rows.
const BLOCK: usize = 64;

/// Bit n of word m stands for row 64 m + n.
#[derive(Clone, Copy, Debug)]
pub struct Rows<'a>(pub &'a [u64]);

impl Rows<'_> {
    /// Calls with each row in ascending order.
    #[inline]
    pub(crate) fn each(self, mut with: impl FnMut(usize)) {
        for (block, words) in self.0.chunks(BLOCK).enumerate() {
            each_of(words, block * BLOCK * 64, &mut with);
        }
    }
}

/// A browser exchanges slow code for fast where a function is entered, never in the middle: so a scan of many rows has to
/// enter one often, or all of it is slow. Nor may it be the scan itself, which is called once.
#[inline(never)]
fn each_of(words: &[u64], from: usize, with: &mut impl FnMut(usize)) {
    for (at, &word) in words.iter().enumerate() {
        let mut left = word;
        while left != 0 {
            with(from + at * 64 + left.trailing_zeros() as usize);
            left &= left - 1;
        }
    }
}
