//! Every far station as one entry: what a mark on the disc, its card and its table row show.

use super::subject::{FarPath, Subject};
use super::tally::{Heard, Tally};
use crate::model::{Band, CallId};
use crate::time::UtcTime;

/// One far station.
#[derive(Clone, Debug, PartialEq)]
pub struct Listener {
    /// Its call.
    pub call: CallId,
    /// The path to it, if both places are known.
    pub far: Option<FarPath>,
    /// Spots on all bands.
    pub spots: usize,
    /// The band with most spots (the longest wave among equals).
    pub main_band: Band,
    /// What was heard on each band that has spots, in order of wavelength.
    pub bands: Vec<(Band, Heard)>,
    /// First spot.
    pub first: UtcTime,
    /// Last spot.
    pub last: UtcTime,
}

impl Listener {
    /// Strongest SNR on any band, dB as reported.
    pub fn best_snr_db(&self) -> Option<f64> {
        self.bands.iter().filter_map(|(_, heard)| heard.best_snr_db).max_by(f64::total_cmp)
    }
}

/// All far stations, farthest first; those without a known place last, in order of call.
pub fn listeners(subject: &Subject<'_>, tally: &Tally) -> Vec<Listener> {
    let mut place_of_call = vec![None; subject.table().stations().calls()];
    for (place, far) in tally.far.iter().enumerate() {
        place_of_call[far.call.index()] = Some(place);
    }
    // room for all at once: growing would move them again and again
    let mut listeners = Vec::with_capacity(tally.far.len());
    for place in subject.farthest_first().iter().filter_map(|call| place_of_call[call.index()]) {
        let far = &tally.far[place];
        let heard = tally.bands.iter().copied().zip(far.bands.iter().copied());
        let mut bands: Vec<(Band, Heard)> = Vec::with_capacity(far.bands.len());
        bands.extend(heard.filter(|(_, heard)| heard.spots > 0));
        let main = bands.iter().rev().max_by_key(|(_, heard)| heard.spots);
        listeners.push(Listener {
            call: far.call,
            far: subject.path(far.call).copied(),
            spots: far.spots(),
            main_band: main.map_or(Band::UNKNOWN, |&(band, _)| band),
            bands,
            first: far.first,
            last: far.last,
        });
    }
    listeners
}
