//! The sun's place at each of many instants: spots share their slots, so each is worked out once.

use std::cell::Cell;

use super::sun::SunPlace;
use crate::order::distinct_numbers;
use crate::time::UtcTime;

/// The sun at the instants it was made for.
#[derive(Clone, Debug)]
pub struct Suns {
    /// Seconds since 1970, each once, in order.
    times: Vec<i64>,
    places: Vec<SunPlace>,
    /// Where the last one asked for was found: the next is mostly near.
    last: Cell<usize>,
}

impl Suns {
    /// The sun at instants in seconds since 1970, in any order and as often as they come.
    pub fn of(unix_s: Vec<i64>) -> Self {
        let times = distinct_numbers(unix_s.into_iter());
        let instants = times.iter().filter_map(|&at| UtcTime::from_unix_s(at));
        Self { places: instants.map(SunPlace::at).collect(), times, last: Cell::new(0) }
    }

    /// The sun at an instant; one it was not made for is worked out anew.
    pub fn at(&self, time: UtcTime) -> SunPlace {
        let wanted = time.unix_s();
        let mut found = self.last.get();
        if self.times.get(found) != Some(&wanted) {
            found += 1;
        }
        if self.times.get(found) != Some(&wanted) {
            found = self.times.partition_point(|&at| at < wanted);
        }
        self.last.set(found);
        let known = self.places.get(found).filter(|_| self.times.get(found) == Some(&wanted));
        known.copied().unwrap_or_else(|| SunPlace::at(time))
    }

    /// How many different instants.
    pub fn len(&self) -> usize {
        self.times.len()
    }

    /// Was it made for none?
    pub fn is_empty(&self) -> bool {
        self.times.is_empty()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn it_is_the_sun_of_that_instant_whether_asked_for_or_not() {
        let times = [1_935_100_800, 1_935_100_920, 1_935_187_200, 1_935_100_800];
        let suns = Suns::of(times.to_vec());
        assert_eq!((suns.len(), suns.is_empty(), Suns::of(Vec::new()).is_empty()), (3, false, true));
        for at in [times[2], times[0], times[1], times[1], times[2], times[0] - 60, times[2] + 60, times[0]] {
            let time = UtcTime::from_unix_s(at).unwrap();
            assert_eq!(suns.at(time), SunPlace::at(time));
        }
    }
}
