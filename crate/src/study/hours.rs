//! Per band and UTC hour of the day: spots and far stations, all days together.

use serde::Serialize;

use super::tally::Tally;
use crate::model::Band;

/// One band over the 24 hours of the UTC day.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct BandHours {
    /// The band.
    pub band: Band,
    /// Spots in each hour.
    pub spots: [usize; 24],
    /// Far stations in each hour.
    pub listeners: [usize; 24],
}

/// The hours of every band that occurs, in order of wavelength.
pub fn hours(tally: &Tally) -> Vec<BandHours> {
    tally
        .bands
        .iter()
        .enumerate()
        .map(|(place, &band)| {
            let mut listeners = [0; 24];
            for far in &tally.far {
                let mut left = far.bands[place].hours;
                while left != 0 {
                    listeners[left.trailing_zeros() as usize] += 1;
                    left &= left - 1;
                }
            }
            BandHours { band, spots: tally.spots_by_hour[place], listeners }
        })
        .collect()
}
