//! The marks themselves, and the rings of the pinned and the focused one.

use super::DiscInput;
use super::gathering::Mark;
use super::placing::{Part, Placed};
use crate::draw::glyph::Glyph;
use crate::draw::{Anchor, Colour, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::figure::Frame;
use crate::model::{Band, CallId};
use crate::words::number::count;

/// Draws counted marks, then single ones, large below and small above.
pub(super) fn draw(
    input: &DiscInput<'_>,
    placed: &[Placed<'_>],
    marks: &[Mark],
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let ramp = frame.palette.ramp(input.antenna, input.bands.len());
    surface.open_group("Listeners");
    for part in [Part::Map, Part::Margin] {
        for mark in marks.iter().filter(|mark| mark.part == part) {
            if mark.is_counted() {
                counted(mark, input, frame, surface);
            } else if let Some(&member) = mark.members.first() {
                let band = placed[member].listener.main_band;
                let fill = fill_of(band, input.bands, &ramp, frame);
                single(mark, fill, input, frame, surface);
            }
        }
    }
    surface.close_group();
    let stands = |call: CallId| {
        marks.iter().find(|mark| mark.members.iter().any(|&member| placed[member].listener.call == call))
    };
    if let Some(mark) = input.pinned.and_then(stands) {
        surface.circle(mark.at, mark.radius + 4.5, None, Some(&Pen::new(frame.palette.ink, 1.5)));
    }
    if let Some(mark) = input.focused.and_then(stands) {
        let pinned = if input.pinned.and_then(stands).is_some_and(|pinned| pinned.at == mark.at) { 4.0 } else { 0.0 };
        surface.circle(mark.at, mark.radius + 4.5 + pinned, None, Some(&Pen::new(frame.palette.focus, 2.0)));
    }
}

/// The fill of a band: its step of the ramp. A band that is in none of the loaded work takes the sheet's colour.
fn fill_of(band: Band, bands: &[Band], ramp: &[Colour], frame: &Frame) -> Colour {
    bands
        .iter()
        .position(|&known| known == band)
        .and_then(|step| ramp.get(step).copied())
        .unwrap_or(frame.palette.sheet)
}

fn counted(mark: &Mark, input: &DiscInput<'_>, frame: &Frame, surface: &mut dyn Surface) {
    let edge = frame.palette.antenna(input.antenna).edge;
    let width = frame.palette.weights.edge + 0.25;
    surface.circle(mark.at, mark.radius, Some(frame.palette.sheet), Some(&Pen::new(edge, width)));
    let words = count(mark.members.len());
    let font = Font::new(Face::SansBold, frame.text_px);
    let room = 2.0 * mark.radius - 4.0;
    let needed = surface.text_width(&words, font);
    let size = if needed > room { (font.size * room / needed).max(8.0) } else { font.size };
    let at = mark.at.shifted(0.0, 0.36 * size);
    let text = Text::new(&words, at, Font::new(font.face, size), frame.palette.ink);
    surface.text(&text.anchored(Anchor::Middle));
}

fn single(mark: &Mark, fill: Colour, input: &DiscInput<'_>, frame: &Frame, surface: &mut dyn Surface) {
    let pen = Pen::new(frame.palette.antenna(input.antenna).edge, frame.palette.weights.edge);
    draw_glyph(Glyph::of(input.antenna), mark.at, mark.radius, fill, &pen, surface);
}

/// A filled and outlined shape.
pub(super) fn draw_glyph(glyph: Glyph, at: Point, radius: f64, fill: Colour, pen: &Pen, surface: &mut dyn Surface) {
    let outline: Option<Outline> = glyph.outline(at, radius);
    match outline {
        None => surface.circle(at, radius, Some(fill), Some(pen)),
        Some(outline) => {
            surface.fill(&outline, FillRule::NonZero, fill);
            surface.stroke(&outline, pen);
        }
    }
}
