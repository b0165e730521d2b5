//! What is written in the far margin: the farthest one's call and distance beside its mark, and what the margin means.

use super::DiscInput;
use super::gathering::Mark;
use super::layout::Layout;
use super::placing::{Part, Placed};
use crate::draw::{Anchor, ArcText, Colour, Face, Font, Halo, Reading, Surface};
use crate::figure::{Frame, Size};
use crate::words::number::{count, counted};

/// Where the note may stand, best first: bearings in degrees.
const NOTE_DEG: [f64; 8] = [180.0, 150.0, 210.0, 120.0, 240.0, 60.0, 300.0, 0.0];

/// More room than this beside words is as good, degrees.
const ROOM_DEG: f64 = 1.5;

/// Writes in the far margin.
pub(super) fn draw(
    input: &DiscInput<'_>,
    layout: &Layout,
    placed: &[Placed<'_>],
    marks: &[Mark],
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    if !layout.has_margin() || frame.size == Size::Mini {
        return;
    }
    let mut taken: Vec<(f64, f64)> = marks
        .iter()
        .filter(|mark| mark.part == Part::Margin)
        .map(|mark| (layout.centre.bearing_of(mark.at), angle(layout, mark.radius + 3.0)))
        .collect();
    if frame.size == Size::Phone {
        taken.push((super::rim::crossing(layout, 0.0).unwrap_or(0.0), angle(layout, 0.7 * frame.text_px)));
    }
    let font = Font::new(Face::Sans, frame.text_px);
    if layout.moved {
        let known = input.listeners.iter().filter(|listener| listener.far.is_some()).count();
        let words = format!("{} of {} in sight", count(placed.len()), counted(known, "listener", "listeners"));
        note(&words, font, &taken, layout, frame, surface);
        return;
    }
    let beyond = placed.iter().enumerate().filter(|(_, placed)| placed.part == Part::Margin);
    let farthest = beyond
        .max_by(|(_, a), (_, b)| a.distance_km.total_cmp(&b.distance_km).then(b.listener.call.cmp(&a.listener.call)));
    let Some((at, farthest)) = farthest else { return };
    let mut of_margin = marks.iter().filter(|mark| mark.part == Part::Margin);
    let Some(mark) = of_margin.find(|mark| mark.members.contains(&at)) else { return };
    let call = input.subject.table().stations().call(farthest.listener.call);
    let words = format!("{call} {}", input.length.text(farthest.distance_km));
    let width = angle(layout, surface.text_width(&words, font));
    let (at, gap) = (layout.centre.bearing_of(mark.at), angle(layout, mark.radius + 5.0));
    // beside its mark, on the side that is freer
    let free = |middle: f64| {
        taken
            .iter()
            .filter(|(bearing, _)| apart(*bearing, at) > 1e-6)
            .map(|&(bearing, half)| apart(bearing, middle) - half - width / 2.0)
            .fold(ROOM_DEG, f64::min)
    };
    let clockwise = at + gap + width / 2.0;
    let counter = at - gap - width / 2.0;
    let middle = if free(counter) > free(clockwise) + 1e-9 { counter } else { clockwise };
    on_rim(&words, middle, font, frame.palette.ink, layout, frame, surface);
    taken.push((middle.rem_euclid(360.0), width / 2.0 + angle(layout, 6.0)));
    if frame.size == Size::Full {
        let edge = input.length.text(layout.reach_km);
        let words = format!("beyond {edge}: bearing true, distance written");
        let font = Font::new(Face::Sans, 0.95 * frame.text_px);
        note(&words, font, &taken, layout, frame, surface);
    }
}

/// A soft note where the margin is free; left out where it nowhere is.
fn note(words: &str, font: Font, taken: &[(f64, f64)], layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let half = angle(layout, surface.text_width(words, font)) / 2.0;
    let clear = |middle: f64| taken.iter().all(|&(bearing, width)| apart(bearing, middle) > half + width);
    if let Some(middle) = NOTE_DEG.into_iter().find(|&middle| clear(middle)) {
        on_rim(words, middle, font, frame.palette.soft, layout, frame, surface);
    }
}

/// Words along the middle of the margin, never upside down.
fn on_rim(
    words: &str,
    middle_deg: f64,
    font: Font,
    colour: Colour,
    layout: &Layout,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let bearing_deg = middle_deg.rem_euclid(360.0);
    let middle = f64::midpoint(layout.map, layout.margin);
    let half_height = 0.36 * font.size;
    let (reading, radius) = if bearing_deg > 90.0 && bearing_deg < 270.0 {
        (Reading::Counterclockwise, middle + half_height)
    } else {
        (Reading::Clockwise, middle - half_height)
    };
    surface.text_on_arc(&ArcText {
        words,
        centre: layout.centre,
        radius,
        bearing_deg,
        reading,
        anchor: Anchor::Middle,
        font,
        colour,
        halo: Some(Halo { colour: frame.palette.paper, width: 3.0 }),
    });
}

/// So many pixels along the margin as degrees.
fn angle(layout: &Layout, pixels: f64) -> f64 {
    (pixels / f64::midpoint(layout.map, layout.margin)).to_degrees()
}

/// Degrees between two bearings, 0 to 180.
fn apart(a: f64, b: f64) -> f64 {
    ((a - b + 540.0).rem_euclid(360.0) - 180.0).abs()
}
