//! Levels of many spots, kept so that their median costs next to nothing: whole decibels are counted, others listed.

use super::statistics::median;

/// Whole levels from so many dB on are counted, up to as many dB; no report is outside.
const LEAST: i32 = -256;
/// How many whole levels are counted.
const COUNTED: usize = 512;

/// Levels in dB.
#[derive(Clone, Debug)]
pub(super) struct Levels {
    whole: Vec<u32>,
    other: Vec<f64>,
}

impl Default for Levels {
    fn default() -> Self {
        Self { whole: vec![0; COUNTED], other: Vec::new() }
    }
}

impl Levels {
    /// Adds the level of a spot, if it has one.
    pub(super) fn add(&mut self, level_db: Option<f64>) {
        let Some(db) = level_db else { return };
        #[expect(clippy::cast_possible_truncation, reason = "compared with the level just below")]
        let whole = db as i32;
        let counted = usize::try_from(whole.wrapping_sub(LEAST)).ok().and_then(|at| self.whole.get_mut(at));
        match counted {
            Some(count) if f64::from(whole).to_bits() == (db + 0.0).to_bits() => *count += 1,
            _ => self.other.push(db),
        }
    }

    /// The median, dB; `None` without levels.
    pub(super) fn median(mut self) -> Option<f64> {
        let level = |at: usize| f64::from(LEAST) + at as f64;
        let counted: usize = self.whole.iter().map(|&count| count as usize).sum();
        if !self.other.is_empty() {
            for (at, &count) in self.whole.iter().enumerate() {
                self.other.extend(std::iter::repeat_n(level(at), count as usize));
            }
            return median(&mut self.other);
        }
        let last = counted.checked_sub(1)?;
        // the level of a place in order
        let at = |place: usize| {
            let mut before = 0;
            let found = self.whole.iter().position(|&count| {
                before += count as usize;
                before > place
            });
            level(found.unwrap_or(0))
        };
        Some(f64::midpoint(at(last / 2), at(counted / 2)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_that_of_the_list() {
        let lists: [&[f64]; 7] = [
            &[],
            &[-3.0],
            &[-3.0, 4.0],
            &[-28.0, -28.0, 0.0, 7.0, -0.0],
            &[-21.5, -3.0, -3.0, 12.0],
            &[1e9, -1e9, 255.0, -256.0],
            &[300.0, -300.0, 0.25],
        ];
        for list in lists {
            let mut levels = Levels::default();
            levels.add(None);
            for &level in list {
                levels.add(Some(level));
            }
            assert_eq!(levels.median(), median(&mut list.to_vec()), "{list:?}");
        }
    }
}
