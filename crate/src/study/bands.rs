//! Per band: how many, how far, how strong.

use super::levels::Levels;
use super::reach::{Farthest, of_far};
use super::subject::Subject;
use super::tally::{Tally, places};
use crate::model::{Band, RowSet};

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
    /// Median over spots of the SNR as reported, dB in 2500 Hz.
    pub median_snr_db: Option<f64>,
    /// Median over spots of the SNR normalised to 1 W, dB; spots without a power do not count.
    pub median_snr_1w_db: Option<f64>,
}

/// Results of every band that occurs, in order of wavelength.
pub fn bands(subject: &Subject<'_>, rows: &RowSet, tally: &Tally) -> Vec<BandResult> {
    let table = subject.table();
    let mut levels: Vec<(Levels, Levels)> = vec![Default::default(); tally.bands.len()];
    let place_of_band = places(&tally.bands);
    for row in rows.iter() {
        let (reported, normalised) = &mut levels[place_of_band[table.band(row).index()]];
        reported.add(table.snr_db(row));
        normalised.add(table.snr_1w_db(row));
    }
    let mut results = Vec::new();
    for ((place, &band), (reported, normalised)) in tally.bands.iter().enumerate().zip(levels) {
        let reach = of_far(subject, tally.far.iter().map(|far| (far, far.bands[place].spots as usize)));
        results.push(BandResult {
            band,
            spots: tally.spots_by_hour[place].iter().sum(),
            listeners: tally.far.iter().filter(|far| far.bands[place].spots > 0).count(),
            farthest: reach.farthest,
            median_km: reach.median_km,
            p90_km: reach.p90_km,
            median_snr_db: reported.median(),
            median_snr_1w_db: normalised.median(),
        });
    }
    results
}
