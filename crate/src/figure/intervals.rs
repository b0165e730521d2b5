//! Interval plot: one row a band, sector or hour; zero in the middle, A stronger to the left, B to the right.

use super::bars::{BarScene, SceneBar};
use super::decibels::{DecibelAxis, MarkStyle, draw_strip, hollow_width, shortened};
use super::frame::Frame;
use crate::draw::glyph::Glyph;
use crate::draw::{Anchor, Antenna, Colour, Face, FillRule, Font, Outline, Pen, Point, Surface, Text, Theme};
use crate::study::compare::{Part, Verdict};
use crate::words::number::{MISSING, NO_BREAK, decimals, difference};
use crate::words::verdict::not_enough;

/// What stands in a row.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IntervalLook {
    /// A solid circle of A.
    AStronger,
    /// A hollow triangle of B.
    BStronger,
    /// A square of ink.
    NoDifference,
    /// A soft hollow circle, its line dashed.
    NotEnough,
    /// A's circle, soft and hollow: it does not survive the correction for many looks.
    PaleA,
    /// B's triangle, soft and hollow, likewise.
    PaleB,
    /// A further run in a shape of its own, in ink.
    Further(Glyph),
}

/// Are the rows few enough for each verdict to stand for itself, or many, so that some differ by chance?
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looks {
    /// Each for itself, as bands are.
    Single,
    /// Many together, as sectors and hours are: pale unless it holds together.
    Many,
}

impl IntervalLook {
    /// How the result of a part looks.
    pub fn of(part: &Part, looks: Looks) -> Self {
        let pale = looks == Looks::Many && !part.holds_together;
        match (part.verdict, pale) {
            (Verdict::AStronger, false) => Self::AStronger,
            (Verdict::AStronger, true) => Self::PaleA,
            (Verdict::BStronger, false) => Self::BStronger,
            (Verdict::BStronger, true) => Self::PaleB,
            (Verdict::NoDifference, _) => Self::NoDifference,
            (Verdict::NotEnough, _) => Self::NotEnough,
        }
    }

    /// Does it say that one of the two is stronger?
    fn names_a_winner(self) -> bool {
        matches!(self, Self::AStronger | Self::BStronger)
    }
}

/// One row.
#[derive(Clone, Debug, PartialEq)]
pub struct IntervalRow {
    /// What it speaks of: `40 m`, `north`.
    pub label: String,
    /// How far B is above A, dB; `None` where there are no pairs.
    pub difference_db: Option<f64>,
    /// Lower end of the 95 % interval, dB; `None` where it has no end.
    pub low_db: Option<f64>,
    /// Upper end, dB.
    pub high_db: Option<f64>,
    /// What stands there.
    pub look: IntervalLook,
    /// What the pairs alone would say, where the interval is wider than that: two ticks, dB.
    pub pairs_only: Option<(f64, f64)>,
    /// Hours of the same test still needed, where that can be foreseen.
    pub more_hours: Option<f64>,
    /// Figures at the right, one for each of [`IntervalsInput::columns`].
    pub figures: Vec<String>,
}

impl IntervalRow {
    /// The row of a part, without figures at the right.
    pub fn of(label: String, part: &Part, looks: Looks) -> Self {
        let own = part.pairs_half_width_db.zip(part.difference_db).zip(part.low_db);
        // the allowance for days is what makes an interval wider than its pairs
        let pairs_only = own
            .filter(|((half, mean), low)| mean - low > half * 1.01 + 0.05)
            .map(|((half, mean), _)| (mean - half, mean + half));
        Self {
            label,
            difference_db: part.difference_db,
            low_db: part.low_db,
            high_db: part.high_db,
            look: IntervalLook::of(part, looks),
            pairs_only,
            more_hours: part.more_hours,
            figures: Vec::new(),
        }
    }

    /// The interval: without ends all values fit.
    fn interval(&self) -> (f64, f64) {
        (self.low_db.unwrap_or(f64::NEG_INFINITY), self.high_db.unwrap_or(f64::INFINITY))
    }

