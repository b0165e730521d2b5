//! Angles: two bars for each class of likely take-off angle, with a whisker over the heights that the layer may have.
//! Spots and listeners of one run, or the spots of two. The classes are of unequal width: the axis is a list, not a scale.

use super::bars::{BarScene, SceneBar};
use super::decibels::hollow_width;
use super::frame::{Frame, Size};
use super::hours::Key;
use crate::draw::axis::Axis;
use crate::draw::{Anchor, Antenna, Colour, Face, FillRule, Font, Outline, Pen, Point, Surface, Text, Theme};
use crate::study::Layer;
use crate::study::angles::{ANGLE_CLASSES, ANGLE_EDGES_DEG, AngleCount, AngleCounts};
use crate::words::angles::range;
use crate::words::number::{NO_BREAK, counted, decimals, whole};

/// Share of a column that its two bars take, and the gap between them as a share of it.
const BARS_SHARE: f64 = 0.76;
const GAP_SHARE: f64 = 0.08;
/// So many lines of the axis, whichever leaves less room empty.
const LINES: [u32; 2] = [3, 4];

/// A line of the key, pixels of 12 px type.
const KEY_LINE_PX: f64 = 17.0;

/// One of the two bars of each class.
#[derive(Clone, Debug, PartialEq)]
pub struct Series {
    /// What it counts: a run's name, or `spots`, `listeners`.
    pub label: String,
    /// How many in each class: at the assumed height, at least and at most over its range.
    counts: [(usize, usize, usize); ANGLE_CLASSES],
    /// Of how many.
    of: usize,
    /// One and several of what is counted.
    nouns: (&'static str, &'static str),
    /// Solid in this antenna's colour or hollow, or the like in grey.
    look: Look,
    /// Half of the spots lie below this angle, and the range of it.
    half_deg: Option<(f64, f64, f64)>,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Look {
    /// The antenna's own: A solid, B hollow.
    Of(Antenna),
    /// Grey, and filled the other way, beside an antenna's own.
    Beside(Antenna),
}

impl Series {
    /// The spots of an antenna.
    pub fn spots(label: &str, antenna: Antenna, counts: &AngleCounts) -> Self {
        let (low, high) = counts.half_under_range_deg.unwrap_or_default();
        Self {
            label: label.to_owned(),
            counts: counts.classes.map(|class: AngleCount| (class.spots, class.spots_range.0, class.spots_range.1)),
            of: counts.spots,
            nouns: ("spot", "spots"),
            look: Look::Of(antenna),
            half_deg: counts.half_under_deg.map(|half| (half, low, high)),
        }
    }

    /// The listeners of an antenna, to stand beside its spots.
    pub fn listeners(label: &str, antenna: Antenna, counts: &AngleCounts) -> Self {
        let of_class = |class: AngleCount| (class.listeners, class.listeners_range.0, class.listeners_range.1);
        Self {
            label: label.to_owned(),
            counts: counts.classes.map(of_class),
            of: counts.listeners,
            nouns: ("listener", "listeners"),
            look: Look::Beside(antenna),
            half_deg: None,
        }
    }

    fn percent(&self, n: usize) -> f64 {
        if self.of == 0 { 0.0 } else { 100.0 * n as f64 / self.of as f64 }
    }

    fn colour(&self, frame: &Frame) -> (Colour, bool) {
        match self.look {
            Look::Of(antenna) => (frame.palette.antenna(antenna).mark, antenna == Antenna::A),
            Look::Beside(antenna) => (frame.palette.soft, antenna == Antenna::B),
        }
    }

    /// `Doublet: 9 % (5 to 13), 470 spots`.
    fn words(&self, class: usize) -> String {
        let (n, least, most) = self.counts[class];
        let percent = |n| decimals(self.percent(n), 0);
        format!(
            "{}: {}{NO_BREAK}% ({} to {}), {}",
            self.label,
            percent(n),
            percent(least),
            percent(most),
            counted(n, self.nouns.0, self.nouns.1)
        )
    }
}

/// What the picture shows.
#[derive(Clone, Copy, Debug)]
pub struct AnglesInput<'a> {
    /// The two bars of each class, left to right.
    pub series: &'a [Series; 2],
    /// The layer that was assumed.
    pub layer: Layer,
    /// Where the key stands.
    pub key: Key,
}

