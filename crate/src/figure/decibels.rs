//! What pictures of differences in dB share: a symmetric axis, the strip that is too small to matter, marks and words.

use std::borrow::Cow;

use super::Frame;
use crate::draw::glyph::Glyph;
use crate::draw::{Antenna, Colour, FillRule, Font, Outline, Pen, Point, Surface, Theme};
use crate::words::number::{MINUS, decimals};

/// Steps between lines of the axis, dB.
const STEPS_DB: [f64; 7] = [0.5, 1.0, 2.0, 4.0, 6.0, 10.0, 20.0];
/// Lines on either side: as few as hold the values, never fewer than the first, never more than the second.
const LINES: (u32, u32) = (3, 4);

/// A symmetric axis of differences.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct DecibelAxis {
    /// From line to line, dB.
    pub step_db: f64,
    /// Lines on either side of zero.
    pub lines: u32,
}

impl DecibelAxis {
    /// The axis that holds so many dB either way; at least 1.5, at most 80.
    pub fn holding(db: f64) -> Self {
        let wanted = if db.is_finite() { db.abs() - 1e-9 } else { 0.0 };
        let most = f64::from(LINES.1);
        let step_db = STEPS_DB.into_iter().find(|step| step * most >= wanted).unwrap_or(STEPS_DB[6]);
        let lines = (LINES.0..=LINES.1).find(|&lines| step_db * f64::from(lines) >= wanted).unwrap_or(LINES.1);
        Self { step_db, lines }
    }

    /// The last line on either side, dB.
    pub fn end_db(self) -> f64 {
        self.step_db * f64::from(self.lines)
    }

    /// The values at which lines stand, lowest first, with what is written at them.
    pub fn labels(self) -> Vec<(f64, String)> {
        let lines = i32::try_from(self.lines).unwrap_or(0);
        (-lines..=lines).map(|line| self.step_db * f64::from(line)).map(|db| (db, signed(db))).collect()
    }
}

/// A figure of the axis: `+2`, `−0.5`, `0`.
fn signed(db: f64) -> String {
    let figure = decimals(db.abs(), usize::from(db.fract() != 0.0));
    match () {
        () if db > 0.0 => format!("+{figure}"),
        () if db < 0.0 => format!("{MINUS}{figure}"),
        () => figure,
    }
}

/// How a mark of an antenna is drawn.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct MarkStyle {
    pub glyph: Glyph,
    pub fill: Colour,
    pub pen: Pen,
}

impl MarkStyle {
    /// The antenna's own: A solid with a gap of paper, B hollow.
    pub(super) fn of(antenna: Antenna, frame: &Frame) -> Self {
        let palette = &frame.palette;
        let colour = palette.antenna(antenna).mark;
        let glyph = Glyph::of(antenna);
        match antenna {
            Antenna::A => Self { glyph, fill: colour, pen: Pen::new(palette.paper, 1.0) },
            Antenna::B => Self { glyph, fill: palette.sheet, pen: Pen::new(colour, hollow_width(frame)) },
        }
    }

    /// The same shape, hollow and soft: what chance may have made.
    pub(super) fn pale(antenna: Antenna, frame: &Frame) -> Self {
        let pen = Pen::new(frame.palette.soft, hollow_width(frame) - 0.5);
        Self { glyph: Glyph::of(antenna), fill: frame.palette.sheet, pen }
    }

    pub(super) fn draw(&self, at: Point, radius: f64, surface: &mut dyn Surface) {
        draw_glyph(self.glyph, at, radius, self.fill, &self.pen, surface);
    }
}

/// Outline of hollow marks, pixels.
pub(super) fn hollow_width(frame: &Frame) -> f64 {
    if frame.palette.theme == Theme::Sun { 2.5 } else { 1.75 }
}

/// A filled and outlined shape.
pub(super) fn draw_glyph(glyph: Glyph, at: Point, radius: f64, fill: Colour, pen: &Pen, surface: &mut dyn Surface) {
    match glyph.outline(at, radius) {
        None => surface.circle(at, radius, Some(fill), Some(pen)),
        Some(outline) => {
            surface.fill(&outline, FillRule::NonZero, fill);
            surface.stroke(&outline, pen);
        }
    }
}