    /// What the row says without its figure: `Vertical stronger`, `not enough to tell; about 9 h more`.
    pub fn verdict_words(&self, a: &str, b: &str, too_small_db: f64) -> String {
        if self.difference_db.is_none() {
            return "no pairs safe from the floor".to_owned();
        }
        let (low, high) = self.interval();
        let trace = if -too_small_db <= low && high <= too_small_db { "a trace stronger" } else { "stronger" };
        match self.look {
            IntervalLook::AStronger => format!("{a} {trace}"),
            IntervalLook::BStronger => format!("{b} {trace}"),
            IntervalLook::NoDifference => "no difference that matters".to_owned(),
            IntervalLook::NotEnough => not_enough(self.more_hours),
            IntervalLook::PaleA | IntervalLook::PaleB => "may be chance among so many".to_owned(),
            IntervalLook::Further(_) => String::new(),
        }
    }

    /// What the row says, after its label: `Vertical stronger by 3.9 dB`, `not enough to tell; about 9 h more`.
    pub fn words(&self, a: &str, b: &str, too_small_db: f64) -> String {
        let verdict = self.verdict_words(a, b, too_small_db);
        let Some(db) = self.difference_db else { return verdict };
        let signed = format!("{}{NO_BREAK}dB", difference(db));
        match self.look {
            IntervalLook::AStronger | IntervalLook::BStronger => {
                format!("{verdict} by {}{NO_BREAK}dB", decimals(db.abs(), 1))
            }
            IntervalLook::PaleA | IntervalLook::PaleB => format!("{signed}, {verdict}"),
            IntervalLook::Further(_) => signed,
            IntervalLook::NoDifference | IntervalLook::NotEnough => verdict,
        }
    }

    /// `+3.4 to +4.3`, or an en dash.
    pub fn interval_words(&self) -> String {
        match (self.low_db, self.high_db) {
            (Some(low), Some(high)) => format!("{} to {}", difference(low), difference(high)),
            _ => MISSING.to_owned(),
        }
    }
}

/// How much is drawn about the plot.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum IntervalDress {
    /// Labels at the left, words above, figures at the right.
    Table,
    /// One of several beside each other: no labels, no words above.
    Column,
    /// For narrow screens: label, verdict and figure over each row's own plot.
    Stacked,
}

/// What the plot shows.
#[derive(Clone, Copy, Debug)]
pub struct IntervalsInput<'a> {
    /// The rows, uppermost first.
    pub rows: &'a [IntervalRow],
    /// Name of antenna A.
    pub a: &'a str,
    /// Name of antenna B.
    pub b: &'a str,
    /// A difference within plus or minus this is too small to matter, dB.
    pub too_small_db: f64,
    /// Height of a row in pixels.
    pub row_px: f64,
    /// The axis, where several plots share one; `None` chooses it for these rows.
    pub axis: Option<DecibelAxis>,
    /// Heads of the figures at the right; the first column is bold. None of them where the page writes the figures.
    pub columns: &'a [&'a str],
    /// How much is drawn about the plot.
    pub dress: IntervalDress,
}

/// Height of the words above, of 12 px type.
const HEAD_PX: f64 = 28.0;
/// Height of the axis below.
const FOOT_PX: f64 = 24.0;
/// Between the last line of the axis and the side of the plot.
const PAD_PX: f64 = 16.0;
/// Between columns of figures.
const GAP_PX: f64 = 18.0;

/// Where the rows begin, pixels from the top.
pub fn head_px(dress: IntervalDress, text_px: f64) -> f64 {
    match dress {
        IntervalDress::Table => HEAD_PX * text_px / 12.0,
        // the zero line rises above the rows
        IntervalDress::Column => 8.0,
        IntervalDress::Stacked => 0.0,
    }
}

