//! How far: each far station counts once, at its own place.

use std::cmp::Ordering;

use serde::Serialize;

use super::statistics::quantile;
use super::subject::Subject;
use super::tally::{FarTally, Tally};
use crate::model::CallId;

/// Edges of the distance classes in km. Under 500 km the wave mostly comes down steeply
/// (near-vertical incidence; common practice, no source); the last class holds the point opposite.
pub const CLASS_EDGES_KM: [f64; 9] = [0.0, 500.0, 1000.0, 2000.0, 4000.0, 8000.0, 12000.0, 16000.0, 20100.0];

/// A far station that is farther than all others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Farthest {
    /// Its call.
    pub call: CallId,
    /// Distance in km.
    pub km: f64,
    /// Bearing at the tested station in degrees, if one is defined.
    pub bearing_deg: Option<f64>,
    /// Spots of it.
    pub spots: usize,
    /// Its strongest SNR as reported, dB.
    pub best_snr_db: Option<f64>,
}

/// Spots and listeners from one distance up to the next.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct DistanceClass {
    /// Lower edge in km, included.
    pub from_km: f64,
    /// Upper edge in km, excluded.
    pub to_km: f64,
    /// Spots.
    pub spots: usize,
    /// Far stations.
    pub listeners: usize,
}

/// The reach of a set of spots.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Reach {
    /// The farthest station.
    pub farthest: Option<Farthest>,
    /// The farthest station with two spots or more: one report alone is weak evidence.
    pub farthest_repeated: Option<Farthest>,
    /// Half of the stations lie within this, km.
    pub median_km: Option<f64>,
    /// Nine in ten lie within this, km.
    pub p90_km: Option<f64>,
    /// Distance classes, near to far.
    pub classes: Vec<DistanceClass>,
    /// Far stations whose place is known.
    pub placed: usize,
}

/// The reach over all bands.
pub fn reach(subject: &Subject<'_>, tally: &Tally) -> Reach {
    of_far(subject, tally.far.iter().map(|far| (far, far.spots())))
}

/// The reach of far stations with their number of spots; those without spots do not count.
pub(super) fn of_far<'t>(subject: &Subject<'_>, far: impl Iterator<Item = (&'t FarTally, usize)>) -> Reach {
    let mut distances = Vec::new();
    let mut result = Reach {
        classes: CLASS_EDGES_KM
            .windows(2)
            .map(|edge| DistanceClass { from_km: edge[0], to_km: edge[1], spots: 0, listeners: 0 })
            .collect(),
        ..Reach::default()
    };
    for (far, spots) in far.filter(|&(_, spots)| spots > 0) {
        let Some(path) = subject.path(far.call).map(|far| far.path) else { continue };
        let km = path.distance_km;
        distances.push(km);
        if let Some(class) = result.classes.iter_mut().find(|class| class.from_km <= km && km < class.to_km) {
            class.spots += spots;
            class.listeners += 1;
        }
        let this =
            Farthest { call: far.call, km, bearing_deg: path.bearing_deg, spots, best_snr_db: far.best_snr_db() };
        keep_farther(subject, &mut result.farthest, this);
        if spots >= 2 {
            keep_farther(subject, &mut result.farthest_repeated, this);
        }
    }
    result.placed = distances.len();
    result.median_km = quantile(&mut distances, 0.5);
    result.p90_km = quantile(&mut distances, 0.9);
    result
}

/// Among equal distances the call first in the alphabet stays, so that the order of rows decides nothing.
fn keep_farther(subject: &Subject<'_>, best: &mut Option<Farthest>, this: Farthest) {
    let stations = subject.table().stations();
    let earlier = |best: Farthest| stations.call(this.call) < stations.call(best.call);
    let nearer_or_later = |best: Farthest| match best.km.total_cmp(&this.km) {
        Ordering::Less => true,
        Ordering::Equal => earlier(best),
        Ordering::Greater => false,
    };
    if best.is_none_or(nearer_or_later) {
        *best = Some(this);
    }
}
