//! What lies below the marks: plate, sea, land, night, rings, spokes, home.

use super::layout::Layout;
use super::{DiscInput, Haste};
use crate::draw::{Colour, FillRule, Outline, Pen, Point, Surface, Theme};
use crate::figure::Frame;
use crate::geography::Position;
use crate::geography::clip::Disc;
use crate::sky::SunPlace;
use crate::sky::sun::SUNSET_DEG;

/// The ground of the instrument and the sea of the map.
pub(super) fn draw_plate(layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    surface.circle(layout.centre, layout.rim, Some(frame.palette.paper), None);
    surface.circle(layout.centre, layout.map, Some(frame.palette.sheet), None);
}

/// Land and its coast. What is too small to see at this scale is left out.
pub(super) fn draw_land(
    input: &DiscInput<'_>,
    layout: &Layout,
    haste: Haste,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let Some(land) = input.land.filter(|_| input.subject.home().is_some()) else { return };
    let mut fill = Outline::new();
    for ring in &land.fill {
        fill.add_ring(&thinned(ring, layout, haste));
    }
    let mut coast = Outline::new();
    for line in &land.coast {
        coast.add_line(&thinned(line, layout, haste));
    }
    surface.open_group("Land");
    surface.fill(&fill, FillRule::EvenOdd, frame.palette.land);
    surface.stroke(&coast, &Pen::new(frame.palette.coast, frame.palette.weights.coast));
    surface.close_group();
}

/// Where the sun is down, over land and sea: a shade without a line at its edge; lines where there are no tints.
pub(super) fn draw_night(
    input: &DiscInput<'_>,
    layout: &Layout,
    haste: Haste,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let Some((home, night)) = input.subject.home().zip(input.night) else { return };
    let Some(disc) = Disc::new(home.centre(), input.extent.rim_km) else { return };
    let sun = SunPlace::at(night).subsolar();
    let opposite = Position { lat_deg: -sun.lat_deg, lon_deg: wrapped(sun.lon_deg + 180.0) };
    let mut shape = Outline::new();
    for ring in &disc.cap(opposite, 90.0 + SUNSET_DEG).fill {
        shape.add_ring(&thinned(ring, layout, haste));
    }
    surface.open_group("Night");
    match frame.palette.theme {
        Theme::Sun => surface.stroke(&shape.hatching(HATCH_PX), &Pen::new(frame.palette.ink, 0.75)),
        Theme::Dark => surface.fill(&shape, FillRule::EvenOdd, Colour::BLACK.with_alpha(0.42)),
        Theme::Light | Theme::Print => surface.fill(&shape, FillRule::EvenOdd, frame.palette.ink.with_alpha(0.1)),
    }
    surface.close_group();
}

/// A longitude as -180 up to 180 degrees.
fn wrapped(lon_deg: f64) -> f64 {
    (lon_deg + 180.0).rem_euclid(360.0) - 180.0
}

/// From line to line where lines stand for a shade, pixels.
const HATCH_PX: f64 = 7.0;
/// Places less than this apart are one in the picture, pixels.
const SAME_PX: f64 = 0.6;
/// The same in haste.
const HASTY_SAME_PX: f64 = 2.0;

/// A line of the map in the picture, in tenths of a pixel, without places that follow too closely
/// and without lines that shrink to a dot.
fn thinned(line: &[[f64; 2]], layout: &Layout, haste: Haste) -> Vec<Point> {
    // an island out of sight takes no more than a look at how far it reaches
    let reach_km = layout.map / layout.px_per_km;
    let middle_east_km = (layout.centre.x - layout.home.x) / layout.px_per_km;
    let middle_north_km = (layout.home.y - layout.centre.y) / layout.px_per_km;
    let beyond = |off: fn(f64, f64) -> f64| {
        line.iter().all(|&[east, north]| off(east - middle_east_km, north - middle_north_km) > reach_km)
    };
    if beyond(|east, _| east) || beyond(|east, _| -east) || beyond(|_, north| north) || beyond(|_, north| -north) {
        return Vec::new();
    }
    let same_px = if haste == Haste::Ground { HASTY_SAME_PX } else { SAME_PX };
    let tenth = |value: f64| (value * 10.0).round_ties_even() / 10.0;
    let mut places: Vec<Point> = Vec::with_capacity(line.len());
    for (at, &[east_km, north_km]) in line.iter().enumerate() {
        let exact = layout.home.shifted(east_km * layout.px_per_km, -north_km * layout.px_per_km);
        let place = Point::new(tenth(exact.x), tenth(exact.y));
        let is_end = at + 1 == line.len();
        match places.last() {
            Some(last) if last.distance(place) < same_px && !is_end => {}
            _ => places.push(place),
        }
    }
    if places.len() < 3 && places.iter().all(|place| place.distance(places[0]) < 2.0 * same_px) {
        places.clear();
    }
    places
}

/// Rings at round distances and eight spokes, which leave the middle open.
pub(super) fn draw_rings(input: &DiscInput<'_>, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let weights = frame.palette.weights;
    let mut pen = Pen::new(frame.palette.ring, weights.ring);
    if frame.palette.theme == Theme::Sun {
        pen = pen.dotted(1.0, 5.0);
    }
    let first = layout.ring_km * layout.px_per_km;
    if input.subject.home().is_none() {
        return;
    }
    let far = 2.0 * layout.map + layout.home.distance(layout.centre);
    for spoke in 0..8 {
        let bearing = 45.0 * f64::from(spoke);
        let line = Outline::segment(layout.home.toward(bearing, first), layout.home.toward(bearing, far));
        surface.stroke(&line, &pen);
    }
    for (_, km) in layout.rings() {
        let radius = km * layout.px_per_km;
        let is_the_edge = !layout.moved && (radius - layout.map).abs() < 1.0;
        if !is_the_edge {
            surface.circle(layout.home, radius, None, Some(&pen));
        }
    }
}

/// Home: a cross with a dot.
pub(super) fn draw_home(layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let (home, ink) = (layout.home, frame.palette.ink);
    let mut cross = Outline::segment(home.shifted(-7.0, 0.0), home.shifted(7.0, 0.0));
    cross.add_line(&[home.shifted(0.0, -7.0), home.shifted(0.0, 7.0)]);
    surface.open_group("Home");
    surface.stroke(&cross, &Pen::new(ink, 1.0));
    surface.circle(home, 2.2, Some(ink), None);
    surface.close_group();
}