/// How high the picture wants to be, pixels.
pub fn height(key: Key, frame: &Frame) -> f64 {
    256.0 * frame.text_scale() + key_height(key, frame)
}

/// Height of the key: on a hand-held screen its entries stand below each other.
fn key_height(key: Key, frame: &Frame) -> f64 {
    let lines = match key {
        Key::Outside => return 0.0,
        Key::Inside if frame.size == Size::Phone => 2.0,
        Key::Inside => 1.0,
    };
    (6.0 + KEY_LINE_PX * lines) * frame.text_scale()
}

/// `5–10`: a class as the axis writes it.
fn written(class: usize) -> [String; 2] {
    [0, 1].map(|end| decimals(ANGLE_EDGES_DEG[class + end], 0))
}

/// Draws the bars and says what lies where: one entry a class, from the horizon up.
pub fn draw(input: &AnglesInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    if input.key == Key::Inside {
        key(input, frame, surface);
    }
    let most = |series: &Series| series.counts.iter().map(|class| series.percent(class.2)).fold(0.0, f64::max);
    let greatest = input.series.iter().map(most).fold(1.0, f64::max);
    let [axis, other] = LINES.map(|lines| Axis::holding(greatest, lines));
    let axis = if other.end() < axis.end() { other } else { axis };
    let left = (surface.text_width(&whole(axis.end()), font) + 12.0 * scale).round();
    let column = (frame.width - left).max(18.0) / ANGLE_CLASSES as f64;
    let whole_words = |class| written(class).join("\u{2013}");
    let fits = (0..ANGLE_CLASSES).all(|class| surface.text_width(&whole_words(class), font) + 4.0 <= column);
    let top = key_height(input.key, frame) + 8.0 * scale;
    let base = (frame.height - if fits { 42.0 } else { 56.0 } * scale).max(top + 12.0);
    let y_of = |percent: f64| base - (base - top) * percent / axis.end();

    for line in axis.lines() {
        let y = y_of(line);
        let rule = Outline::segment(Point::new(left, y), Point::new(frame.width, y));
        surface.stroke(&rule, &Pen::new(palette.hair, 1.0));
        percent_label(line, y, left, frame, surface);
    }
    percent_label(0.0, base, left, frame, surface);
    let mut scene = BarScene::default();
    for class in 0..ANGLE_CLASSES {
        let x = left + column * class as f64;
        let bars = BARS_SHARE * column;
        let gap = GAP_SHARE * column;
        let width = (bars - gap) / 2.0;
        for (at, series) in input.series.iter().enumerate() {
            let from = x + (column - bars) / 2.0 + (width + gap) * at as f64;
            draw_bar(series, class, (from, width), &y_of, frame, surface);
        }
        let middle = x + column / 2.0;
        let mut say = |words: &str, line: f64| {
            let at = Point::new(middle, base + (4.0 + 14.0 * line) * scale);
            surface.text(&Text::new(words, at, font, palette.ink).anchored(Anchor::Middle));
        };
        if fits {
            say(&whole_words(class), 1.0);
        } else {
            let [from, to] = written(class);
            say(&format!("{from}\u{2013}"), 1.0);
            say(&to, 2.0);
        }
        let [first, second] = input.series.each_ref().map(|series| series.words(class));
        let (low, high) = input.layer.range_km();
        scene.bars.push(SceneBar {
            x,
            y: 0.0,
            width: column,
            height: frame.height,
            label: format!(
                "{}. {first}; {second}. In brackets: layer from {} to {}{NO_BREAK}km.",
                range((ANGLE_EDGES_DEG[class], ANGLE_EDGES_DEG[class + 1])),
                whole(low),
                whole(high)
            ),
        });
    }
    surface
        .stroke(&Outline::segment(Point::new(left, base), Point::new(frame.width, base)), &Pen::new(palette.ink, 1.0));
    let under = Point::new(f64::midpoint(left, frame.width), frame.height - 6.0 * scale);
    let caption = Text::new("degrees above the horizon", under, font, palette.soft);
    surface.text(&caption.anchored(Anchor::Middle));
    scene
}

