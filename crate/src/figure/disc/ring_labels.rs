//! Distances written on the rings, on the bearing clearest of marks.

use super::DiscInput;
use super::gathering::Mark;
use super::layout::Layout;
use crate::draw::{Anchor, Face, Font, Point, Surface, Text};
use crate::figure::{Frame, Size};

/// A label stays so far off a spoke, degrees.
const OFF_SPOKE_DEG: f64 = 11.0;
/// The bearing it is sought from.
const WISHED_DEG: f64 = 70.0;
/// Clearer than this is as good: pixels.
const CLEAR_PX: f64 = 12.0;

/// A label lies less than this inward of its ring, pixels; and less than this share of the way to the next ring.
const MOST_INWARD_PX: f64 = 48.0;
const MOST_INWARD_SHARE: f64 = 0.45;

/// A label's box: middle, half width, half height.
#[derive(Clone, Copy, Debug)]
struct Label {
    middle: Point,
    half_width: f64,
    half_height: f64,
}

/// Writes every second ring's distance, the outermost with its unit.
pub(super) fn draw(input: &DiscInput<'_>, layout: &Layout, marks: &[Mark], frame: &Frame, surface: &mut dyn Surface) {
    if frame.size == Size::Mini {
        return;
    }
    let font = Font::new(Face::Sans, frame.text_px);
    let mut labelled: Vec<f64> = layout.rings().filter(|(ring, _)| ring % 2 == 0).map(|(_, km)| km).collect();
    if labelled.is_empty() {
        labelled = layout.rings().map(|(_, km)| km).collect();
    }
    let spacing = layout.rings().next().map_or(MOST_INWARD_PX, |(_, km)| km * layout.px_per_km);
    let most_inward = MOST_INWARD_PX.min(MOST_INWARD_SHARE * spacing);
    // where the outermost cannot be written at its ring, those between are
    let sought = |km: f64, words: &str, wished: f64, surface: &dyn Surface| Sought {
        km,
        half_width: surface.text_width(words, font) / 2.0 + 2.0,
        half_height: 0.5 * frame.text_px + 1.0,
        wished,
        most_inward,
    };
    let fits = |km: f64| best(layout, sought(km, &input.length.text(km), WISHED_DEG, surface), |_| CLEAR_PX).is_some();
    if labelled.last().is_some_and(|&km| !fits(km)) {
        labelled = layout.rings().filter(|(ring, _)| ring % 2 == 1).map(|(_, km)| km).collect();
    }
    let words: Vec<String> = labelled
        .iter()
        .enumerate()
        .map(|(at, &km)| if at + 1 == labelled.len() { input.length.text(km) } else { input.length.figure(km) })
        .collect();
    surface.open_group("Rings");
    // all on one bearing where that is possible, the outermost choosing it
    let mut wished = WISHED_DEG;
    let mut written = Vec::new();
    for (km, words) in labelled.into_iter().zip(&words).rev() {
        let sought = sought(km, words, wished, surface);
        // the label may lie on its ring or somewhat inward of it: marks farther off are clear of it anyway
        let radius = km * layout.px_per_km;
        let reach = sought.half_width.hypot(sought.half_height) + CLEAR_PX;
        let near: Vec<&Mark> = marks
            .iter()
            .filter(|mark| {
                let off = layout.home.distance(mark.at) - radius;
                off < reach + mark.radius && off > -(reach + mark.radius + MOST_INWARD_PX)
            })
            .collect();
        let clearance = |label: &Label| {
            let from_marks = near.iter().map(|mark| label.clearance(mark.at, mark.radius));
            let from_words = written.iter().map(|other| label.clearance_of(other));
            from_marks.chain(from_words).fold(CLEAR_PX, f64::min)
        };
        let Some((bearing, label)) = best(layout, sought, clearance) else { continue };
        wished = bearing;
        written.push(label);
        let at = label.middle.shifted(0.0, 0.36 * frame.text_px);
        surface.text(
            &Text::new(words, at, font, frame.palette.soft)
                .anchored(Anchor::Middle)
                .with_halo(frame.palette.sheet, 4.0 * frame.text_scale()),
        );
    }
    surface.close_group();
}

/// What is to be written, and where if all is clear.
#[derive(Clone, Copy, Debug)]
struct Sought {
    km: f64,
    half_width: f64,
    half_height: f64,
    wished: f64,
    most_inward: f64,
}

/// The clearest bearing, nearest to the wished one among equals. `None` where the ring has no room for words in sight.
fn best(layout: &Layout, sought: Sought, clearance: impl Fn(&Label) -> f64) -> Option<(f64, Label)> {
    let mut best: Option<(f64, f64, Label)> = None;
    for degrees in (0..360_u16).step_by(2) {
        let bearing = f64::from(degrees);
        let from_spoke = (bearing % 45.0).min(45.0 - bearing % 45.0);
        if from_spoke < OFF_SPOKE_DEG {
            continue;
        }
        let Some(label) = fitted(layout, sought, bearing) else { continue };
        let off_wished = (bearing - sought.wished + 540.0).rem_euclid(360.0) - 180.0;
        let off = off_wished.abs() * 0.02;
        if best.is_some_and(|(score, _, _)| CLEAR_PX - off <= score) {
            continue; // not even in the clear
        }
        let score = clearance(&label) - off;
        if best.is_none_or(|(score_so_far, _, _)| score > score_so_far + 1e-9) {
            best = Some((score, bearing, label));
        }
    }
    best.map(|(_, bearing, label)| (bearing, label))
}

/// The label on its ring, or moved inward along the bearing as far as it needs to lie inside the map.
fn fitted(layout: &Layout, sought: Sought, bearing: f64) -> Option<Label> {
    let Sought { km, half_width, half_height, most_inward, .. } = sought;
    let radius = km * layout.px_per_km;
    (0..24_u8).map(|step| f64::from(step) * most_inward / 24.0).find_map(|inward| {
        let middle = layout.home.toward(bearing, radius - inward);
        let label = Label { middle, half_width, half_height };
        let inside = label.corners().into_iter().all(|corner| layout.centre.distance(corner) < layout.map - 3.0);
        inside.then_some(label)
    })
}

impl Label {
    fn corners(&self) -> [Point; 4] {
        let (w, h) = (self.half_width, self.half_height);
        [(-w, -h), (w, -h), (w, h), (-w, h)].map(|(dx, dy)| self.middle.shifted(dx, dy))
    }

    /// Pixels between the label and a circle; negative where they overlap.
    fn clearance(&self, at: Point, radius: f64) -> f64 {
        let dx = ((at.x - self.middle.x).abs() - self.half_width).max(0.0);
        let dy = ((at.y - self.middle.y).abs() - self.half_height).max(0.0);
        (dx * dx + dy * dy).sqrt() - radius
    }

    /// Pixels between two labels; negative where they overlap.
    fn clearance_of(&self, other: &Self) -> f64 {
        let dx = (other.middle.x - self.middle.x).abs() - self.half_width - other.half_width;
        let dy = (other.middle.y - self.middle.y).abs() - self.half_height - other.half_height;
        dx.max(dy)
    }
}
