//! Numbers from a seed.

/// The generator `SplitMix64` (Steele, Lea and Flood, 'Fast splittable pseudorandom number generators', 2014;
/// constants from memory): every seed, also a small one, begins well.
#[derive(Clone, Debug)]
pub(crate) struct Chance(u64);

impl Chance {
    pub(crate) fn of(seed: u64) -> Self {
        Self(seed)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// 0 to n - 1; 0 for n = 0.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        usize::try_from(self.next() % n.max(1) as u64).unwrap()
    }

    /// True once in n times.
    pub(crate) fn one_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    pub(crate) fn of_list<'a, T>(&mut self, list: &'a [T]) -> &'a T {
        &list[self.below(list.len())]
    }

    pub(crate) fn byte(&mut self) -> u8 {
        self.next().to_le_bytes()[0]
    }

    /// Two places in something so long, the smaller first.
    pub(crate) fn span(&mut self, length: usize) -> (usize, usize) {
        let (a, b) = (self.below(length + 1), self.below(length + 1));
        (a.min(b), a.max(b))
    }
}
