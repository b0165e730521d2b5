//! Petals: listeners per sector of bearing, outside the rim. No petal and no figure for an empty sector.

use super::DiscInput;
use super::layout::Layout;
use crate::draw::{Anchor, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::figure::Frame;
use crate::study::Sector;
use crate::words::number::count;

/// Half of a petal's width in degrees: a little under half a sector.
const HALF_DEG: f64 = 8.2;
/// Shortest petal, pixels.
const SHORTEST_PX: f64 = 2.5;

/// Draws the petals. On a moved map there are none: sectors are those of home.
pub(super) fn draw(input: &DiscInput<'_>, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let most = input.sectors.iter().map(|sector| sector.listeners).max().unwrap_or(0);
    if most == 0 || layout.moved {
        return;
    }
    let colours = frame.palette.antenna(input.antenna);
    surface.open_group("Listeners by bearing");
    for sector in input.sectors.iter().filter(|sector| sector.listeners > 0) {
        let bearing = middle_deg(sector);
        let length = (sector.listeners as f64 / most as f64 * layout.petal).max(SHORTEST_PX);
        let inner = layout.rim + layout.petal_gap;
        let shape = petal(layout.centre, bearing, inner, length);
        surface.fill(&shape, FillRule::NonZero, colours.wash);
        surface.stroke(&shape, &Pen::new(colours.ink, frame.palette.weights.petal));
        let words = count(sector.listeners);
        let font = Font::new(Face::Sans, frame.text_px);
        let (sin, cos) = bearing.to_radians().sin_cos();
        let half_width = surface.text_width(&words, font) / 2.0;
        let out = inner + length + 4.5 + sin.abs() * half_width + cos.abs() * 0.36 * frame.text_px;
        let at = layout.centre.toward(bearing, out).shifted(0.0, 0.36 * frame.text_px);
        surface.text(&Text::new(&words, at, font, frame.palette.ink).anchored(Anchor::Middle));
    }
    surface.close_group();
}

/// Bearing of a sector's middle, degrees.
pub(crate) fn middle_deg(sector: &Sector) -> f64 {
    f64::midpoint(sector.from_deg, sector.to_deg).rem_euclid(360.0)
}

/// A ring sector with its outer corners rounded.
fn petal(centre: Point, bearing: f64, inner: f64, length: f64) -> Outline {
    let outer = inner + length;
    let round = (0.45 * length).min(7.0);
    let off_deg = (round / outer).to_degrees();
    let (left, right) = (bearing - HALF_DEG, bearing + HALF_DEG);
    Outline::new()
        .move_to(centre.toward(left, inner))
        .line_to(centre.toward(left, outer - round))
        .quad_to(centre.toward(left, outer), centre.toward(left + off_deg, outer))
        .arc(centre, outer, left + off_deg, right - off_deg)
        .quad_to(centre.toward(right, outer), centre.toward(right, outer - round))
        .line_to(centre.toward(right, inner))
        .arc(centre, inner, right, left)
        .close()
}
