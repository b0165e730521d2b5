//! Health: the share of sends heard over time as bars, silent spans hatched in a frame with their length above, and below
//! them how far the sender's frequency lay from its middle; that line breaks where there was silence.

use super::bars::{BarScene, SceneBar};
use super::decibels::shortened;
use super::frame::Frame;
use super::timeline::{draw_labels, x_of};
use crate::draw::axis::round_up;
use crate::draw::{Anchor, Antenna, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::study::health::{BandFrequency, Sender, Silence, Step};
use crate::time::UtcTime;
use crate::words::calendar::date;
use crate::words::health::{answer, long};
use crate::words::number::{MINUS, NO_BREAK, count, decimals};

/// Distance of the lines of a hatching, pixels.
const HATCH_PX: f64 = 4.5;
/// Least half of the axis of the drift, Hz: whole Hz are what reports give.
const LEAST_HZ: f64 = 2.0;

/// What the picture shows.
#[derive(Clone, Copy, Debug)]
pub struct HealthInput<'a> {
    /// The sender.
    pub sender: &'a Sender,
    /// Its name.
    pub name: &'a str,
    /// Whose colours it has.
    pub antenna: Antenna,
}

impl<'a> HealthInput<'a> {
    /// The band whose drift is shown: the one with most reports on which the sender does not hop and the listeners agree.
    pub fn drift(&self) -> Option<&'a BandFrequency> {
        self.sender
            .frequency
            .iter()
            .find(|of_band| !of_band.steps.is_empty() && !of_band.hops() && !of_band.is_blurred())
    }
}

/// Where the parts of the picture lie, pixels.
struct Place {
    left: f64,
    right: f64,
    /// Upper and lower end of the bars.
    bars: (f64, f64),
    /// Upper and lower end of the drift, if there is one.
    drift: Option<(f64, f64)>,
    start: UtcTime,
    end: UtcTime,
}

impl Place {
    fn of(input: &HealthInput<'_>, frame: &Frame) -> Self {
        let scale = frame.text_scale();
        let (top, base) = (18.0 * scale, (frame.height - 20.0 * scale).max(40.0));
        let middle = top + (base - top) * 0.58;
        let drift = input.drift().map(|_| (middle + 22.0 * scale, base));
        let course = &input.sender.course;
        let length = course.step_s * i64::try_from(course.steps.len()).unwrap_or(1);
        Self {
            left: 46.0 * scale,
            right: (frame.width - 8.0).max(47.0 * scale),
            bars: (top, drift.map_or(base, |_| middle)),
            drift,
            start: course.start,
            end: course.start.plus_s(length).unwrap_or(course.start),
        }
    }

    fn x(&self, time: UtcTime) -> f64 {
        x_of(self.left, self.right, self.start, self.end, time)
    }
}

/// Draws the picture and says what lies where.
pub fn draw(input: &HealthInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let place = Place::of(input, frame);
    let scene = bars(input, frame, &place, surface);
    for silence in &input.sender.silences.all_bands {
        hatched(silence, frame, &place, surface);
    }
    if let Some((of_band, ends)) = input.drift().zip(place.drift) {
        drift(of_band, input, frame, &place, ends, surface);
    }
    draw_labels(place.start, place.end, frame, (place.left, place.right), surface);
    scene
}

/// A caption at the left, right-aligned to the axis.
fn caption(words: &str, y: f64, frame: &Frame, place: &Place, surface: &mut dyn Surface) {
    let font = Font::new(Face::Sans, frame.text_px);
    let at = Point::new(place.left - 6.0, y + 0.35 * frame.text_px);
    surface.text(&Text::new(words, at, font, frame.palette.soft).anchored(Anchor::End));
}

fn bars(input: &HealthInput<'_>, frame: &Frame, place: &Place, surface: &mut dyn Surface) -> BarScene {
    let palette = &frame.palette;
    let course = &input.sender.course;
    let (top, base) = place.bars;
    let known = course.steps.iter().any(|step| step.expected > 0);
    let most = course.steps.iter().map(|step| step.heard).max().unwrap_or(0).max(1);
    let full = if known { 1.0 } else { round_up(most as f64) };
    let words = if known { format!("100{NO_BREAK}%") } else { decimals(full, 0) };
    let line = |y: f64| Outline::segment(Point::new(place.left, y), Point::new(place.right, y));
    surface.stroke(&line(top), &Pen::new(palette.hair, 1.0));
    caption(&words, top, frame, place, surface);
    caption("0", base, frame, place, surface);
    let mut scene = BarScene::default();
    for (at, step) in (0..).zip(&course.steps) {
        let (Some(from), Some(to)) =
            (course.start.plus_s(course.step_s * at), course.start.plus_s(course.step_s * (at + 1)))
        else {
            continue;
        };
        let (x, next) = (place.x(from), place.x(to));
        let gap = if next - x >= 6.0 { 2.0 } else { 0.25 * (next - x) };
        let share = if known { step.share().unwrap_or(0.0).min(1.0) } else { step.heard as f64 / full };
        if share > 0.0 {
            let height = ((base - top) * share).max(1.0);
            let bar = Outline::rectangle(x + gap / 2.0, base - height, next - x - gap, height);
            surface.fill(&bar, FillRule::NonZero, palette.antenna(input.antenna).mark);
        }
        let heard = match step.share() {
            Some(_) => format!("{} of {} sends heard", count(step.heard), count(step.expected)),
            None => format!("{} sends heard", count(step.heard)),
        };
        let label = format!("{}, {} to {} UTC: {heard}", date(from), from.clock(), to.clock());
        scene.bars.push(SceneBar { x, y: 0.0, width: next - x, height: frame.height, label });
    }
    surface.stroke(&line(base), &Pen::new(palette.ink, 1.0));
    scene
}