/// The strip of what is too small to matter. In Sun, where land has no tint, its two edges are dotted.
pub(super) fn draw_strip(upper_left: Point, lower_right: Point, frame: &Frame, surface: &mut dyn Surface) {
    let (x, y) = (upper_left.x, upper_left.y);
    let (width, height) = (lower_right.x - x, lower_right.y - y);
    if frame.palette.theme != Theme::Sun {
        surface.fill(&Outline::rectangle(x, y, width, height), FillRule::NonZero, frame.palette.land);
        return;
    }
    let pen = Pen::new(frame.palette.ink, 1.5).dotted(1.0, 4.0);
    let (first, second) = if height > width {
        ((upper_left, Point::new(x, lower_right.y)), (Point::new(lower_right.x, y), lower_right))
    } else {
        ((upper_left, Point::new(lower_right.x, y)), (Point::new(x, lower_right.y), lower_right))
    };
    surface.stroke(&Outline::segment(first.0, first.1), &pen);
    surface.stroke(&Outline::segment(second.0, second.1), &pen);
}

/// Words cut to a width, with an ellipsis where something is missing.
pub(super) fn shortened<'a>(words: &'a str, font: Font, width: f64, surface: &dyn Surface) -> Cow<'a, str> {
    if surface.text_width(words, font) <= width {
        return Cow::Borrowed(words);
    }
    let mut kept: Vec<char> = words.chars().collect();
    while kept.pop().is_some() {
        let shorter = kept.iter().collect::<String>();
        let shorter = format!("{}\u{2026}", shorter.trim_end());
        if surface.text_width(&shorter, font) <= width {
            return Cow::Owned(shorter);
        }
    }
    Cow::Borrowed("")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::draw::record::Recorder;
    use crate::draw::{Face, Palette};

    #[test]
    fn axes_hold_what_they_show_in_few_round_steps() {
        for (db, step, lines) in
            [(5.1, 2.0, 3), (13.0, 4.0, 4), (0.4, 0.5, 3), (2.0, 0.5, 4), (14.2, 4.0, 4), (30.0, 10.0, 3)]
        {
            assert_eq!(DecibelAxis::holding(db), DecibelAxis { step_db: step, lines }, "{db}");
            assert!(DecibelAxis::holding(db).end_db() >= db);
        }
        assert!((DecibelAxis::holding(f64::NAN).end_db() - 1.5).abs() < 1e-12);
        assert!((DecibelAxis::holding(1e9).end_db() - 80.0).abs() < 1e-12);
        let words: Vec<String> = DecibelAxis::holding(1.2).labels().into_iter().map(|(_, words)| words).collect();
        assert_eq!(words, ["\u{2212}1.5", "\u{2212}1", "\u{2212}0.5", "0", "+0.5", "+1", "+1.5"]);
    }

    #[test]
    fn long_names_are_cut_at_a_letter() {
        let recorder = Recorder::new();
        let font = Font::new(Face::Sans, 12.0);
        assert_eq!(shortened("Doublet", font, 500.0, &recorder), "Doublet");
        let cut = shortened("Doublet over the ridge \u{e9}\u{e9}\u{e9}", font, 90.0, &recorder);
        assert!(cut.ends_with('\u{2026}') && recorder.text_width(&cut, font) <= 90.0, "{cut}");
        assert_eq!(shortened("Doublet", font, 1.0, &recorder), "");
    }

    #[test]
    fn marks_of_both_antennas_differ_in_shape_and_in_filling() {
        let frame = Frame {
            palette: Palette::of(Theme::Light),
            ..Frame::new(10.0, 10.0, Theme::Light, crate::figure::Size::Full)
        };
        let (a, b) = (MarkStyle::of(Antenna::A, &frame), MarkStyle::of(Antenna::B, &frame));
        assert_ne!(a.glyph, b.glyph);
        assert_eq!((a.fill, b.pen.colour), (frame.palette.a.mark, frame.palette.b.mark));
        assert_ne!(MarkStyle::pale(Antenna::B, &frame).pen.colour, b.pen.colour);
    }
}
