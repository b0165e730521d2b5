//! The parts a comparison is told by: bands, sectors of bearing, distances, hours of the day, the sun over the path,
//! hops and likely take-off angles.

use super::Part;
use super::material::Material;
use crate::geography::Geodesic;
use crate::model::{Band, CallId};
use crate::sky::{SunState, Suns, suns::Watched};
use crate::study::angles::{ANGLE_CLASSES, ANGLE_EDGES_DEG, HopClass, PathAngle, angle_class};
use crate::study::bearings::{WIDTH_DEG, sector_of};
use crate::study::interval::{OneOfMany, mark_holding};
use crate::study::reach::CLASS_EDGES_KM;
use crate::study::subject::Subject;
use crate::study::sunlight::part_way;

/// Hours of the day in one part.
pub(super) const HOURS_TOGETHER: u8 = 3;

pub(super) fn per_band(material: &Material) -> Vec<(Band, Part)> {
    let cuts = material.cuts(Band::COUNT, &|at| Some(at.band.index()));
    together(cuts.iter().filter_map(|cut| Some((cut.band()?, material.part(cut)))).collect())
}

pub(super) fn per_sector(subject: &Subject<'_>, material: &Material) -> Vec<(f64, Part)> {
    let bearing = |call| subject.path(call).and_then(|far| far.path.bearing_deg);
    let sectors = of_calls(material, &|call| bearing(call).map(sector_of));
    let cuts = material.cuts(16, &|at| sectors[at.listener.index()]);
    let edge = |number: usize| number as f64 * WIDTH_DEG - WIDTH_DEG / 2.0;
    together(cuts.iter().enumerate().map(|(number, cut)| (edge(number), material.part(cut))).collect())
}

pub(super) fn per_distance(subject: &Subject<'_>, material: &Material) -> Vec<((f64, f64), Part)> {
    let edges: Vec<(f64, f64)> = CLASS_EDGES_KM.windows(2).map(|edge| (edge[0], edge[1])).collect();
    let class = |km: f64| edges.iter().position(|&(from, to)| from <= km && km < to);
    let classes = of_calls(material, &|call| class(subject.path(call)?.path.distance_km));
    let cuts = material.cuts(edges.len(), &|at| classes[at.listener.index()]);
    together(edges.into_iter().zip(&cuts).map(|(edge, cut)| (edge, material.part(cut))).collect())
}

pub(super) fn per_hours(material: &Material) -> Vec<(u8, Part)> {
    let cuts = material.cuts(usize::from(24 / HOURS_TOGETHER), &|at| {
        usize::try_from(at.hour).ok().map(|hour| hour / usize::from(HOURS_TOGETHER))
    });
    let first = (0..24).step_by(usize::from(HOURS_TOGETHER));
    together(first.zip(&cuts).map(|(first, cut)| (first, material.part(cut))).collect())
}

/// By the sun over the middle of the path.
///
/// A pair belongs to a state if the sun stood so for both of its spots: which of two antennas is called A decides nothing,
/// and one across the limit says nothing about either side of it. A spot that found no partner belongs to the state at
/// its own time.
pub(super) fn per_sun(subject: &Subject<'_>, material: &Material) -> Vec<(SunState, Part)> {
    let geodesic = Geodesic::wgs84();
    let mut heard = vec![false; material.ranks.len()];
    let reports = || material.a.iter().chain(&material.b);
    for report in reports() {
        heard[report.listener.index()] = true;
    }
    let calls = (0..).map(CallId).zip(heard);
    let middles: Vec<_> = calls
        .map(|(call, heard)| {
            let middle = heard.then(|| part_way(&geodesic, subject, call, 0.5)).flatten()?;
            Some(Watched::new(middle.direction()))
        })
        .collect();
    let suns = Suns::of(reports().map(|report| report.time.unix_s()).collect());
    let cuts = material.cuts(SunState::ALL.len(), &|at| {
        let middle = middles[at.listener.index()].as_ref()?;
        let [a, b] = at.times;
        let state = suns.state_over(middle, a);
        (a == b || suns.state_over(middle, b) == state).then_some(state.index())
    });
    together(SunState::ALL.into_iter().zip(&cuts).map(|(state, cut)| (state, material.part(cut))).collect())
}

/// By the least number of hops.
pub(super) fn per_hops(subject: &Subject<'_>, material: &Material) -> Vec<(HopClass, Part)> {
    let classes = of_calls(material, &|call| Some(angle(subject, material, call)?.class.index()));
    let cuts = material.cuts(HopClass::ALL.len(), &|at| classes[at.listener.index()]);
    together(HopClass::ALL.into_iter().zip(&cuts).map(|(class, cut)| (class, material.part(cut))).collect())
}

/// By class of take-off angle.
pub(super) fn per_angle(subject: &Subject<'_>, material: &Material) -> Vec<((f64, f64), Part)> {
    let classes = of_calls(material, &|call| angle_class(angle(subject, material, call)?.elevation_deg));
    let cuts = material.cuts(ANGLE_CLASSES, &|at| classes[at.listener.index()]);
    let edges = ANGLE_EDGES_DEG.windows(2).map(|edge| (edge[0], edge[1]));
    together(edges.zip(&cuts).map(|(edge, cut)| (edge, material.part(cut))).collect())
}

fn angle(subject: &Subject<'_>, material: &Material, call: CallId) -> Option<PathAngle> {
    PathAngle::of(subject.path(call)?.path.distance_km, material.settings.layer)
}

/// The part of every call, by its number.
fn of_calls(material: &Material, part_of: &dyn Fn(CallId) -> Option<usize>) -> Vec<Option<usize>> {
    (0..).map(CallId).take(material.ranks.len()).map(part_of).collect()
}

impl OneOfMany for Part {
    fn tested(&self) -> Option<f64> {
        self.difference_db.map(|_| self.probability)
    }

    fn mark(&mut self) {
        self.holds_together = true;
    }
}

/// Marks which parts hold when all of them are looked at together.
fn together<K>(mut parts: Vec<(K, Part)>) -> Vec<(K, Part)> {
    mark_holding(parts.iter_mut().map(|(_, part)| part));
    parts
}
