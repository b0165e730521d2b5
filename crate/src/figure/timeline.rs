//! Time: spots per step over the whole span. When filters are on, all spots stand hollow and what is shown solid in them.

use super::bars::{BarScene, SceneBar};
use super::frame::Frame;
use crate::draw::{Antenna, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::study::Timeline;
use crate::time::{DAY_S, UtcTime};
use crate::words::calendar::date;
use crate::words::number::{NO_BREAK, count, counted};

/// Steps between labels in seconds: 30 minutes, 1, 3, 6, 12 hours, 1, 2, 7, 14, 28 days, a quarter, a year.
const LABEL_STEPS_S: [i64; 12] = [
    1800,
    3600,
    3 * 3600,
    6 * 3600,
    12 * 3600,
    DAY_S,
    2 * DAY_S,
    7 * DAY_S,
    14 * DAY_S,
    28 * DAY_S,
    91 * DAY_S,
    364 * DAY_S,
];
const WEEKDAYS: [&str; 7] = ["Thu", "Fri", "Sat", "Sun", "Mon", "Tue", "Wed"]; // 1970 began on a Thursday
const MONTHS: [&str; 12] = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

/// What the strip shows.
#[derive(Clone, Copy, Debug)]
pub struct TimelineInput<'a> {
    /// All spots.
    pub all: &'a Timeline,
    /// What filters leave, in the same steps; `None` without filters.
    pub shown: Option<&'a Timeline>,
    /// Where the two handles of the time filter stand; `None` where they are no part of the picture.
    pub handles: Option<(UtcTime, UtcTime)>,
    /// Whose spots they are.
    pub antenna: Antenna,
}

/// A drawn strip.
#[derive(Clone, Debug, PartialEq)]
pub struct TimelineScene {
    /// The steps.
    pub bars: BarScene,
    /// Where the span begins, pixels.
    pub left: f64,
    /// Where it ends, pixels.
    pub right: f64,
    /// When it begins.
    pub start: UtcTime,
    /// When it ends.
    pub end: UtcTime,
}

impl TimelineScene {
    /// Where an instant lies; instants outside the span lie at its ends.
    pub fn x_of(&self, time: UtcTime) -> f64 {
        x_of(self.left, self.right, self.start, self.end, time)
    }

    /// The instant at a place of the picture, to the second; places outside mean the ends of the span.
    pub fn time_at(&self, x: f64) -> UtcTime {
        let share = ((x - self.left) / (self.right - self.left)).clamp(0.0, 1.0);
        let span = (self.end.unix_s() - self.start.unix_s()) as f64;
        #[expect(clippy::cast_possible_truncation, reason = "a share of a span of seconds")]
        let seconds = if share.is_finite() { (share * span).round() as i64 } else { 0 };
        self.start.plus_s(seconds).unwrap_or(self.start)
    }
}

pub(super) fn x_of(left: f64, right: f64, start: UtcTime, end: UtcTime, time: UtcTime) -> f64 {
    let span = (end.unix_s() - start.unix_s()).max(1) as f64;
    let share = (time.unix_s() - start.unix_s()) as f64 / span;
    left + (right - left) * share.clamp(0.0, 1.0)
}