/// A silent span: hatched at 45 degrees in an ink frame, its length above.
fn hatched(silence: &Silence, frame: &Frame, place: &Place, surface: &mut dyn Surface) {
    let palette = &frame.palette;
    let (left, right) = (place.x(silence.span.from), place.x(silence.span.to));
    let width = (right - left).max(2.0);
    if let Some((top, base)) = place.drift {
        surface.stroke(
            &Outline::rectangle(left, top, width, base - top).hatching(HATCH_PX),
            &Pen::new(palette.soft, 0.75),
        );
    }
    let (top, base) = place.bars;
    let height = base - top;
    let shape = Outline::rectangle(left, top, width, height);
    surface.fill(&shape, FillRule::NonZero, palette.sheet);
    surface.stroke(&shape.hatching(HATCH_PX), &Pen::new(palette.soft, 0.75));
    surface.stroke(&shape, &Pen::new(palette.ink, 1.0));
    let font = Font::new(Face::Sans, frame.text_px);
    let length = long(silence.span.to.unix_s() - silence.span.from.unix_s());
    let room = surface.text_width(&length, font);
    // where many stand close together only what has room is written
    if room > width + 24.0 {
        return;
    }
    let at =
        (left + width / 2.0).clamp(place.left + room / 2.0, (place.right - room / 2.0).max(place.left + room / 2.0));
    let text = Text::new(&length, Point::new(at, top - 5.0), font, palette.ink).anchored(Anchor::Middle);
    surface.text(&text);
}

/// The sender's offset over time, broken where steps are missing or a silence lies between them.
fn drift(
    of_band: &BandFrequency,
    input: &HealthInput<'_>,
    frame: &Frame,
    place: &Place,
    (top, base): (f64, f64),
    surface: &mut dyn Surface,
) {
    let palette = &frame.palette;
    let most = of_band.steps.iter().map(|step| step.offset_hz.abs()).fold(LEAST_HZ, f64::max);
    let half = round_up(most);
    let middle = f64::midpoint(top, base);
    let y = |hz: f64| middle - hz / half * (base - top) / 2.0;
    let line = |y: f64| Outline::segment(Point::new(place.left, y), Point::new(place.right, y));
    let figure = decimals(half, usize::from(half.fract() > 0.0));
    for (hz, words) in [(half, format!("+{figure}")), (-half, format!("{MINUS}{figure}"))] {
        surface.stroke(&line(y(hz)), &Pen::new(palette.hair, 1.0));
        caption(&words, y(hz), frame, place, surface);
    }
    surface.stroke(&line(middle), &Pen::new(palette.ink, 1.0));
    caption("0", middle, frame, place, surface);
    let font = Font::new(Face::Sans, frame.text_px);
    let words = format!("{}: Hz from the middle, median of listeners", of_band.band.label());
    let words = shortened(&words, font, place.right - place.left, surface);
    surface.text(&Text::new(&words, Point::new(place.left, top - 6.0), font, palette.soft));
    let silent = |from: UtcTime, to: UtcTime| {
        let mut all = input.sender.silences.all_bands.iter();
        all.any(|silence| silence.span.from < to && from < silence.span.to && silence.span.hours() >= 1.0)
    };
    let together = |a: UtcTime, b: UtcTime| b.unix_s() - a.unix_s() <= of_band.step_s && !silent(a, b);
    let half_step = of_band.step_s / 2;
    for part in of_band.steps.chunk_by(|a, b| together(a.start, b.start)) {
        let at =
            |step: &Step| Point::new(place.x(step.start.plus_s(half_step).unwrap_or(step.start)), y(step.offset_hz));
        let points: Vec<Point> = part.iter().map(at).collect();
        let ink = palette.antenna(input.antenna).ink;
        if let [lone] = points[..] {
            surface.circle(lone, 1.5, Some(ink), None);
            continue;
        }
        let mut outline = Outline::new();
        outline.add_line(&points);
        surface.stroke(&outline, &Pen::new(ink, 1.5));
    }
}

/// What the picture shows, in one sentence.
pub fn summary(input: &HealthInput<'_>) -> String {
    answer(input.name, input.sender)
}