fn percent_label(percent: f64, y: f64, left: f64, frame: &Frame, surface: &mut dyn Surface) {
    let words = decimals(percent, usize::from(percent.fract() != 0.0));
    let at = Point::new(left - 8.0 * frame.text_scale(), y + 0.36 * frame.text_px);
    let font = Font::new(Face::Sans, frame.text_px);
    surface.text(&Text::new(&words, at, font, frame.palette.soft).anchored(Anchor::End));
}

/// A bar from and as wide as `across`, with its whisker.
fn draw_bar(
    series: &Series,
    class: usize,
    across: (f64, f64),
    y_of: &dyn Fn(f64) -> f64,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let (x, width) = across;
    let (n, least, most) = series.counts[class];
    let base = y_of(0.0);
    let (y, low, high) = (y_of(series.percent(n)), y_of(series.percent(least)), y_of(series.percent(most)));
    if n > 0 {
        bar(series, (x, y.min(base - 1.0), width, base), frame, surface);
    }
    if most > least {
        let sun = frame.palette.theme == Theme::Sun;
        let pen = Pen::new(frame.palette.ink, if sun { 2.0 } else { 1.0 });
        let middle = x + width / 2.0;
        let cap = (width / 2.0).min(4.0 * frame.text_scale());
        let mut whisker = Outline::segment(Point::new(middle, low), Point::new(middle, high));
        for y in [low, high] {
            whisker.add_line(&[Point::new(middle - cap, y), Point::new(middle + cap, y)]);
        }
        surface.stroke(&whisker, &pen);
    }
}

/// An area in the look of a series: left, top, width, and where it stands.
fn bar(series: &Series, area: (f64, f64, f64, f64), frame: &Frame, surface: &mut dyn Surface) {
    let (x, y, width, base) = area;
    let (colour, solid) = series.colour(frame);
    if solid {
        surface.fill(&Outline::rectangle(x, y, width, base - y), FillRule::NonZero, colour);
    } else {
        let pen = hollow_width(frame);
        let inner = Outline::rectangle(x + pen / 2.0, y + pen / 2.0, width - pen, (base - y - pen).max(0.0));
        surface.fill(&inner, FillRule::NonZero, frame.palette.sheet);
        surface.stroke(&inner, &Pen::new(colour, pen));
    }
}

/// The key over the bars.
fn key(input: &AnglesInput<'_>, frame: &Frame, surface: &mut dyn Surface) {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let swatch = 10.0 * scale;
    let (mut x, mut y) = (0.0, 0.0);
    for series in input.series {
        bar(series, (x, y + 2.0 * scale, swatch, y + 2.0 * scale + swatch), frame, surface);
        x += swatch + 6.0 * scale;
        let words = format!("{}, % of {}", series.label, counted(series.of, series.nouns.0, series.nouns.1));
        surface.text(&Text::new(&words, Point::new(x, y + 11.0 * scale), font, frame.palette.ink));
        if frame.size == Size::Phone {
            (x, y) = (0.0, y + KEY_LINE_PX * scale);
        } else {
            x += surface.text_width(&words, font) + 20.0 * scale;
        }
    }
}

/// What the bars show, in one sentence or two.
pub fn summary(input: &AnglesInput<'_>) -> String {
    let mut said = format!("Likely take-off angles, layer at {}{NO_BREAK}km:", whole(input.layer.height_km()));
    for (at, series) in input.series.iter().enumerate() {
        let most = (0..ANGLE_CLASSES).rev().max_by_key(|&class| series.counts[class].0);
        let joint = if at == 0 { " " } else { "; " };
        let Some(class) = most.filter(|_| series.of > 0) else {
            said.extend([joint, &series.label, ", none"]);
            continue;
        };
        let edges = (ANGLE_EDGES_DEG[class], ANGLE_EDGES_DEG[class + 1]);
        let share = decimals(series.percent(series.counts[class].0), 0);
        let words = format!("{joint}{}, most from {} ({share}{NO_BREAK}%)", series.label, range(edges));
        said.push_str(&words);
        if let Some((half, low, high)) = series.half_deg {
            let [half, low, high] = [half, low, high].map(|deg| decimals(deg, 0));
            said.extend([", half under ", &half, "° (", &low, " to ", &high, " with other heights)"]);
        }
    }
    said + "."
}
