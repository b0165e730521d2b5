//! Where each listener belongs: at its place on the map, or in the far margin at its bearing.

use super::DiscInput;
use super::layout::Layout;
use crate::draw::Point;
use crate::study::Listener;

/// On which part of the instrument a mark stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// The map.
    Map,
    /// The far margin, at its true bearing.
    Margin,
}

/// One listener and where it belongs.
#[derive(Clone, Copy, Debug)]
pub(super) struct Placed<'a> {
    pub listener: &'a Listener,
    pub at: Point,
    pub part: Part,
    pub radius: f64,
    pub distance_km: f64,
    pub bearing_deg: Option<f64>,
}

/// Where a listener without any bearing is put: exactly opposite every direction is as right.
const ANY_BEARING_DEG: f64 = 180.0;

/// All listeners with a place that are in sight, in the order given.
pub(super) fn place<'a>(input: &DiscInput<'a>, layout: &Layout) -> Vec<Placed<'a>> {
    // room for all at once: growing would move them again and again
    let mut placed = Vec::with_capacity(input.listeners.len());
    placed.extend(input.listeners.iter().filter_map(|listener| place_one(listener, layout)));
    placed
}

fn place_one<'a>(listener: &'a Listener, layout: &Layout) -> Option<Placed<'a>> {
    let far = listener.far.as_ref()?;
    let path = far.path;
    let (km, bearing) = (path.distance_km, path.bearing_deg.unwrap_or(ANY_BEARING_DEG));
    if !km.is_finite() || !bearing.is_finite() {
        return None;
    }
    let [east, north] = far.offset_km.map(|km| km * layout.px_per_km);
    let on_map = layout.home.shifted(east, -north);
    let inside = layout.centre.distance(on_map) <= layout.map * 1.000_01;
    let (at, part) = if inside {
        (on_map, Part::Map)
    } else if layout.moved || !layout.has_margin() {
        // on a moved map the margin has no bearings of home to stand at
        return None;
    } else {
        (layout.centre.toward(bearing, f64::midpoint(layout.map, layout.margin)), Part::Margin)
    };
    let radius = mark_radius(listener.spots) * layout.mark_scale;
    Some(Placed { listener, at, part, radius, distance_km: km, bearing_deg: path.bearing_deg })
}

/// Radius in pixels by number of spots, before any scale.
pub(crate) fn mark_radius(spots: usize) -> f64 {
    match spots {
        0..=1 => 3.0,
        2..=9 => 4.2,
        10..=99 => 5.6,
        _ => 7.4,
    }
}