/// The height of a plot of so many rows.
pub fn height(rows: usize, row_px: f64, dress: IntervalDress, text_px: f64) -> f64 {
    head_px(dress, text_px) + row_px * rows as f64 + FOOT_PX * text_px / 12.0
}

/// The axis that suits rows: it holds every row that decides. One that leaves all open widens it a little at most,
/// unless there are no others: its interval then ends in an arrowhead.
pub fn axis(rows: &[IntervalRow]) -> DecibelAxis {
    let finite = |db: &f64| db.is_finite();
    let ends = |row: &IntervalRow| [row.difference_db, row.low_db, row.high_db].map(|db| db.unwrap_or(0.0).abs());
    let is_open = |row: &&IntervalRow| row.look == IntervalLook::NotEnough;
    let reach = |open: bool| {
        let own = rows.iter().filter(move |row| is_open(row) == open);
        own.flat_map(ends).filter(finite).fold(0.0, f64::max)
    };
    let (decided, open) = (reach(false), reach(true));
    let most = if decided > 0.0 { (1.25 * decided).max(6.0) } else { 20.0 };
    DecibelAxis::holding(decided.max(open.min(most)))
}

/// Where the parts of the plot lie.
#[derive(Clone, Copy, Debug)]
struct Layout {
    axis: DecibelAxis,
    left: f64,
    right: f64,
    zero: f64,
    px_per_db: f64,
    /// Upper edge of the first row.
    top: f64,
    /// Lower edge of the last row.
    base: f64,
}

impl Layout {
    fn x_of(&self, db: f64) -> f64 {
        (self.zero + db * self.px_per_db).clamp(self.left, self.right)
    }
}

/// Draws the plot and says what lies where: one entry a row.
pub fn draw(input: &IntervalsInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let columns = columns(input, frame, surface);
    let layout = layout(input, &columns, frame, surface);
    draw_ground(input, &layout, frame, surface);
    if input.dress == IntervalDress::Table {
        draw_sides(input, &layout, frame, surface);
    }
    let font = Font::new(Face::Sans, frame.text_px);
    for (column, head) in columns.iter().zip(input.columns) {
        let at = Point::new(column.right, layout.top - 10.0 * scale);
        surface.text(&Text::new(head, at, font, frame.palette.soft).anchored(Anchor::End));
    }
    let mut scene = BarScene::default();
    for (at, row) in input.rows.iter().enumerate() {
        let top = layout.top + input.row_px * at as f64;
        let middle = match input.dress {
            IntervalDress::Table | IntervalDress::Column => top + input.row_px / 2.0,
            IntervalDress::Stacked => top + input.row_px - 15.0 * scale,
        };
        if input.dress == IntervalDress::Stacked {
            draw_stacked(input, row, top, middle, &layout, frame, surface);
        }
        draw_row(row, middle, &layout, frame, surface);
        draw_words(input, row, middle, &columns, frame, surface);
        scene.bars.push(SceneBar {
            x: 0.0,
            y: top,
            width: frame.width,
            height: input.row_px,
            label: label(input, row),
        });
    }
    scene
}

/// A column of figures.
#[derive(Clone, Copy, Debug)]
struct Column {
    left: f64,
    right: f64,
    face: Face,
}

fn columns(input: &IntervalsInput<'_>, frame: &Frame, surface: &dyn Surface) -> Vec<Column> {
    if input.dress == IntervalDress::Stacked {
        return Vec::new();
    }
    let mut right = frame.width;
    let mut columns = Vec::new();
    for (at, head) in input.columns.iter().enumerate().rev() {
        let face = if at == 0 { Face::SansBold } else { Face::Sans };
        let figures = input.rows.iter().filter_map(|row| row.figures.get(at));
        let widths = figures.map(|figure| surface.text_width(figure, Font::new(face, figure_px(frame))));
        let head = surface.text_width(head, Font::new(Face::Sans, frame.text_px));
        let left = right - widths.fold(head, f64::max);
        columns.push(Column { left, right, face });
        right = left - GAP_PX * frame.text_scale();
    }
    columns.reverse();
    columns
}

