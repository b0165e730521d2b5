//! One scan over the rows: counts per far call and band, and the hours in which each was heard.

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

/// Where each band stands in a list of bands, by its index.
pub(super) fn places(bands: &[Band]) -> [usize; Band::COUNT] {
    let mut places = [0; Band::COUNT];
    for (place, band) in bands.iter().enumerate() {
        places[band.index()] = place;
    }
    places
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
}

impl Tally {
    /// Counts the rows.
    pub fn of(subject: &Subject<'_>, rows: &RowSet) -> Self {
        let table = subject.table();
        let mut present = [false; Band::COUNT];
        for row in rows.iter() {
            present[table.band(row).index()] = true;
        }
        let bands: Vec<Band> = Band::all().filter(|band| present[band.index()]).collect();
        let place_of_band = places(&bands);
        let mut place_of_call: Vec<Option<usize>> = vec![None; table.stations().calls()];
        let mut tally = Self { spots_by_hour: vec![[0; 24]; bands.len()], ..Self::default() };
        for row in rows.iter() {
            let time = table.time(row);
            let call = subject.far_call(row);
            let place = *place_of_call[call.index()].get_or_insert_with(|| {
                tally.far.push(FarTally { call, first: time, last: time, bands: vec![Heard::default(); bands.len()] });
                tally.far.len() - 1
            });
            let band = place_of_band[table.band(row).index()];
            let far = &mut tally.far[place];
            far.first = far.first.min(time);
            far.last = far.last.max(time);
            let heard = &mut far.bands[band];
            heard.spots += 1;
            heard.hours |= 1 << time.hour();
            if let Some(snr) = table.snr_db(row) {
                heard.best_snr_db = Some(heard.best_snr_db.map_or(snr, |best| best.max(snr)));
            }
            tally.spots += 1;
            tally.spots_by_hour[band][usize::from(time.hour())] += 1;
            tally.span = Some(tally.span.map_or((time, time), |(first, last)| (first.min(time), last.max(time))));
        }
        tally.bands = bands;
        tally
    }

    /// Bands with spots in every hour of the UTC day.
    pub fn round_the_clock(&self) -> Vec<Band> {
        let full = |hours: &[usize; 24]| hours.iter().all(|&spots| spots > 0);
        self.bands.iter().zip(&self.spots_by_hour).filter(|(_, hours)| full(hours)).map(|(&band, _)| band).collect()
    }
}
