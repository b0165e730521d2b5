//! The sun's place at each of many instants: spots share their slots, so each is worked out once.

use std::cell::Cell;

use super::sun::{SUNSET_DEG, SunPlace, SunState, TWILIGHT_END_DEG};
use crate::geography::sphere::Direction;
use crate::order::distinct_numbers;
use crate::time::UtcTime;

/// So many instants from the last one found on are looked at before the whole list is searched.
const NEXT: usize = 8;

/// The sun's elevation nowhere changes faster than this, degrees a second: it goes about the sky once a day
/// (15 degrees an hour), and its declination changes by 0.02 degrees an hour at most.
const FASTEST_DEG_S: f64 = 15.2 / 3600.0;

/// A place over which the state of the sun is asked for again and again.
#[derive(Clone, Debug)]
pub struct Watched {
    upright: Direction,
    /// Between these instants, excluded, the state cannot change.
    known: Cell<(i64, i64, SunState)>,
}

impl Watched {
    /// The place whose plumb line points in a direction, from [`crate::geography::Position::direction`].
    pub fn new(upright: Direction) -> Self {
        Self { upright, known: Cell::new((0, 0, SunState::Night)) }
    }
}

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
        let last = self.last.get();
        let next = self.times.get(last..).into_iter().flatten().take(NEXT).position(|&at| at == wanted);
        let found = next.map_or_else(|| self.times.partition_point(|&at| at < wanted), |ahead| last + ahead);
        self.last.set(found);
        let known = self.places.get(found).filter(|_| self.times.get(found) == Some(&wanted));
        known.copied().unwrap_or_else(|| SunPlace::at(time))
    }

    /// Day, twilight or night over a place at an instant: what [`SunPlace::state_over`] says, yet hardly ever worked out
    /// where the instants of a place are asked for in order.
    pub fn state_over(&self, place: &Watched, time: UtcTime) -> SunState {
        let at = time.unix_s();
        let (from, to, state) = place.known.get();
        if from < at && at < to {
            return state;
        }
        let elevation_deg = self.at(time).elevation_over_deg(place.upright);
        let state = SunState::of_elevation(elevation_deg);
        let to_limit = (elevation_deg - SUNSET_DEG).abs().min((elevation_deg - TWILIGHT_END_DEG).abs());
        #[expect(clippy::cast_possible_truncation, reason = "at most some hours, cut to whole seconds")]
        let holds_s = (to_limit / FASTEST_DEG_S) as i64;
        place.known.set((at - holds_s, at + holds_s, state));
        state
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
    use crate::geography::Position;

    #[test]
    fn a_watched_place_has_the_state_that_is_worked_out_for_each_instant() {
        // a year in steps that hit every hour of the day, at all latitudes and at either end of the longitudes
        for (lat_deg, lon_deg) in [(0.0, 0.0), (48.0, 16.0), (-36.9, 174.8), (66.6, -180.0), (78.2, 15.6), (-90.0, 0.0)]
        {
            let upright = Position { lat_deg, lon_deg }.direction();
            let suns = Suns::of(Vec::new());
            let place = Watched::new(upright);
            for step in 0..30_000_i64 {
                let time = UtcTime::from_unix_s(1_935_100_800 + step * 1_020).unwrap();
                assert_eq!(
                    suns.state_over(&place, time),
                    SunPlace::at(time).state_over(upright),
                    "{lat_deg} {}",
                    time.iso()
                );
            }
        }
    }

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