/// Size of labels and figures in rows.
fn figure_px(frame: &Frame) -> f64 {
    1.1 * frame.text_px
}

fn layout(input: &IntervalsInput<'_>, columns: &[Column], frame: &Frame, surface: &dyn Surface) -> Layout {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, figure_px(frame));
    let widest = input.rows.iter().map(|row| surface.text_width(&row.label, font)).fold(0.0, f64::max);
    let labels = match input.dress {
        IntervalDress::Table => (widest + 14.0 * scale).min(0.4 * frame.width),
        IntervalDress::Column | IntervalDress::Stacked => 0.0,
    };
    let axis = input.axis.unwrap_or_else(|| axis(input.rows));
    // the plot ends a gap before the first column
    let end = columns.first().map_or(frame.width, |first| first.left - GAP_PX * scale);
    let right = end.max(labels + 40.0);
    let half = ((right - labels) / 2.0 - PAD_PX * scale).max(1.0);
    let top = head_px(input.dress, frame.text_px);
    Layout {
        axis,
        left: labels,
        right,
        zero: f64::midpoint(labels, right),
        px_per_db: half / axis.end_db(),
        top,
        base: top + input.row_px * input.rows.len() as f64,
    }
}

/// The strip, the lines of the axis with their figures, and the rules between rows.
fn draw_ground(input: &IntervalsInput<'_>, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let palette = &frame.palette;
    let scale = frame.text_scale();
    let Layout { top, base, .. } = *layout;
    let hair = Pen::new(palette.hair, 1.0);
    let stacked = input.dress == IntervalDress::Stacked;
    surface.open_group("Axis");
    if !stacked {
        let small = input.too_small_db.abs();
        draw_strip(Point::new(layout.x_of(-small), top), Point::new(layout.x_of(small), base), frame, surface);
    }
    let font = Font::new(Face::Sans, frame.text_px);
    let under = base + 17.0 * scale;
    // in Sun, where every line is black, a grid would drown the intervals
    let from = if palette.theme == Theme::Sun { base - 5.0 } else { top };
    for (db, words) in layout.axis.labels() {
        let x = layout.x_of(db);
        if db != 0.0 && !stacked {
            surface.stroke(&Outline::segment(Point::new(x, from), Point::new(x, base)), &hair);
        }
        surface.text(&Text::new(&words, Point::new(x, under), font, palette.soft).anchored(Anchor::Middle));
    }
    let across = |y: f64| Outline::segment(Point::new(0.0, y), Point::new(frame.width, y));
    for row in 1..input.rows.len() {
        surface.stroke(&across(top + input.row_px * row as f64), &hair);
    }
    let ink = Pen::new(palette.ink, 1.0);
    surface.stroke(&across(base), &ink);
    if !stacked {
        surface.stroke(&across(top), &ink);
        let zero = Outline::segment(Point::new(layout.zero, top - 6.0), Point::new(layout.zero, base));
        surface.stroke(&zero, &Pen::new(palette.ink, 1.25));
    }
    surface.close_group();
}

/// Who is stronger on which side. Where no row tells, no name takes a colour.
fn draw_sides(input: &IntervalsInput<'_>, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let palette = &frame.palette;
    let font = Font::new(Face::Sans, frame.text_px);
    let told = input.rows.iter().any(|row| row.look.names_a_winner());
    let y = layout.top - 10.0 * frame.text_scale();
    for (antenna, name, side) in [(Antenna::A, input.a, -1.0), (Antenna::B, input.b, 1.0)] {
        let colour = if told { palette.antenna(antenna).ink } else { palette.ink };
        let stronger = " stronger";
        let gap = 8.0 + 0.06 * (layout.right - layout.left);
        let outer = if side < 0.0 { layout.zero } else { layout.right - layout.zero };
        let room = outer - gap - surface.text_width(stronger, font);
        let words = format!("{}{stronger}", shortened(name, font, room, surface));
        let anchor = if side < 0.0 { Anchor::End } else { Anchor::Start };
        surface.text(&Text::new(&words, Point::new(layout.zero + side * gap, y), font, colour).anchored(anchor));
    }
}

