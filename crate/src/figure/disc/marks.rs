//! The marks themselves, and the rings of the pinned and the focused one.

use super::gathering::Mark;
use super::placing::{Part, Placed};
use super::{DiscInput, Showing};
use crate::draw::glyph::Glyph;
use crate::draw::{Anchor, Colour, Face, Font, Pen, Surface, Text};
use crate::figure::decibels::{MarkStyle, draw_glyph};
use crate::figure::{Frame, by_listener};
use crate::model::{Band, CallId};
use crate::words::number::count;

/// Draws counted marks, then single ones, large below and small above.
pub(super) fn draw(
    input: &DiscInput<'_>,
    showing: &Showing<'_>,
    placed: &[Placed<'_>],
    marks: &[Mark],
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let ramp = frame.palette.ramp(input.antenna, input.bands.len());
    surface.open_group("Listeners");
    for part in [Part::Map, Part::Margin] {
        let here = marks.iter().filter(|mark| mark.part == part);
        let (many, single): (Vec<&Mark>, Vec<&Mark>) = here.partition(|mark| mark.is_counted());
        // all plates, then all counts: they do not overlap, and a canvas is slow at changing colours
        for mark in &many {
            plate(mark, counted_edge(input, showing, frame), frame, surface);
        }
        for mark in &many {
            write_count(mark, frame, surface);
        }
        for mark in &single {
            let Some(&member) = mark.members.first() else { continue };
            let listener = placed[member].listener;
            match showing {
                Showing::Bands => {
                    let fill = fill_of(listener.main_band, input.bands, &ramp, frame);
                    draw_single(mark, fill, input, frame, surface);
                }
                Showing::Antenna { .. } => {
                    MarkStyle::of(input.antenna, frame).draw(mark.at, mark.radius, surface);
                }
                Showing::Differences { .. } => difference(mark, listener.call, showing, frame, surface),
            }
        }
        for mark in many.iter().chain(&single) {
            if mark.members.iter().all(|&member| showing.is_lone(placed[member].listener.call)) {
                let pen = Pen::new(frame.palette.ink, 1.25).dotted(0.5, 3.0);
                surface.circle(mark.at, mark.radius + 3.5, None, Some(&pen));
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

/// The outline of a counted mark: an antenna's, or ink where each of its listeners may say another thing.
fn counted_edge(input: &DiscInput<'_>, showing: &Showing<'_>, frame: &Frame) -> Colour {
    let colours = frame.palette.antenna(input.antenna);
    match showing {
        Showing::Bands => colours.edge,
        Showing::Antenna { .. } => colours.mark,
        Showing::Differences { .. } => frame.palette.ink,
    }
}

/// Which antenna is stronger at a listener; a soft dot where no pair is safe enough to tell.
fn difference(mark: &Mark, call: CallId, showing: &Showing<'_>, frame: &Frame, surface: &mut dyn Surface) {
    match showing.difference(call) {
        Some(listener) => by_listener::style(listener, frame).draw(mark.at, mark.radius, surface),
        None => surface.circle(mark.at, 1.75, Some(frame.palette.soft), None),
    }
}

fn plate(mark: &Mark, edge: Colour, frame: &Frame, surface: &mut dyn Surface) {
    let width = frame.palette.weights.edge + 0.25;
    surface.circle(mark.at, mark.radius, Some(frame.palette.sheet), Some(&Pen::new(edge, width)));
}

fn write_count(mark: &Mark, frame: &Frame, surface: &mut dyn Surface) {
    let words = count(mark.members.len());
    let font = Font::new(Face::SansBold, frame.text_px);
    let room = 2.0 * mark.radius - 4.0;
    let needed = surface.text_width(&words, font);
    // in quarters of a pixel: a size of its own for each mark would have each measured and set anew
    let size = if needed > room { ((4.0 * font.size * room / needed).floor() / 4.0).max(8.0) } else { font.size };
    let at = mark.at.shifted(0.0, 0.36 * size);
    let text = Text::new(&words, at, Font::new(font.face, size), frame.palette.ink);
    surface.text(&text.anchored(Anchor::Middle));
}

fn draw_single(mark: &Mark, fill: Colour, input: &DiscInput<'_>, frame: &Frame, surface: &mut dyn Surface) {
    let pen = Pen::new(frame.palette.antenna(input.antenna).edge, frame.palette.weights.edge);
    draw_glyph(Glyph::of(input.antenna), mark.at, mark.radius, fill, &pen, surface);
}
