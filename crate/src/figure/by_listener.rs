//! Difference by listener: bearing across, dB up. The shape says which antenna is stronger there, the size how many pairs.

use super::decibels::{DecibelAxis, MarkStyle, draw_strip};
use super::disc::mark_radius;
use super::frame::{Frame, Size};
use crate::draw::{Anchor, Antenna, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::model::CallId;
use crate::order::LightSort;
use crate::study::Subject;
use crate::study::compare::ListenerDifference;
use crate::words::Length;
use crate::words::number::{NO_BREAK, bearing, count, counted, decimals};

/// Names of every 45 degrees, north at both ends.
const DIRECTIONS: [&str; 9] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW", "N"];
/// Differences beyond this do not widen the axis, dB: their marks stand at its end with an arrow.
const MOST_DB: f64 = 20.0;

/// What the plot shows.
#[derive(Clone, Copy, Debug)]
pub struct ByListenerInput<'a> {
    /// The tested antenna, which knows the calls.
    pub subject: &'a Subject<'a>,
    /// The differences; those without a bearing are left out.
    pub listeners: &'a [ListenerDifference],
    /// Name of antenna A.
    pub a: &'a str,
    /// Name of antenna B.
    pub b: &'a str,
    /// A difference within plus or minus this is too small to matter, dB.
    pub too_small_db: f64,
    /// Unit of distances.
    pub length: Length,
    /// The listener under the pointer or in keyboard focus.
    pub focused: Option<CallId>,
}

/// One mark.
#[derive(Clone, Debug, PartialEq)]
pub struct ScenePoint {
    /// Its listener.
    pub call: CallId,
    /// Its middle.
    pub x: f64,
    /// Its middle.
    pub y: f64,
    /// Its radius.
    pub radius: f64,
    /// What it says, in words.
    pub label: String,
}

/// All marks, by bearing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct PointScene {
    /// The marks.
    pub points: Vec<ScenePoint>,
}

impl PointScene {
    /// The mark at a place of the picture: of those within `slack` pixels the one whose edge is nearest.
    pub fn hit(&self, x: f64, y: f64, slack: f64) -> Option<usize> {
        let at = Point::new(x, y);
        let off = |point: &ScenePoint| (Point::new(point.x, point.y).distance(at) - point.radius).max(0.0);
        let near = (0..self.points.len()).filter(|&index| off(&self.points[index]) <= slack);
        near.min_by(|&a, &b| off(&self.points[a]).total_cmp(&off(&self.points[b])))
    }
}

/// Who is stronger at a listener; among equals A.
pub(super) fn stronger(listener: &ListenerDifference) -> Antenna {
    if listener.difference_db > 0.0 { Antenna::B } else { Antenna::A }
}

/// How a listener's mark looks: pale where chance may have made the difference.
pub(super) fn style(listener: &ListenerDifference, frame: &Frame) -> MarkStyle {
    let antenna = stronger(listener);
    if listener.holds_together { MarkStyle::of(antenna, frame) } else { MarkStyle::pale(antenna, frame) }
}

