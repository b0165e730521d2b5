//! The order of a test: its first turns as blocks with letters, the whole of it as a strip, the dark hours under it.

use crate::draw::{Anchor, Antenna, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::figure::decibels::hollow_width;
use crate::figure::{BarScene, Frame, SceneBar, Size};
use crate::time::{DAY_S, UtcTime};
use crate::words::number::{count, counted};

/// What the picture shows.
#[derive(Clone, Copy, Debug)]
pub struct OrderInput<'a> {
    /// Which antenna in which turn, from the first to the last.
    pub turns: &'a [Antenna],
    /// So many of the first turns stand as blocks with letters.
    pub lettered: usize,
    /// When the first turn begins.
    pub start: UtcTime,
    /// Length of a turn, seconds.
    pub turn_s: i64,
    /// How far the clock that is shown is ahead of UTC, seconds.
    pub ahead_s: i64,
    /// When it is dark at home, from and to.
    pub dark: &'a [(UtcTime, UtcTime)],
    /// Name of antenna A.
    pub a: &'a str,
    /// Name of antenna B.
    pub b: &'a str,
}

impl OrderInput<'_> {
    /// When a turn begins; the number after the last gives the end.
    fn begins(&self, turn: usize) -> UtcTime {
        let seconds = self.turn_s.saturating_mul(i64::try_from(turn).unwrap_or(i64::MAX));
        self.start.plus_s(seconds).unwrap_or(self.start)
    }

    fn end(&self) -> UtcTime {
        self.begins(self.turns.len())
    }

    /// `18:40`, on the clock that is shown.
    fn clock(&self, time: UtcTime) -> String {
        time.plus_s(self.ahead_s).unwrap_or(time).clock()
    }

    fn name(&self, antenna: Antenna) -> &str {
        match antenna {
            Antenna::A => self.a,
            Antenna::B => self.b,
        }
    }

    /// `ends at 05:00; 66 turns, 33 each`.
    fn end_words(&self) -> String {
        let of_b = self.turns.iter().filter(|&&antenna| antenna == Antenna::B).count();
        let of_a = self.turns.len() - of_b;
        let shares = if of_a == of_b {
            format!("{} each", count(of_a))
        } else {
            format!("{} of A and {} of B", count(of_a), count(of_b))
        };
        format!("ends at {}; {}, {shares}", self.clock(self.end()), counted(self.turns.len(), "turn", "turns"))
    }
}

/// Height of the picture for a size of type.
pub fn height(text_px: f64) -> f64 {
    132.0 * text_px / 12.0
}

/// Height of a block with its letter, pixels of 12 px type.
const BLOCK_PX: f64 = 26.0;

/// Draws the order and says what lies where: one entry for each block with a letter.
pub fn draw(input: &OrderInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let palette = &frame.palette;
    let font = Font::new(Face::Sans, frame.text_px);
    let lettered = input.lettered.min(input.turns.len());
    let hours = input.turn_s as f64 * lettered as f64 / 3600.0;
    let first =
        if lettered < input.turns.len() { format!("First {}", hours_words(hours)) } else { "All turns".to_owned() };
    let names = [first.as_str(), "Whole test", "Dark"];
    let widest = names.iter().map(|words| surface.text_width(words, font)).fold(0.0, f64::max);
    let left = (widest + 14.0 * scale).max(90.0 * scale);
    let right = frame.width.max(left + 40.0);
    let (blocks, strip, dark) = (20.0 * scale, 64.0 * scale, 100.0 * scale);
    for (words, y) in names.iter().zip([blocks + 17.0 * scale, strip + 15.0 * scale, dark + 8.0 * scale]) {
        surface.text(&Text::new(words, Point::new(0.0, y), font, palette.ink));
    }
    let scene = draw_blocks(input, lettered, (left, right), blocks, frame, surface);

    let end_words = input.end_words();
    let beside = frame.size == Size::Full;
    let room = if beside { surface.text_width(&end_words, font) + 12.0 * scale } else { 0.0 };
    let strip_right = (right - room).max(left + 20.0);
    let sides = (left, strip_right);
    draw_strip(input, sides, strip, frame, surface);
    if beside {
        let at = Point::new(strip_right + 12.0 * scale, strip + 15.0 * scale);
        surface.text(&Text::new(&end_words, at, font, palette.ink));
    }
    let x_of = |time: UtcTime| x_of(input, sides, time);
    for &(from, to) in input.dark {
        let (from, to) = (x_of(from), x_of(to));
        let bar = Outline::rectangle(from, dark, (to - from).max(0.0), 8.0 * scale);
        surface.fill(&bar, FillRule::NonZero, palette.soft);
    }
    draw_hours(input, sides, dark + 23.0 * scale, frame, surface);
    scene
}

fn hours_words(hours: f64) -> String {
    let figure = crate::words::number::decimals(hours, usize::from((hours - hours.round()).abs() > 0.05));
    if figure == "1" { "hour".to_owned() } else { format!("{figure} hours") }
}

fn x_of(input: &OrderInput<'_>, sides: (f64, f64), time: UtcTime) -> f64 {
    let span = (input.end().unix_s() - input.start.unix_s()).max(1) as f64;
    let share = (time.unix_s() - input.start.unix_s()) as f64 / span;
    sides.0 + (sides.1 - sides.0) * share.clamp(0.0, 1.0)
}

