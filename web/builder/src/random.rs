//! A seeded generator: splitmix64 (G. L. Steele, D. Lea, C. H. Flood, 'Fast splittable pseudorandom
//! number generators', OOPSLA 2014; constants from memory of its reference code). The same on every machine.

/// The generator.
#[derive(Clone, Debug)]
pub(crate) struct Random(u64);

impl Random {
    /// Begins a sequence; different seeds give unrelated sequences.
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A sequence of its own, so that one part of a world does not move another.
    pub(crate) fn branch(&mut self) -> Self {
        Self(self.bits())
    }

    fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Evenly from 0 up to 1.
    pub(crate) fn share(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Evenly between two values.
    pub(crate) fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.share()
    }

    /// A whole number below `n`.
    pub(crate) fn below(&mut self, n: usize) -> usize {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a small count")]
        let at = (self.share() * n as f64) as usize;
        at.min(n.saturating_sub(1))
    }

    /// Normally distributed around 0 (Box and Muller, 1958).
    pub(crate) fn normal(&mut self, deviation: f64) -> f64 {
        let radius = (-2.0 * (1.0 - self.share()).ln()).sqrt();
        deviation * radius * (std::f64::consts::TAU * self.share()).cos()
    }
}
