//! Seeded chance: the same key gives the same draws on every machine.
//!
//! Generator: `SplitMix64` (G. Steele, D. Lea, C. Flood, 'Fast splittable pseudorandom number generators', 2014).
//! Each purpose draws from a stream of its own, named by a key, so that a change in one part of the scenario
//! leaves the draws of every other part alone.

const GOLDEN: u64 = 0x9e37_79b9_7f4a_7c15;

/// One stream of draws.
#[derive(Clone, Debug)]
pub struct Chance(u64);

impl Chance {
    /// The stream of a key, for instance a purpose, a listener, a band and a day.
    pub fn of(key: &[u64]) -> Self {
        let mut state = 0x0f0a_52ea_2031_1011;
        for &part in key {
            state = mix(state ^ mix(part.wrapping_add(GOLDEN)));
        }
        Self(state)
    }

    /// 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(GOLDEN);
        mix(self.0)
    }

    /// Even between 0 and 1, 1 never reached.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Even between two bounds.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// True with this probability.
    pub fn happens(&mut self, probability: f64) -> bool {
        self.unit() < probability
    }

    /// A whole number from 0 up to, not with, `count` (0 for a count of 0).
    pub fn below(&mut self, count: usize) -> usize {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a small count")]
        let index = (self.unit() * count as f64) as usize;
        index.min(count.saturating_sub(1))
    }

    /// Normal with mean 0 and standard deviation 1 (near enough: the sum of twelve even draws, which needs no
    /// logarithm and so is the same to the last bit everywhere).
    pub fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// A chain of `count` normal values, each keeping the share `memory` of the one before.
    pub fn chain(&mut self, count: usize, memory: f64) -> Vec<f64> {
        let fresh = (1.0 - memory * memory).sqrt();
        let mut value = self.normal();
        (0..count)
            .map(|_| {
                value = memory * value + fresh * self.normal();
                value
            })
            .collect()
    }
}

fn mix(mut z: u64) -> u64 {
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}
