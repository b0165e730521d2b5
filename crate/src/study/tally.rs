//! One scan over the rows: counts per far call and band, and the hours in which each was heard.

use farheard_scan::{Cell, Counted, Grid};

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
    /// Far calls that occur, in order of first appearance in all rows of the subject.
    pub far: Vec<FarTally>,
    /// First and last instant, if there is any spot.
    pub span: Option<(UtcTime, UtcTime)>,
    /// Spots per band of [`Tally::bands`] and UTC hour.
    pub spots_by_hour: Vec<[usize; 24]>,
}

impl Tally {
    /// Counts the rows; those that are not the subject's are left out.
    pub fn of(subject: &Subject<'_>, rows: &RowSet) -> Self {
        let grid = Grid { start_s: 0, step_s: u32::MAX, steps: 2 };
        let cube = subject.cube(&rows.and(subject.rows()), grid, grid.steps);
        Self::from_counted(subject, &cube.whole().0)
    }

    /// What was counted by far call and band.
    pub(super) fn from_counted(subject: &Subject<'_>, counted: &Counted) -> Self {
        let (bands, Counted { cells, by_hour }) = (subject.bands(), counted);
        // bands without a spot in these rows are left out
        let here: Vec<usize> =
            (0..bands.len()).filter(|&place| by_hour[place].iter().any(|&spots| spots > 0)).collect();
        let heard = |cell: &Cell| Heard {
            spots: cell.rows,
            hours: cell.hours,
            best_snr_db: (!cell.best.is_nan()).then(|| f64::from(cell.best)),
        };
        let far = subject.far_calls().iter().zip(cells.chunks(bands.len().max(1)));
        let far: Vec<FarTally> = far
            .filter(|(_, cells)| cells.iter().any(|cell| cell.rows > 0))
            .map(|(&call, cells)| FarTally {
                call,
                first: UtcTime::from_second(cells.iter().map(|cell| cell.first_s).min().unwrap_or_default()),
                last: UtcTime::from_second(cells.iter().map(|cell| cell.last_s).max().unwrap_or_default()),
                bands: here.iter().map(|&place| heard(&cells[place])).collect(),
            })
            .collect();
        let spans = far.iter().map(|far| (far.first, far.last));
        Self {
            spots: by_hour.iter().flatten().sum(),
            bands: here.iter().map(|&place| bands[place]).collect(),
            span: spans.reduce(|a, b| (a.0.min(b.0), a.1.max(b.1))),
            spots_by_hour: here.iter().map(|&place| by_hour[place]).collect(),
            far,
        }
    }

    /// Bands with spots in every hour of the UTC day.
    pub fn round_the_clock(&self) -> Vec<Band> {
        let full = |hours: &[usize; 24]| hours.iter().all(|&spots| spots > 0);
        self.bands.iter().zip(&self.spots_by_hour).filter(|(_, hours)| full(hours)).map(|(&band, _)| band).collect()
    }
}
