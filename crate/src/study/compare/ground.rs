//! What two runs have in common, and what is left out of the comparison on either side.

use super::material::Material;
use crate::order::distinct_numbers;
use crate::study::pairs::{Pair, Report};

/// What both have, and what only one has.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Shared {
    /// In both.
    pub both: usize,
    /// In A only.
    pub only_a: usize,
    /// In B only.
    pub only_b: usize,
}

impl Shared {
    /// In either.
    pub fn all(self) -> usize {
        self.both + self.only_a + self.only_b
    }

    /// Of what is sorted and in neither twice.
    pub(super) fn of<T: Ord>(a: &[T], b: &[T]) -> Self {
        let both = a.iter().filter(|item| b.binary_search(item).is_ok()).count();
        Self { both, only_a: a.len() - both, only_b: b.len() - both }
    }
}

/// What two runs have in common, from their reports that carry a level.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct SharedGround {
    /// Clock hours of a date with reports.
    pub hours: Shared,
    /// Hours of the UTC day with reports, on whatever date.
    pub hours_of_day: Shared,
    /// Bands.
    pub bands: Shared,
    /// Listeners.
    pub listeners: Shared,
    /// Pairs; and reports of A and of B that are in none.
    ///
    /// On several days each a report may be in several pairs.
    pub pairs: Shared,
    /// Safe pairs that are used.
    pub safe: usize,
    /// Pairs too near to the floor.
    pub near_floor: usize,
    /// Safe pairs without the control at the same listener, band and hour; 0 without a control.
    pub without_control: usize,
}

/// What the reports and pairs of a comparison have in common.
pub(super) fn shared_ground(material: &Material) -> SharedGround {
    let (a, b) = (&material.a, &material.b);
    let shared = |key: fn(&Report) -> i64| {
        Shared::of(&distinct_numbers(a.iter().map(key)), &distinct_numbers(b.iter().map(key)))
    };
    let all = &material.pairs;
    // pairs are in order of listener and band
    let paired = |time: fn(&Pair) -> i64| -> usize {
        let groups = all.chunk_by(|x, y| x.listener == y.listener && x.band == y.band);
        groups.map(|own| distinct_numbers(own.iter().map(time)).len()).sum()
    };
    let chosen = &material.safe.chosen;
    let used = chosen.iter().filter(|&&at| material.without_control(&all[at]).is_some()).count();
    SharedGround {
        hours: shared(|report| report.time.unix_s().div_euclid(3600)),
        hours_of_day: shared(|report| i64::from(report.time.second_of_day() / 3600)),
        bands: shared(|report| report.band.order()),
        listeners: shared(|report| i64::from(report.listener.0)),
        pairs: Shared {
            both: all.len(),
            only_a: a.len() - paired(|pair| pair.time_a.unix_s()),
            only_b: b.len() - paired(|pair| pair.time_b.unix_s()),
        },
        safe: used,
        near_floor: all.len() - chosen.len(),
        without_control: chosen.len() - used,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_both_have_and_what_only_one_has_add_up() {
        let shared = Shared::of(&[1, 2, 3], &[3, 4]);
        assert_eq!(shared, Shared { both: 1, only_a: 2, only_b: 1 });
        assert_eq!(shared.all(), 4);
    }
}