/// On narrow screens every row has its own line, strip and zero.
fn draw_stacked(
    input: &IntervalsInput<'_>,
    row: &IntervalRow,
    top: f64,
    middle: f64,
    layout: &Layout,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let palette = &frame.palette;
    let scale = frame.text_scale();
    let small = input.too_small_db.abs();
    let half = 10.0 * scale;
    let corner = |db: f64, dy: f64| Point::new(layout.x_of(db), middle + dy);
    draw_strip(corner(-small, -half), corner(small, half), frame, surface);
    let line = Outline::segment(Point::new(layout.left, middle), Point::new(layout.right, middle));
    surface.stroke(&line, &Pen::new(palette.hair, 1.0));
    let zero = Outline::segment(corner(0.0, -half - 2.0), corner(0.0, half + 2.0));
    surface.stroke(&zero, &Pen::new(palette.ink, 1.25));
    let size = figure_px(frame);
    let bold = Font::new(Face::SansBold, size);
    let y = top + 19.0 * scale;
    surface.text(&Text::new(&row.label, Point::new(0.0, y), bold, palette.ink));
    let figure = row.difference_db.map_or(MISSING.to_owned(), |db| format!("{}{NO_BREAK}dB", difference(db)));
    surface.text(&Text::new(&figure, Point::new(frame.width, y), bold, palette.ink).anchored(Anchor::End));
    let font = Font::new(Face::Sans, size);
    let begin = surface.text_width(&row.label, bold) + 8.0 * scale;
    let room = frame.width - begin - surface.text_width(&figure, bold) - 8.0 * scale;
    let mut words = row.verdict_words(input.a, input.b, input.too_small_db);
    // what would help is told beside it, too
    if surface.text_width(&words, font) > room {
        words.truncate(words.find(';').unwrap_or(words.len()));
    }
    surface.text(&Text::new(&shortened(&words, font, room, surface), Point::new(begin, y), font, palette.soft));
}

/// The mark with its line.
fn draw_row(row: &IntervalRow, y: f64, layout: &Layout, frame: &Frame, surface: &mut dyn Surface) {
    let Some(db) = row.difference_db else { return };
    let palette = &frame.palette;
    let weight = palette.weights.mark_scale;
    let hollow = hollow_width(frame);
    let (pen, style) = match row.look {
        IntervalLook::AStronger => (Pen::new(palette.a.mark, 2.5), MarkStyle::of(Antenna::A, frame)),
        IntervalLook::BStronger => (Pen::new(palette.b.mark, 2.5), MarkStyle::of(Antenna::B, frame)),
        IntervalLook::NoDifference => {
            let fill = palette.ink;
            (Pen::new(palette.ink, 2.0), MarkStyle { glyph: Glyph::Square, fill, pen: Pen::new(palette.paper, 1.0) })
        }
        IntervalLook::NotEnough => {
            // where days are what is lacking, the honest interval is the stronger mark, and the ticks on it the weaker
            let strong = row.pairs_only.is_some();
            let (colour, width) = if strong { (palette.ink, 2.0) } else { (palette.soft, 1.75) };
            let pen = Pen::new(colour, width).dotted(2.5, 4.5);
            let fill = palette.sheet;
            (pen, MarkStyle { glyph: Glyph::Circle, fill, pen: Pen::new(palette.soft, hollow) })
        }
        IntervalLook::PaleA => (Pen::new(palette.soft, 1.25), MarkStyle::pale(Antenna::A, frame)),
        IntervalLook::PaleB => (Pen::new(palette.soft, 1.25), MarkStyle::pale(Antenna::B, frame)),
        IntervalLook::Further(glyph) => {
            let fill = palette.sheet;
            (Pen::new(palette.ink, 2.0), MarkStyle { glyph, fill, pen: Pen::new(palette.ink, hollow) })
        }
    };
    let (low, high) = row.interval();
    let (from, to) = (layout.x_of(low), layout.x_of(high));
    let x = layout.x_of(db);
    surface.stroke(&Outline::segment(Point::new(from, y), Point::new(to, y)), &pen);
    let ends = (layout.left - layout.zero) / layout.px_per_db;
    for (beyond, tip, back) in [(low < ends, layout.left, 7.0), (high > -ends, layout.right, -7.0)] {
        if beyond {
            arrowhead(Point::new(tip, y), back * weight, pen.colour, surface);
        }
    }
    if let Some((low, high)) = row.pairs_only {
        let tick = Pen::new(palette.soft, 1.5);
        for x in [layout.x_of(low), layout.x_of(high)] {
            surface.stroke(&Outline::segment(Point::new(x, y - 6.0 * weight), Point::new(x, y + 6.0 * weight)), &tick);
        }
    }
    // of an estimate beyond the axis the arrowhead tells, and the figure
    if (ends..=-ends).contains(&db) {
        style.draw(Point::new(x, y), 5.4 * weight, surface);
    }
}

