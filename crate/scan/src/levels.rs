//! Levels of many spots, kept so that their median costs next to nothing: whole ones are counted, others listed.

/// Whole levels from so many dB on are counted, up to as many dB; no report is outside.
const LEAST: i32 = -256;
/// How many whole levels are counted.
const COUNTED: usize = 512;

/// Levels in dB.
#[derive(Clone, Debug, PartialEq)]
pub struct Levels {
    whole: Vec<u32>,
    other: Vec<f64>,
}

impl Default for Levels {
    fn default() -> Self {
        Self { whole: vec![0; COUNTED], other: Vec::new() }
    }
}

impl Levels {
    /// Adds a level; NaN is none.
    #[inline]
    pub(crate) fn add(&mut self, db: f64) {
        #[expect(clippy::cast_possible_truncation, reason = "compared with the level just below")]
        let whole = db as i32;
        let place = usize::try_from(whole.wrapping_sub(LEAST)).unwrap_or(COUNTED);
        match self.whole.get_mut(place) {
            Some(count) if f64::from(whole).to_bits() == (db + 0.0).to_bits() => *count += 1,
            _ if db.is_nan() => {}
            _ => self.other.push(db),
        }
    }

    /// Adds all levels of others.
    pub fn add_all(&mut self, more: &Self) {
        for (count, more) in self.whole.iter_mut().zip(&more.whole) {
            *count += more;
        }
        self.other.extend(&more.other);
    }

    /// The median: half way between the two in the middle of an even number. `None` without levels.
    ///
    /// `sort` sorts numbers; a sort of its own would weigh as much as all the rest here.
    pub fn median(&self, sort: impl FnOnce(&mut [f64])) -> Option<f64> {
        let counted: usize = self.whole.iter().map(|&count| count as usize).sum();
        let last = (counted + self.other.len()).checked_sub(1)?;
        let mut other = self.other.clone();
        sort(&mut other);
        // the level of a place in order: before it stand the lower ones, counted and listed
        let at = |place: usize| {
            let (mut counted, mut listed) = (0, 0);
            for (level, &count) in (LEAST..).map(f64::from).zip(&self.whole) {
                while listed < other.len() && other[listed] < level {
                    if counted + listed == place {
                        return other[listed];
                    }
                    listed += 1;
                }
                counted += count as usize;
                if counted + listed > place {
                    return level;
                }
            }
            other.get(place - counted).copied().unwrap_or(f64::NAN)
        };
        Some(f64::midpoint(at(last / 2), at(last.div_ceil(2))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_median_is_that_of_the_list() {
        let lists: [&[f64]; 8] = [
            &[],
            &[-3.0],
            &[-3.0, 4.0],
            &[-28.0, -28.0, 0.0, 7.0, -0.0],
            &[-21.5, -3.0, -3.0, 12.0],
            &[1e9, -1e9, 255.0, -256.0],
            &[300.0, -300.0, 0.25],
            &[300.0, 301.5, -4.0, 400.0],
        ];
        for list in lists {
            let mut levels = Levels::default();
            levels.add(f64::NAN);
            for &level in list {
                levels.add(level);
            }
            let mut sorted = list.to_vec();
            sorted.sort_by(f64::total_cmp);
            let last = sorted.len().checked_sub(1);
            let median = last.map(|last| f64::midpoint(sorted[last / 2], sorted[last.div_ceil(2)]));
            assert_eq!(levels.median(|levels| levels.sort_by(f64::total_cmp)), median, "{list:?}");
        }
    }
}
