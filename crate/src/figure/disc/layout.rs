//! The circles of the instrument, and the step from km to pixels.

use super::{DiscInput, Extent, Zoom};
use crate::draw::Point;
use crate::figure::{Frame, Size};

/// Radii in pixels, outward, and where the map lies in them.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Layout {
    /// Middle of all circles.
    pub centre: Point,
    /// Edge of the map.
    pub map: f64,
    /// Outer edge of the far margin; the map's edge where there is none.
    pub margin: f64,
    /// Outer edge of the rim.
    pub rim: f64,
    /// Length of the longest petal.
    pub petal: f64,
    /// Gap between rim and petals.
    pub petal_gap: f64,
    /// Scale of the map.
    pub px_per_km: f64,
    /// Where home lies: the centre, unless the map is moved.
    pub home: Point,
    /// Distance of the map's edge from its middle, km.
    pub reach_km: f64,
    /// Distance from ring to ring, km.
    pub ring_km: f64,
    /// Is home off the middle?
    pub moved: bool,
    /// Factor on the radii of marks.
    pub mark_scale: f64,
}

impl Layout {
    pub(super) fn of(input: &DiscInput<'_>, frame: &Frame) -> Self {
        let half = frame.width.min(frame.height) / 2.0;
        let text = frame.text_scale();
        let zoom = input.zoom;
        let mark_scale = frame.palette.weights.mark_scale
            * match frame.size {
                // the small discs of a report have smaller marks
                Size::Full => (half / 328.0).clamp(0.8, 1.0),
                Size::Phone => 0.82,
                // the smaller the disc, the smaller its marks
                Size::Mini => (half / 180.0).clamp(0.62, 0.82),
            };
        // a disc of 656 px has petals of up to 31 px; smaller discs give the map more of their room
        let petal = match frame.size {
            Size::Mini => 0.0,
            Size::Full | Size::Phone => (31.0 * (half / 328.0).powf(1.7)).clamp(12.0, 36.0),
        };
        let petal_gap = 3.0;
        let outside = match frame.size {
            Size::Mini => 3.0,
            Size::Full | Size::Phone => petal_gap + petal + 4.0 + 0.75 * frame.text_px,
        };
        let rim_width = match frame.size {
            Size::Full => 17.0 * text,
            Size::Phone => 8.0,
            Size::Mini => 6.0,
        };
        let margin_width = match frame.size {
            Size::Full | Size::Phone => 18.0 * text.max(frame.palette.weights.mark_scale),
            Size::Mini => 10.0,
        };
        let rim = (half - outside).max(half / 2.0);
        let margin = (rim - rim_width).max(rim / 2.0);
        let nothing_beyond = input.extent.is_whole_earth() && zoom.is_whole();
        let map = if nothing_beyond { margin } else { (margin - margin_width).max(margin / 2.0) };
        let centre = Point::new(frame.width / 2.0, frame.height / 2.0);
        let factor = zoom.factor.max(1.0);
        let reach_km = input.extent.rim_km / factor;
        let px_per_km = map / reach_km;
        Self {
            centre,
            map,
            margin,
            rim,
            petal,
            petal_gap,
            px_per_km,
            home: centre.shifted(-zoom.east_km * px_per_km, zoom.north_km * px_per_km),
            reach_km,
            ring_km: ring_step(input.extent, &zoom, input.length.value(1.0)),
            moved: zoom.is_moved(),
            mark_scale,
        }
    }

    /// All of it as numbers.
    pub(super) fn numbers(&self) -> [f64; 14] {
        let &Self { centre, map, margin, rim, petal, petal_gap, px_per_km, home, reach_km, ring_km, moved, mark_scale } =
            self;
        let moved = f64::from(u8::from(moved));
        let (x, y, home_x, home_y) = (centre.x, centre.y, home.x, home.y);
        [x, y, map, margin, rim, petal, petal_gap, px_per_km, home_x, home_y, reach_km, ring_km, moved, mark_scale]
    }

    /// Is there a far margin?
    pub(super) fn has_margin(&self) -> bool {
        self.margin > self.map
    }

    /// Rings that are at least partly in sight: number and distance in km.
    pub(super) fn rings(&self) -> impl Iterator<Item = (u32, f64)> + use<> {
        let ring_km = self.ring_km;
        let farthest = self.reach_km + self.home.distance(self.centre) / self.px_per_km;
        (1..=64).map(move |ring| (ring, ring_km * f64::from(ring))).take_while(move |&(_, km)| km <= farthest * 1.0001)
    }
}

/// Distance from ring to ring: the extent's own, or when zoomed the round number that gives four or five of them.
/// On a moved map, where they cross from side to side, they lie farther apart.
fn ring_step(extent: Extent, zoom: &Zoom, per_km: f64) -> f64 {
    if zoom.factor <= 1.0 {
        return extent.ring_km;
    }
    let rings = if zoom.is_moved() { 2.4 } else { 4.0 };
    let most = extent.rim_km / zoom.factor / rings * per_km;
    let power = 10_f64.powf(most.log10().floor());
    let lead = [1.0, 2.0, 2.5, 5.0].into_iter().filter(|lead| lead * power <= most * 1.0001).fold(1.0, f64::max);
    lead * power / per_km
}
