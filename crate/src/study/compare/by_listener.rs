//! The difference at each listener: where it comes from, and whether single listeners stand out.

use super::material::Material;
use crate::model::CallId;
use crate::study::interval::{Estimate, OneOfMany, clustered, mark_holding};
use crate::study::pairs::Pair;
use crate::study::subject::Subject;

/// How far B is above A at one listener, over all bands, from its pairs among the safe ones of the whole comparison.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ListenerDifference {
    /// Its call.
    pub call: CallId,
    /// Bearing at the tested station in degrees, if both places are known and one is defined.
    pub bearing_deg: Option<f64>,
    /// Distance in km, if both places are known.
    pub distance_km: Option<f64>,
    /// Bands with safe pairs.
    pub bands: usize,
    /// Safe pairs.
    pub pairs: usize,
    /// One-hour blocks among them.
    pub blocks: usize,
    /// Mean difference B less A, dB.
    pub difference_db: f64,
    /// Lower end of the 95 % interval, dB; `None` where all pairs fall into one hour.
    pub low_db: Option<f64>,
    /// Upper end, dB.
    pub high_db: Option<f64>,
    /// Two-sided probability of so large a difference by chance; 1 where it cannot be told.
    pub probability: f64,
    /// Does it hold when all listeners are looked at together (Holm's correction)?
    pub holds_together: bool,
}

impl OneOfMany for ListenerDifference {
    fn tested(&self) -> Option<f64> {
        self.low_db.map(|_| self.probability)
    }

    fn mark(&mut self) {
        self.holds_together = true;
    }
}

/// All listeners with safe pairs, in order of call.
///
/// Safe pairs are chosen over all listeners together: a margin from a handful of pairs would hang on chance.
/// Pairs of one hour move together; those of one listener are what is looked at.
pub(super) fn by_listener(subject: &Subject<'_>, material: &Material) -> Vec<ListenerDifference> {
    let chosen = material.safe.chosen.iter();
    let used: Vec<Pair> = chosen.filter_map(|&at| material.without_control(&material.pairs[at])).collect();
    // in order of call, since all pairs are
    let mut listeners: Vec<ListenerDifference> =
        used.chunk_by(|a, b| a.listener == b.listener).filter_map(|own| difference(subject, material, own)).collect();
    mark_holding(listeners.iter_mut());
    listeners
}

/// The difference of pairs of one listener.
fn difference(subject: &Subject<'_>, material: &Material, own: &[Pair]) -> Option<ListenerDifference> {
    let call = own.first()?.listener;
    let of_all = clustered(&own.iter().map(|pair| material.grouped(pair)).collect::<Vec<_>>())?;
    let estimate = Estimate { degrees: of_all.blocks as f64 - 1.0, ..of_all };
    let interval = material.interval(estimate, &mut own.iter());
    let path = subject.path(call).map(|far| far.path);
    // pairs of one listener are in order of band
    let bands = own.chunk_by(|a, b| a.band == b.band).count();
    Some(ListenerDifference {
        call,
        bearing_deg: path.and_then(|path| path.bearing_deg),
        distance_km: path.map(|path| path.distance_km),
        bands,
        pairs: own.len(),
        blocks: estimate.blocks,
        difference_db: interval.mean_db,
        low_db: interval.ends().map(|(low, _)| low),
        high_db: interval.ends().map(|(_, high)| high),
        probability: interval.probability,
        holds_together: false,
    })
}
