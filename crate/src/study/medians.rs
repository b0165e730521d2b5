//! How strong spots were, per band and per sector of bearing: medians over spots.

use std::collections::BTreeSet;

use farheard_scan::{Levelled, Levels, Places, levels};

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

/// The levels of a set of spots, by band and sector: the medians of any of its bands come from them.
#[derive(Clone, Debug)]
pub struct Strengths {
    bands: Vec<Band>,
    found: Levelled,
}

impl Strengths {
    /// The levels of the rows; those that are not the subject's are left out.
    pub fn of(subject: &Subject<'_>, rows: &RowSet) -> Self {
        let bands = subject.bands().to_vec();
        let places = Places { of_group: &subject.place_of_band(), count: bands.len() };
        let rows = rows.and(subject.rows());
        let plus = crate::units::snr_at_1w(0.0, 0.0);
        let found = levels(&subject.columns(), rows.bits(), places, &sectors_of_far(subject), SECTORS, plus);
        Self { bands, found }
    }

    /// The medians of those spots that are on these bands, or on any.
    pub fn medians(&self, wanted: Option<&BTreeSet<Band>>) -> Medians {
        let mut by_sector = vec![Levels::default(); SECTORS];
        let mut bands = Vec::new();
        let of_bands = self.found.normalised.chunks_exact(SECTORS + 1);
        for ((&band, levels), normalised) in self.bands.iter().zip(&self.found.levels).zip(of_bands) {
            if wanted.is_some_and(|wanted| !wanted.contains(&band)) {
                continue;
            }
            let mut at_1w = Levels::default();
            for levels in normalised {
                at_1w.add_all(levels);
            }
            for (all, levels) in by_sector.iter_mut().zip(normalised) {
                all.add_all(levels);
            }
            bands.push(OfBand { band, median: BandMedian { snr_db: middle(levels), snr_1w_db: middle(&at_1w) } });
        }
        Medians { bands, sector_snr_1w_db: by_sector.iter().map(middle).collect() }
    }
}

/// The medians of the rows; those that are not the subject's are left out.
///
/// They are a scan of their own, for they take longer than all that is counted and are not always looked at.
pub fn medians(subject: &Subject<'_>, rows: &RowSet) -> Medians {
    Strengths::of(subject, rows).medians(None)
}

fn middle(levels: &Levels) -> Option<f64> {
    levels.median(|others| others.order_by(f64::total_cmp))
}
