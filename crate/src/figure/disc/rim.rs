//! The rim: circles, ticks, bearing numerals and north.

use super::layout::Layout;
use crate::draw::{Anchor, Face, Font, Outline, Pen, Point, Surface, Text};
use crate::figure::{Frame, Size};

/// Draws the rim. On a moved map ticks and numerals stand where the bearings of home cross it.
pub(super) fn draw(layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    surface.open_group("Bearings");
    let edge = Pen::new(frame.palette.ink, frame.palette.weights.rim);
    surface.circle(layout.centre, layout.map, None, Some(&edge));
    if layout.has_margin() {
        surface.circle(layout.centre, layout.margin, None, Some(&edge));
    }
    surface.circle(layout.centre, layout.rim, None, Some(&edge));
    let text = frame.text_scale();
    let full = frame.size == Size::Full;
    // numerals are left out where there is no room for them between the circles
    let step = if full && layout.rim > 160.0 { 5 } else { 15 };
    let (long, short) = if full { (6.0, 3.5) } else { (4.0, 4.0) };
    let mut ticks = Outline::new();
    for degrees in (0_i32..360).step_by(step) {
        if full && degrees % 45 == 0 {
            continue;
        }
        let Some(at) = crossing(layout, f64::from(degrees)) else { continue };
        let length = if degrees % 15 == 0 { long } else { short };
        ticks.add_line(&[layout.centre.toward(at, layout.margin), layout.centre.toward(at, layout.margin + length)]);
    }
    surface.stroke(&ticks, &Pen::new(frame.palette.ink, 0.75));
    if full {
        for degrees in (45_i32..360).step_by(45) {
            if let Some(at) = crossing(layout, f64::from(degrees)) {
                numeral(&degrees.to_string(), at, Font::new(Face::SerifItalic, 13.4 * text), layout, frame, surface);
            }
        }
        if let Some(at) = crossing(layout, 0.0) {
            numeral("N", at, Font::new(Face::SerifItalic, 15.6 * text), layout, frame, surface);
        }
    } else if let Some(at) = crossing(layout, 0.0) {
        let tick = Outline::segment(layout.centre.toward(at, layout.margin), layout.centre.toward(at, layout.rim));
        surface.stroke(&tick, &Pen::new(frame.palette.ink, 2.5));
        if layout.has_margin() {
            let font = Font::new(Face::SerifItalic, 1.1 * frame.text_px.min(layout.margin - layout.map));
            let middle = f64::midpoint(layout.map, layout.margin);
            upright("N", layout.centre.toward(at, middle), at, font, frame, surface);
        }
    }
    surface.close_group();
}

/// A numeral in the rim, set along it and never upside down.
fn numeral(words: &str, at_deg: f64, font: Font, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let middle = layout.centre.toward(at_deg, f64::midpoint(layout.margin, layout.rim));
    upright(words, middle, at_deg, font, frame, surface);
}

/// Words with their middle at a place, turned along the circle, feet inward in the upper half, outward in the lower.
fn upright(words: &str, middle: Point, at_deg: f64, font: Font, frame: &Frame, surface: &mut dyn Surface) {
    let lower = at_deg > 90.0 + 1e-6 && at_deg < 270.0 - 1e-6;
    let turn_deg = if lower { at_deg - 180.0 } else { at_deg };
    // from the middle of the figures down to their baseline
    let drop = 0.33 * font.size;
    let at = middle.toward(turn_deg + 180.0, drop);
    surface.text(&Text::new(words, at, font, frame.palette.ink).anchored(Anchor::Middle).turned(turn_deg));
}

/// Where the bearing of home crosses the inner circle of the rim, as a bearing of the instrument's middle;
/// `None` if it does not (home far out of sight).
pub(super) fn crossing(layout: &Layout, bearing_deg: f64) -> Option<f64> {
    if !layout.moved {
        return Some(bearing_deg);
    }
    let (dx, dy) = (layout.home.x - layout.centre.x, layout.home.y - layout.centre.y);
    let (sin, cos) = bearing_deg.to_radians().sin_cos();
    let along = dx * sin - dy * cos;
    let root = along * along - (dx * dx + dy * dy) + layout.margin * layout.margin;
    let way = -along + root.max(0.0).sqrt();
    (root >= 0.0 && way > 0.0).then(|| layout.centre.bearing_of(layout.home.toward(bearing_deg, way)))
}
