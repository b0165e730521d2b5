//! Which rows a person wants to see. Filters act together: a row must pass all of them.

use std::collections::BTreeSet;

use farheard_scan::{Wanted, pass};

use super::doubt::Doubt;
use super::subject::{FarPath, Subject};
use crate::model::{Band, CallId, RowSet};
use crate::time::UtcTime;

/// What to keep; `None` everywhere keeps everything.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Filter {
    /// Only these bands.
    pub bands: Option<BTreeSet<Band>>,
    /// Only spots from this instant on.
    pub from: Option<UtcTime>,
    /// Only spots before this instant.
    pub to: Option<UtcTime>,
    /// Only far stations at least so far, km.
    pub min_km: Option<f64>,
    /// Only far stations at most so far, km.
    pub max_km: Option<f64>,
    /// Only far stations between these bearings, degrees clockwise from the first to the second, both included.
    pub bearing: Option<(f64, f64)>,
    /// Only spots with at least this SNR as reported, dB.
    pub min_snr_db: Option<f64>,
    /// Only spots with at most this SNR as reported, dB.
    pub max_snr_db: Option<f64>,
    /// Only these far calls.
    pub listeners: Option<BTreeSet<CallId>>,
    /// No spots that are doubtful for one of these reasons.
    pub without: BTreeSet<Doubt>,
}

impl Filter {
    /// Does it keep everything?
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The rows of the tested antenna that pass.
    ///
    /// A row whose distance, bearing or SNR is not known does not pass a filter on it.
    pub fn rows(&self, subject: &Subject<'_>) -> RowSet {
        if self.is_empty() {
            return subject.rows().clone();
        }
        // doubts are looked for only where they are left out
        let doubtful = (!self.without.is_empty()).then(|| subject.doubts().rows_of_any(&self.without));
        let levels = (self.min_snr_db.is_some() || self.max_snr_db.is_some())
            .then(|| (self.min_snr_db.unwrap_or(f64::NEG_INFINITY), self.max_snr_db.unwrap_or(f64::INFINITY)));
        let far = self.far(subject);
        let wanted = Wanted {
            far: far.as_deref(),
            groups: self.groups(),
            time_s: self.time_s(),
            levels,
            without: doubtful.as_ref().map(RowSet::bits),
        };
        let rows = subject.rows();
        rows.of_bits(pass(&subject.columns(), rows.bits(), &wanted))
    }

    /// The same without its bands.
    #[must_use]
    pub fn without_bands(&self) -> Self {
        Self { bands: None, ..self.clone() }
    }

    /// The same without its times and bands.
    #[must_use]
    pub fn without_times_and_bands(&self) -> Self {
        Self { from: None, to: None, bands: None, ..self.clone() }
    }

    /// Its bands, for scans: bit n is set if the band of [`Band::index`] n passes.
    pub(super) fn groups(&self) -> Option<u64> {
        self.bands.as_ref().map(|bands| bands.iter().fold(0, |all, band| all | 1 << band.index()))
    }

    /// Its times, for scans.
    pub(super) fn time_s(&self) -> Option<(u32, u64)> {
        let limits = || (self.from.map_or(0, UtcTime::second), self.to.map_or(u64::MAX, |to| u64::from(to.second())));
        (self.from.is_some() || self.to.is_some()).then(limits)
    }

    /// For each of [`Subject::far_calls`], whether it passes: decided once per call, not per row. `None` if all do.
    fn far(&self, subject: &Subject<'_>) -> Option<Vec<bool>> {
        let by_path = self.min_km.is_some() || self.max_km.is_some() || self.bearing.is_some();
        if self.listeners.is_none() && !by_path {
            return None;
        }
        let passes = |&call: &CallId| {
            let named = self.listeners.as_ref().is_none_or(|listeners| listeners.contains(&call));
            let there = |far: &FarPath| self.passes_path(far.path.distance_km, far.path.bearing_deg);
            named && (!by_path || subject.path(call).is_some_and(there))
        };
        Some(subject.far_calls().iter().map(passes).collect())
    }

    fn passes_path(&self, distance_km: f64, bearing_deg: Option<f64>) -> bool {
        self.min_km.is_none_or(|least| distance_km >= least)
            && self.max_km.is_none_or(|most| distance_km <= most)
            && self
                .bearing
                .is_none_or(|(from, to)| bearing_deg.is_some_and(|bearing| between_bearings(bearing, from, to)))
    }
}

/// Does a bearing lie clockwise from `from` to `to`, all in degrees? Equal ends mean that one bearing,
/// a whole turn apart means all of them.
pub fn between_bearings(bearing_deg: f64, from_deg: f64, to_deg: f64) -> bool {
    let width = to_deg - from_deg;
    let width = if width.abs() >= 360.0 { 360.0 } else { width.rem_euclid(360.0) };
    (bearing_deg - from_deg).rem_euclid(360.0) <= width
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn bearings_go_clockwise_and_through_north() {
        assert!(between_bearings(10.0, 350.0, 20.0));
        assert!(!between_bearings(340.0, 350.0, 20.0));
        assert!(between_bearings(90.0, 0.0, 360.0));
        assert!(between_bearings(355.0, -11.25, 11.25));
        assert!(!between_bearings(20.0, 90.0, 10.0));
    }
}
