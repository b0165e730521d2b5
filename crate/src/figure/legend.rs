//! The keys of a disc for pictures that stand alone: sizes upper left, bands lower left, in the corners the circle leaves.
//! On the page they are buttons, and not drawn.

use super::disc::mark_radius;
use super::frame::{Frame, Size};
use crate::draw::glyph::Glyph;
use crate::draw::{Antenna, Colour, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::model::Band;

/// The sizes of marks in words, with a number of spots of each.
const SIZES: [(&str, usize); 4] = [("once", 1), ("2 to 9", 2), ("10 to 99", 10), ("100 or more", 100)];

/// What the keys explain.
#[derive(Clone, Copy, Debug)]
pub struct LegendInput<'a> {
    /// Bands in all loaded work.
    pub bands: &'a [Band],
    /// Those that filters leave; the others are struck through.
    pub shown: &'a [Band],
    /// Whose marks they are.
    pub antenna: Antenna,
}

/// Draws both keys into the corners of the frame.
pub fn draw(input: &LegendInput<'_>, frame: &Frame, surface: &mut dyn Surface) {
    let row = 24.0 * frame.text_scale();
    let mut sizes = Point::new(1.0, 14.0 * frame.text_scale());
    surface.open_group("Spots per listener");
    title("Spots per listener", sizes, frame, surface);
    for (words, spots) in SIZES {
        sizes = sizes.shifted(0.0, row);
        let radius = mark_radius(spots) * scale(frame);
        entry(input.antenna, words, sizes, Swatch { fill: frame.palette.sheet, radius, struck: false }, frame, surface);
    }
    surface.close_group();
    let ramp = frame.palette.ramp(input.antenna, input.bands.len());
    let mut bands = Point::new(1.0, frame.height - 6.0 * frame.text_scale() - row * input.bands.len() as f64);
    surface.open_group("Band heard most");
    title("Band heard most", bands, frame, surface);
    for (band, &fill) in input.bands.iter().zip(&ramp) {
        bands = bands.shifted(0.0, row);
        let struck = !input.shown.contains(band);
        let swatch = Swatch { fill, radius: 5.5 * scale(frame), struck };
        entry(input.antenna, &band.label(), bands, swatch, frame, surface);
    }
    surface.close_group();
}

fn scale(frame: &Frame) -> f64 {
    frame.palette.weights.mark_scale * if frame.size == Size::Full { 1.0 } else { 0.82 }
}

fn title(words: &str, at: Point, frame: &Frame, surface: &mut dyn Surface) {
    let font = Font::new(Face::SerifItalic, 14.0 * frame.text_scale());
    surface.text(&Text::new(words, at, font, frame.palette.ink));
}

/// The mark of an entry.
#[derive(Clone, Copy, Debug)]
struct Swatch {
    fill: Colour,
    radius: f64,
    /// Off: hollow, and its name struck through.
    struck: bool,
}

fn entry(antenna: Antenna, words: &str, base: Point, swatch: Swatch, frame: &Frame, surface: &mut dyn Surface) {
    let text = frame.text_scale();
    let palette = &frame.palette;
    let at = base.shifted(7.5 * text.max(frame.palette.weights.mark_scale) + 1.0, -0.36 * frame.text_px);
    let (fill, pen, colour) = if swatch.struck {
        (palette.sheet, Pen::new(palette.soft, palette.weights.edge), palette.soft)
    } else {
        (swatch.fill, Pen::new(palette.antenna(antenna).edge, palette.weights.edge), palette.ink)
    };
    match Glyph::of(antenna).outline(at, swatch.radius) {
        None => surface.circle(at, swatch.radius, Some(fill), Some(&pen)),
        Some(outline) => {
            surface.fill(&outline, FillRule::NonZero, fill);
            surface.stroke(&outline, &pen);
        }
    }
    let font = Font::new(Face::Sans, frame.text_px);
    let begin = base.shifted(25.0 * text, 0.0);
    surface.text(&Text::new(words, begin, font, colour));
    if swatch.struck {
        let through = begin.shifted(0.0, -0.32 * frame.text_px);
        let end = through.shifted(surface.text_width(words, font), 0.0);
        surface.stroke(&Outline::segment(through, end), &Pen::new(colour, 1.0));
    }
}