/// Draws the strip and says what lies where.
pub fn draw(input: &TimelineInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> TimelineScene {
    let scale = frame.text_scale();
    let palette = &frame.palette;
    let (left, right) = (8.0, (frame.width - 8.0).max(9.0));
    let (top, base) = (6.0, (frame.height - 20.0 * scale).max(10.0));
    let (start, end) = (input.all.start, input.all.end());
    let most = input.all.spots.iter().copied().max().unwrap_or(0).max(1) as f64;
    let steps = input.all.spots.len().max(1);
    let column = (right - left) / steps as f64;
    let gap = if column >= 6.0 { 2.0 } else { 0.25 * column };
    let bar = |at: usize, spots: usize| {
        // a single spot among hundreds must not vanish
        let height = ((base - top) * spots as f64 / most).max(2.0);
        let (x, width) = (left + column * at as f64 + gap / 2.0, column - gap);
        (spots > 0).then(|| Outline::rectangle(x, base - height, width, height))
    };
    let mut scene = BarScene::default();
    for (at, &spots) in input.all.spots.iter().enumerate() {
        let shown = input.shown.map(|shown| shown.spots.get(at).copied().unwrap_or(0));
        if let Some(shape) = bar(at, spots) {
            if shown.is_none() {
                surface.fill(&shape, FillRule::NonZero, palette.soft);
            } else {
                surface.fill(&shape, FillRule::NonZero, palette.sheet);
                surface.stroke(&shape, &Pen::new(palette.soft, 0.75));
            }
        }
        if let Some(shape) = shown.and_then(|shown| bar(at, shown)) {
            surface.fill(&shape, FillRule::NonZero, palette.antenna(input.antenna).ink);
        }
        scene.bars.push(SceneBar {
            x: left + column * at as f64,
            y: 0.0,
            width: column,
            height: frame.height,
            label: label(input.all, at, spots, shown),
        });
    }
    let axis = Outline::segment(Point::new(left, base), Point::new(right, base));
    surface.stroke(&axis, &Pen::new(palette.ink, 1.0));
    draw_labels(start, end, frame, (left, right), surface);
    if let Some((from, to)) = input.handles {
        for time in [from, to] {
            draw_handle(x_of(left, right, start, end, time), base, frame, surface);
        }
    }
    TimelineScene { bars: scene, left, right, start, end }
}

/// Labels under the axis at round instants, as close as they can be read.
pub(super) fn draw_labels(start: UtcTime, end: UtcTime, frame: &Frame, sides: (f64, f64), surface: &mut dyn Surface) {
    let font = Font::new(Face::Sans, frame.text_px);
    let span = (end.unix_s() - start.unix_s()).max(1);
    let days = span > 2 * DAY_S;
    let room = if days { surface.text_width("Wed 30 Sep", font) } else { surface.text_width("00:00", font) };
    let most = ((sides.1 - sides.0) / (room + 24.0 * frame.text_scale())).max(1.0);
    let step = LABEL_STEPS_S
        .into_iter()
        .filter(|&step| !days || step >= DAY_S)
        .find(|&step| span as f64 / step as f64 <= most)
        .unwrap_or(364 * DAY_S);
    let first = start.unix_s().div_euclid(step) * step;
    let under = frame.height - 2.0 * frame.text_scale();
    let mut free_from = f64::NEG_INFINITY;
    for number in 0.. {
        let at = first + step * number;
        if at > end.unix_s() {
            break;
        }
        let Some(time) = UtcTime::from_unix_s(at).filter(|_| at >= start.unix_s()) else { continue };
        let words = if days {
            day(time)
        } else if at == end.unix_s() && time.clock() == "00:00" {
            "24:00".to_owned()
        } else {
            time.clock()
        };
        let x = x_of(sides.0, sides.1, start, end, time);
        let width = surface.text_width(&words, font);
        // the first and last words stay over the axis
        let begin = (x - width / 2.0).clamp(sides.0, (sides.1 - width).max(sides.0));
        if begin < free_from {
            continue;
        }
        free_from = begin + width + 6.0;
        surface.text(&Text::new(&words, Point::new(begin, under), font, frame.palette.soft));
    }
}

/// `Thu 16 Jan`.
fn day(time: UtcTime) -> String {
    let (_, month, day) = time.date();
    let weekday = usize::try_from(time.unix_s().div_euclid(DAY_S).rem_euclid(7)).unwrap_or(0);
    let month = MONTHS.get(month.saturating_sub(1) as usize).copied().unwrap_or_default();
    format!("{}{NO_BREAK}{day}{NO_BREAK}{month}", WEEKDAYS[weekday])
}

/// A handle of the time filter: a line with a grip.
fn draw_handle(x: f64, base: f64, frame: &Frame, surface: &mut dyn Surface) {
    let pen = Pen::new(frame.palette.ink, 1.5);
    surface.stroke(&Outline::segment(Point::new(x, 0.0), Point::new(x, base + 3.0)), &pen);
    let grip = Outline::rectangle(x - 4.5, base / 2.0 - 9.0, 9.0, 18.0);
    surface.fill(&grip, FillRule::NonZero, frame.palette.paper);
    surface.stroke(&grip, &pen);
}

fn label(all: &Timeline, at: usize, spots: usize, shown: Option<usize>) -> String {
    let instant = |step: usize| {
        let seconds = all.step_s.saturating_mul(i64::try_from(step).unwrap_or(i64::MAX));
        all.start.plus_s(seconds).unwrap_or(all.start)
    };
    let (from, to) = (instant(at), instant(at + 1));
    let when = if all.step_s >= DAY_S {
        format!("from {}", date(from))
    } else {
        format!("{}, {} to {} UTC", date(from), from.clock(), to.clock())
    };
    match shown {
        Some(shown) => format!("{when}: {} of {}", count(shown), counted(spots, "spot", "spots")),
        None => format!("{when}: {}", counted(spots, "spot", "spots")),
    }
}

/// What the strip shows, in one sentence.
pub fn summary(input: &TimelineInput<'_>) -> String {
    let total: usize = input.all.spots.iter().sum();
    let greatest = (0..input.all.spots.len()).rev().max_by_key(|&at| input.all.spots[at]);
    let Some(at) = greatest.filter(|_| total > 0) else {
        return "Spots over time: none.".to_owned();
    };
    let shown = input
        .shown
        .map_or_else(String::new, |shown| format!(" {} of them are shown.", count(shown.spots.iter().sum::<usize>())));
    format!(
        "{} over time, most in the step {}.{shown}",
        counted(total, "spot", "spots"),
        label(input.all, at, input.all.spots[at], None)
    )
}
