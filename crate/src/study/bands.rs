//! Per band: how many, and how far.

use super::reach::{Farthest, of_far};
use super::subject::Subject;
use super::tally::Tally;
use crate::model::Band;

/// One band of a set of spots.
#[derive(Clone, Debug, PartialEq)]
pub struct BandResult {
    /// The band.
    pub band: Band,
    /// Spots.
    pub spots: usize,
    /// Far stations.
    pub listeners: usize,
    /// The farthest station on this band.
    pub farthest: Option<Farthest>,
    /// Half of its stations lie within this, km.
    pub median_km: Option<f64>,
    /// Nine in ten lie within this, km.
    pub p90_km: Option<f64>,
}

/// Results of every band that occurs, in order of wavelength.
pub fn bands(subject: &Subject<'_>, tally: &Tally) -> Vec<BandResult> {
    let mut results = Vec::new();
    for (place, &band) in tally.bands.iter().enumerate() {
        let reach = of_far(subject, tally.far.iter().map(|far| (far, far.bands[place].spots as usize)));
        results.push(BandResult {
            band,
            spots: tally.spots_by_hour[place].iter().sum(),
            listeners: tally.far.iter().filter(|far| far.bands[place].spots > 0).count(),
            farthest: reach.farthest,
            median_km: reach.median_km,
            p90_km: reach.p90_km,
        });
    }
    results
}