/// The first turns: A solid, B hollow, each with its letter and, above it, when it begins.
fn draw_blocks(
    input: &OrderInput<'_>,
    lettered: usize,
    sides: (f64, f64),
    top: f64,
    frame: &Frame,
    surface: &mut dyn Surface,
) -> BarScene {
    let scale = frame.text_scale();
    let palette = &frame.palette;
    let font = Font::new(Face::Sans, frame.text_px);
    let column = (sides.1 - sides.0) / lettered.max(1) as f64;
    let height = BLOCK_PX * scale;
    let mut scene = BarScene::default();
    let mut free_from = f64::NEG_INFINITY;
    for (at, &antenna) in input.turns.iter().take(lettered).enumerate() {
        let x = sides.0 + column * at as f64;
        let begins = input.begins(at);
        let clock = input.clock(begins);
        let minutes = clock.split_once(':').map_or(clock.as_str(), |(_, minutes)| minutes);
        let words = if at == 0 || minutes == "00" { clock.as_str() } else { minutes };
        if x >= free_from {
            surface.text(&Text::new(words, Point::new(x + 1.0, top - 6.0 * scale), font, palette.soft));
            free_from = x + surface.text_width(words, font) + 6.0 * scale;
        }
        let colours = palette.antenna(antenna);
        let (letter, colour) = match antenna {
            Antenna::A => {
                let block = Outline::rectangle(x + 1.0, top, column - 2.0, height);
                surface.fill(&block, FillRule::NonZero, colours.mark);
                ("A", crate::draw::Colour::WHITE)
            }
            Antenna::B => {
                let width = hollow_width(frame);
                let block =
                    Outline::rectangle(x + 1.0 + width / 2.0, top + width / 2.0, column - 2.0 - width, height - width);
                surface.fill(&block, FillRule::NonZero, palette.sheet);
                surface.stroke(&block, &Pen::new(colours.mark, width));
                ("B", colours.ink)
            }
        };
        let bold = Font::new(Face::SansBold, frame.text_px);
        if column > surface.text_width(letter, bold) + 4.0 {
            let middle = Point::new(x + column / 2.0, top + height / 2.0 + 0.36 * frame.text_px);
            surface.text(&Text::new(letter, middle, bold, colour).anchored(Anchor::Middle));
        }
        let ends = input.clock(input.begins(at + 1));
        let label = format!("{clock} to {ends}: {}", input.name(antenna));
        scene.bars.push(SceneBar { x, y: 0.0, width: column, height: top + height, label });
    }
    scene
}

/// The whole test as a frame with a line at every hour and a soft one at every half.
fn draw_strip(input: &OrderInput<'_>, sides: (f64, f64), top: f64, frame: &Frame, surface: &mut dyn Surface) {
    let height = 22.0 * frame.text_scale();
    let palette = &frame.palette;
    let shape = Outline::rectangle(sides.0, top, sides.1 - sides.0, height);
    surface.fill(&shape, FillRule::NonZero, palette.sheet);
    let hour_px = 3600.0 * (sides.1 - sides.0) / (input.end().unix_s() - input.start.unix_s()).max(1) as f64;
    let lines = |step_s: i64, from: f64, colour, surface: &mut dyn Surface| {
        for time in instants(input, step_s) {
            let x = x_of(input, sides, time);
            let line = Outline::segment(Point::new(x, top + from), Point::new(x, top + height));
            surface.stroke(&line, &Pen::new(colour, 1.0));
        }
    };
    if hour_px >= 16.0 {
        lines(1800, 0.55 * height, palette.hair, surface);
    }
    if hour_px >= 8.0 {
        lines(3600, 0.0, palette.ink, surface);
    }
    surface.stroke(&shape, &Pen::new(palette.ink, 1.0));
}

/// Hours under the strip, as close as they can be read.
fn draw_hours(input: &OrderInput<'_>, sides: (f64, f64), baseline: f64, frame: &Frame, surface: &mut dyn Surface) {
    let font = Font::new(Face::Sans, frame.text_px);
    let span = (input.end().unix_s() - input.start.unix_s()).max(1);
    let room = surface.text_width("00", font) + 14.0 * frame.text_scale();
    let most = ((sides.1 - sides.0) / room).max(1.0);
    let steps = [3600, 2 * 3600, 3 * 3600, 6 * 3600, 12 * 3600, DAY_S, 7 * DAY_S];
    let step_s = steps.into_iter().find(|&step| span as f64 / step as f64 <= most).unwrap_or(28 * DAY_S);
    for time in instants(input, step_s) {
        let clock = input.clock(time);
        let hour = clock.split_once(':').map_or(clock.as_str(), |(hour, _)| hour);
        let at = Point::new(x_of(input, sides, time), baseline);
        surface.text(&Text::new(hour, at, font, frame.palette.soft).anchored(Anchor::Middle));
    }
}

/// Instants within the test at which the shown clock is a whole number of steps.
fn instants<'a>(input: &'a OrderInput<'_>, step_s: i64) -> impl Iterator<Item = UtcTime> + 'a {
    let (start, end) = (input.start.unix_s(), input.end().unix_s());
    let first = (start + input.ahead_s).div_euclid(step_s) * step_s - input.ahead_s;
    (0..).map(move |number| first + step_s * number).take_while(move |&at| at <= end).filter_map(move |at| {
        let time = UtcTime::from_unix_s(at)?;
        (at >= start).then_some(time)
    })
}

/// What the picture shows, in one sentence.
pub fn summary(input: &OrderInput<'_>) -> String {
    let minutes = crate::words::number::decimals(input.turn_s as f64 / 60.0, 0);
    let letter = |antenna: &Antenna| if *antenna == Antenna::A { "A" } else { "B" };
    let first: Vec<&str> = input.turns.iter().take(8).map(letter).collect();
    format!(
        "From {}, {minutes} minutes a turn: {}{}. A is {}, B is {}; it {}.",
        input.clock(input.start),
        first.join(" "),
        if input.turns.len() > 8 { " and so on" } else { "" },
        input.a,
        input.b,
        input.end_words()
    )
}
