//! How strong spots were, per band and per sector of bearing: medians over spots.

use farheard_scan::{Levels, Places, levels};

use super::bearings::{SECTORS, sectors_of_far};
use super::subject::Subject;
use crate::model::{Band, RowSet};
use crate::order::LightSort;

/// Medians of a set of spots.
#[derive(Clone, Debug, PartialEq)]
pub struct Medians {
    bands: Vec<OfBand>,
    /// Per sector, clockwise from north: SNR normalised to 1 W, dB.
    pub sector_snr_1w_db: Vec<Option<f64>>,
}

/// Medians over the spots of one band; `None` where no spot tells.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct BandMedian {
    /// SNR as reported, dB in 2500 Hz.
    pub snr_db: Option<f64>,
    /// SNR normalised to 1 W, dB; spots without a power do not count.
    pub snr_1w_db: Option<f64>,
}

#[derive(Clone, Debug, PartialEq)]
struct OfBand {
    band: Band,
    median: BandMedian,
}

impl Medians {
    /// Those of a band; of one without spots none is known.
    pub fn band(&self, band: Band) -> BandMedian {
        self.bands.iter().find(|of| of.band == band).map(|of| of.median).unwrap_or_default()
    }
}

/// The medians of the rows; those that are not the subject's are left out.
///
/// They are a scan of their own, for they take longer than all that is counted and are not always looked at.
pub fn medians(subject: &Subject<'_>, rows: &RowSet) -> Medians {
    let bands = subject.bands();
    let places = Places { of_group: &subject.place_of_band(), count: bands.len() };
    let rows = rows.and(subject.rows());
    let found = levels(&subject.columns(), rows.bits(), places, &sectors_of_far(subject), SECTORS);
    let of_band = |((&band, snr), at_1w): ((&Band, &Levels), &Levels)| OfBand {
        band,
        median: BandMedian { snr_db: middle(snr), snr_1w_db: middle(at_1w) },
    };
    Medians {
        bands: bands.iter().zip(&found.levels).zip(&found.normalised).map(of_band).collect(),
        sector_snr_1w_db: found.by_sector.iter().map(middle).collect(),
    }
}

fn middle(levels: &Levels) -> Option<f64> {
    levels.median(|others| others.order_by(f64::total_cmp))
}
