//! What lies below the marks: plate, sea, land, rings, spokes, home.

use super::DiscInput;
use super::layout::Layout;
use crate::draw::{Outline, Pen, Point, Surface, Theme};
use crate::figure::Frame;

/// The ground of the instrument and the sea of the map.
pub(super) fn draw_plate(layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    surface.circle(layout.centre, layout.rim, Some(frame.palette.paper), None);
    surface.circle(layout.centre, layout.map, Some(frame.palette.sheet), None);
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

/// A place on the map from km east and north of home.
pub(super) fn on_map(layout: &Layout, east_km: f64, north_km: f64) -> Point {
    layout.home.shifted(east_km * layout.px_per_km, -north_km * layout.px_per_km)
}
