//! One scan over the rows: counts per far call and band, and the hours in which each was heard.

use farheard_scan::{Asked, Cell, Levels, count};

use super::bearings::{SECTORS, sectors_of_calls};
use super::subject::Subject;
use crate::model::{Band, CallId, RowSet};
use crate::time::UtcTime;

/// What one far call reported (or sent) on one band.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Heard {
    /// Spots.
    pub spots: u32,
    /// Bit n is set if there is a spot in UTC hour n of any day.
    pub hours: u32,
    /// Strongest SNR in dB as reported; `None` if none of them gives one.
    pub best_snr_db: Option<f64>,
}

/// One far call that is in the rows.
#[derive(Clone, Debug, PartialEq)]
pub struct FarTally {
    /// The call.
    pub call: CallId,
    /// First and last spot.
    pub first: UtcTime,
    /// Last spot.
    pub last: UtcTime,
    /// Per band, in the order of [`Tally::bands`].
    pub bands: Vec<Heard>,
}

impl FarTally {
    /// Spots on all bands.
    pub fn spots(&self) -> usize {
        self.bands.iter().map(|heard| heard.spots as usize).sum()
    }

    /// Strongest SNR on any band.
    pub fn best_snr_db(&self) -> Option<f64> {
        self.bands.iter().filter_map(|heard| heard.best_snr_db).max_by(f64::total_cmp)
    }
}

/// The counts of one set of rows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tally {
    /// Spots in all.
    pub spots: usize,
    /// Bands that occur, in order of wavelength, other and unknown last.
    pub bands: Vec<Band>,
    /// Far calls that occur, in order of first appearance.
    pub far: Vec<FarTally>,
    /// First and last instant, if there is any spot.
    pub span: Option<(UtcTime, UtcTime)>,
    /// Spots per band of [`Tally::bands`] and UTC hour.
    pub spots_by_hour: Vec<[usize; 24]>,
    /// Median over spots of the SNR per band of [`Tally::bands`], as reported and normalised to 1 W, dB.
    pub(super) median_snr_db: Vec<(Option<f64>, Option<f64>)>,
    /// Median over spots of the SNR normalised to 1 W per sector of bearing, dB.
    pub(super) sector_snr_1w_db: Vec<Option<f64>>,
}

impl Tally {
    /// Counts the rows; those that are not the subject's are left out.
    pub fn of(subject: &Subject<'_>, rows: &RowSet) -> Self {
        let bands = subject.bands();
        let mut place_of_group = [0; Band::COUNT];
        for (place, band) in bands.iter().enumerate() {
            place_of_group[band.index()] = place;
        }
        let asked = Asked {
            place_of_group: &place_of_group,
            places: bands.len(),
            sector_of_call: &sectors_of_calls(subject),
            sectors: SECTORS,
        };
        let counted = count(&subject.columns(), rows.and(subject.rows()).bits(), &asked);
        // bands without a spot in these rows are left out
        let here: Vec<usize> =
            (0..bands.len()).filter(|&place| counted.by_hour[place].iter().any(|&spots| spots > 0)).collect();
        let heard = |cell: &Cell| Heard {
            spots: cell.rows,
            hours: cell.hours,
            best_snr_db: (!cell.best.is_nan()).then(|| f64::from(cell.best)),
        };
        let far = counted.calls.iter().zip(&counted.spans).zip(counted.cells.chunks(bands.len().max(1)));
        Self {
            spots: counted.rows,
            bands: here.iter().map(|&place| bands[place]).collect(),
            far: far
                .map(|((&call, &(first, last)), cells)| FarTally {
                    call: CallId(call),
                    first: UtcTime::from_second(first),
                    last: UtcTime::from_second(last),
                    bands: here.iter().map(|&place| heard(&cells[place])).collect(),
                })
                .collect(),
            span: counted
                .spans
                .iter()
                .copied()
                .reduce(|a, b| (a.0.min(b.0), a.1.max(b.1)))
                .map(|(first, last)| (UtcTime::from_second(first), UtcTime::from_second(last))),
            spots_by_hour: here.iter().map(|&place| counted.by_hour[place]).collect(),
            median_snr_db: here
                .iter()
                .map(|&place| (counted.levels[place].median(), counted.normalised[place].median()))
                .collect(),
            sector_snr_1w_db: counted.by_sector.iter().map(Levels::median).collect(),
        }
    }

    /// Bands with spots in every hour of the UTC day.
    pub fn round_the_clock(&self) -> Vec<Band> {
        let full = |hours: &[usize; 24]| hours.iter().all(|&spots| spots > 0);
        self.bands.iter().zip(&self.spots_by_hour).filter(|(_, hours)| full(hours)).map(|(&band, _)| band).collect()
    }
}
