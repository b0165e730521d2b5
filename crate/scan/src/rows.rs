//! A set of rows as bits.

/// Bit n of word m stands for row 64 m + n.
#[derive(Clone, Copy, Debug)]
pub struct Rows<'a>(pub &'a [u64]);

impl Rows<'_> {
    /// Calls with each row in ascending order.
    #[inline]
    pub(crate) fn each(self, mut with: impl FnMut(usize)) {
        for (at, &word) in self.0.iter().enumerate() {
            let mut left = word;
            while left != 0 {
                with(at * 64 + left.trailing_zeros() as usize);
                left &= left - 1;
            }
        }
    }
}
