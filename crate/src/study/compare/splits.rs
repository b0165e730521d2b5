//! The parts a comparison is told by: bands, sectors of bearing, distances, hours of the day.

use std::collections::BTreeSet;

use super::Part;
use super::material::Material;
use crate::model::Band;
use crate::study::bearings::{WIDTH_DEG, sector_of};
use crate::study::interval::holm;
use crate::study::reach::CLASS_EDGES_KM;
use crate::study::subject::Subject;

/// Hours of the day in one part.
pub(super) const HOURS_TOGETHER: u8 = 3;

pub(super) fn per_band(material: &Material) -> Vec<(Band, Part)> {
    let bands: BTreeSet<Band> = material.a.iter().chain(&material.b).map(|report| report.band).collect();
    together(bands.into_iter().map(|band| (band, material.part(&|at| at.band == band))).collect())
}

pub(super) fn per_sector(subject: &Subject<'_>, material: &Material) -> Vec<(f64, Part)> {
    let sector = |call| subject.path(call).and_then(|far| far.path.bearing_deg).map(sector_of);
    let edge = |number: usize| number as f64 * WIDTH_DEG - WIDTH_DEG / 2.0;
    let part = |number: usize| (edge(number), material.part(&|at| sector(at.listener) == Some(number)));
    together((0..16).map(part).collect())
}

pub(super) fn per_distance(subject: &Subject<'_>, material: &Material) -> Vec<((f64, f64), Part)> {
    let within = |call, from, to| {
        subject.path(call).is_some_and(|far| from <= far.path.distance_km && far.path.distance_km < to)
    };
    let part = |edge: &[f64]| ((edge[0], edge[1]), material.part(&|at| within(at.listener, edge[0], edge[1])));
    together(CLASS_EDGES_KM.windows(2).map(part).collect())
}

pub(super) fn per_hours(material: &Material) -> Vec<(u8, Part)> {
    let part = |first: u8| {
        let hours = i64::from(first)..i64::from(first + HOURS_TOGETHER);
        (first, material.part(&|at| hours.contains(&at.hour)))
    };
    together((0..24).step_by(usize::from(HOURS_TOGETHER)).map(part).collect())
}

/// Marks which parts hold when all of them are looked at together.
fn together<K>(mut parts: Vec<(K, Part)>) -> Vec<(K, Part)> {
    let tested: Vec<usize> = (0..parts.len()).filter(|&at| parts[at].1.difference_db.is_some()).collect();
    let probabilities: Vec<f64> = tested.iter().map(|&at| parts[at].1.probability).collect();
    for (at, holds) in tested.into_iter().zip(holm(&probabilities)) {
        parts[at].1.holds_together = holds;
    }
    parts
}