/// Draws the plot and says what lies where.
pub fn draw(input: &ByListenerInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> PointScene {
    let scale = frame.text_scale();
    let palette = &frame.palette;
    let font = Font::new(Face::Sans, frame.text_px);
    let reach = input.listeners.iter().filter(|one| one.bearing_deg.is_some()).map(|one| one.difference_db.abs());
    let most = reach.filter(|db| db.is_finite()).fold(0.0, f64::max);
    let axis = DecibelAxis::holding(most.min(MOST_DB).max(input.too_small_db.abs()));
    let labels = axis.labels();
    let widest = labels.iter().map(|(_, words)| surface.text_width(words, font)).fold(0.0, f64::max);
    let left = widest + 10.0 * scale;
    let right = (frame.width - 8.0 * scale).max(left + 16.0);
    let (top, base) = (8.0 * scale, (frame.height - 24.0 * scale).max(24.0 * scale));
    let pad = 10.0 * scale;
    let zero = f64::midpoint(top, base);
    let px_per_db = ((base - top) / 2.0 - pad).max(1.0) / axis.end_db();
    let y_of = |db: f64| (zero - db * px_per_db).clamp(top, base);

    surface.open_group("Axis");
    let small = input.too_small_db.abs();
    draw_strip(Point::new(left, y_of(small)), Point::new(frame.width, y_of(-small)), frame, surface);
    for (db, words) in &labels {
        let y = y_of(*db);
        if *db != 0.0 {
            let rule = Outline::segment(Point::new(left, y), Point::new(frame.width, y));
            surface.stroke(&rule, &Pen::new(palette.hair, 1.0));
        }
        let at = Point::new(widest, y + 0.36 * frame.text_px);
        surface.text(&Text::new(words, at, font, palette.soft).anchored(Anchor::End));
    }
    let ink = Pen::new(palette.ink, 1.25);
    surface.stroke(&Outline::segment(Point::new(left, zero), Point::new(frame.width, zero)), &ink);
    surface
        .stroke(&Outline::segment(Point::new(left, base), Point::new(frame.width, base)), &Pen::new(palette.ink, 1.0));
    let (west, east) = (left + pad, right - 4.0 * scale);
    for (at, words) in DIRECTIONS.iter().enumerate() {
        let x = west + (east - west) * at as f64 / 8.0;
        let tick = Outline::segment(Point::new(x, base), Point::new(x, base + 4.0));
        surface.stroke(&tick, &Pen::new(palette.ink, 1.0));
        let under = Point::new(x, base + 17.0 * scale);
        surface.text(&Text::new(words, under, font, palette.soft).anchored(Anchor::Middle));
    }
    surface.close_group();

    let mark_scale = palette.weights.mark_scale * if frame.size == Size::Full { 1.0 } else { 0.82 };
    let mut marks: Vec<(Point, f64, &ListenerDifference)> = input
        .listeners
        .iter()
        .filter_map(|one| {
            let x = west + (east - west) * one.bearing_deg?.rem_euclid(360.0) / 360.0;
            Some((Point::new(x, y_of(one.difference_db)), mark_radius(one.pairs) * mark_scale, one))
        })
        .collect();
    // large below, small above, pale below those that hold
    marks.order_by(|a, b| a.2.holds_together.cmp(&b.2.holds_together).then(b.1.total_cmp(&a.1)));
    surface.open_group("Listeners");
    for (at, radius, one) in &marks {
        style(one, frame).draw(*at, *radius, surface);
        if one.difference_db.abs() * px_per_db > (base - top) / 2.0 {
            let out = if one.difference_db > 0.0 { -1.0 } else { 1.0 };
            let tip = at.shifted(0.0, out * (radius + 5.0));
            let head = [tip, tip.shifted(-3.5, -4.0 * out), tip.shifted(3.5, -4.0 * out)];
            surface.fill(&Outline::polygon(&head), FillRule::NonZero, palette.ink);
        }
    }
    surface.close_group();
    if let Some((at, radius, _)) = marks.iter().find(|(_, _, one)| Some(one.call) == input.focused) {
        surface.circle(*at, radius + 4.5, None, Some(&Pen::new(palette.focus, 2.0)));
    }
    let mut points: Vec<ScenePoint> = marks
        .iter()
        .map(|(at, radius, one)| ScenePoint {
            call: one.call,
            x: at.x,
            y: at.y,
            radius: *radius,
            label: label(input, one),
        })
        .collect();
    points.order_by(|a, b| a.x.total_cmp(&b.x).then(a.call.cmp(&b.call)));
    PointScene { points }
}

/// Who is stronger at a listener, in words: `Vertical stronger by 2.1 dB from 14 pairs, which may be chance`.
pub(super) fn difference_words(one: &ListenerDifference, a: &str, b: &str) -> String {
    let name = match stronger(one) {
        Antenna::A => a,
        Antenna::B => b,
    };
    let chance = if one.holds_together { "" } else { ", which may be chance" };
    let by = decimals(one.difference_db.abs(), 1);
    format!("{name} stronger by {by}{NO_BREAK}dB from {}{chance}", counted(one.pairs, "pair", "pairs"))
}

fn label(input: &ByListenerInput<'_>, one: &ListenerDifference) -> String {
    let call = input.subject.table().stations().call(one.call);
    let far = one.distance_km.map_or_else(String::new, |km| format!(", {}", input.length.text(km)));
    let at = one.bearing_deg.map_or_else(String::new, |degrees| format!(" at{NO_BREAK}{}°", bearing(degrees)));
    format!("{call}{far}{at}: {}", difference_words(one, input.a, input.b))
}

/// What the plot shows, in one sentence.
pub fn summary(input: &ByListenerInput<'_>) -> String {
    if input.listeners.is_empty() {
        return "Difference by listener: no listener has pairs safe from the floor.".to_owned();
    }
    let of = |antenna: Antenna| input.listeners.iter().filter(|one| stronger(one) == antenna).count();
    let clear = input.listeners.iter().filter(|one| one.holds_together).count();
    let unplaced = input.listeners.iter().filter(|one| one.bearing_deg.is_none()).count();
    let mut sentence = format!(
        "Difference by listener against bearing: {} stronger at {} of {}, {} at {}; {} beyond chance when all are looked at together",
        input.b,
        count(of(Antenna::B)),
        counted(input.listeners.len(), "listener", "listeners"),
        input.a,
        count(of(Antenna::A)),
        count(clear)
    );
    if unplaced > 0 {
        sentence.extend(["; without a bearing and not drawn: ", &count(unplaced)]);
    }
    sentence.push('.');
    sentence
}