fn arrowhead(tip: Point, back: f64, colour: Colour, surface: &mut dyn Surface) {
    let half = back.abs() * 0.62;
    let head = Outline::polygon(&[tip, tip.shifted(back, -half), tip.shifted(back, half)]);
    surface.fill(&head, FillRule::NonZero, colour);
}

/// Label and figures of a row.
fn draw_words(
    input: &IntervalsInput<'_>,
    row: &IntervalRow,
    middle: f64,
    columns: &[Column],
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let palette = &frame.palette;
    let size = figure_px(frame);
    let baseline = middle + 0.36 * size;
    if input.dress == IntervalDress::Table {
        let font = Font::new(Face::Sans, size);
        let label = shortened(&row.label, font, 0.4 * frame.width, surface);
        surface.text(&Text::new(&label, Point::new(0.0, baseline), font, palette.ink));
    }
    for (column, figure) in columns.iter().zip(&row.figures) {
        let colour = if column.face == Face::SansBold { palette.ink } else { palette.soft };
        let text = Text::new(figure, Point::new(column.right, baseline), Font::new(column.face, size), colour);
        surface.text(&text.anchored(Anchor::End));
    }
}

/// A row as a sentence: `40 m: Vertical stronger by 3.9 dB, 95 % interval +3.4 to +4.3 dB`.
fn label(input: &IntervalsInput<'_>, row: &IntervalRow) -> String {
    let words = row.words(input.a, input.b, input.too_small_db);
    if row.low_db.is_none() {
        return format!("{}: {words}", row.label);
    }
    let interval = row.interval_words();
    format!("{}: {words}, 95{NO_BREAK}% interval {interval}{NO_BREAK}dB", row.label)
}

/// What the plot shows, in one sentence.
pub fn summary(input: &IntervalsInput<'_>) -> String {
    let told = |row: &&IntervalRow| !matches!(row.look, IntervalLook::NotEnough) && row.difference_db.is_some();
    let figure = |row: &IntervalRow| {
        let db = row.difference_db.map_or(MISSING.to_owned(), difference);
        format!("{} {db}{NO_BREAK}dB ({})", row.label, row.interval_words())
    };
    let rows: Vec<String> = input.rows.iter().filter(told).map(figure).collect();
    let open: Vec<&str> = input.rows.iter().filter(|row| !told(row)).map(|row| row.label.as_str()).collect();
    let mut sentence = format!("How far {} is above {}: ", input.b, input.a);
    sentence += &if rows.is_empty() { "not enough to tell".to_owned() } else { rows.join(", ") };
    if !open.is_empty() {
        sentence.extend(["; not enough to tell: ", &open.join(", ")]);
    }
    sentence.push('.');
    sentence
}
