//! Hours in large: counts of bands by UTC hour and, on the same columns, the sun at home and the nearest listener beyond
//! the near ring. The tint under its line is the skip zone.

use super::bars::{BarScene, SceneBar};
use super::decibels::hollow_width;
use super::frame::{Frame, Size};
use super::hours::{self, HoursInput};
use crate::draw::axis::Axis;
use crate::draw::{Anchor, Colour, Face, FillRule, Font, Outline, Pen, Point, Surface, Text, Theme};
use crate::sky::SunState;
use crate::study::BandOpenings;
use crate::study::openings::Nearest;
use crate::study::sunlight::{Stretch, SunDay};
use crate::words::Length;
use crate::words::angles::sun as in_words;
use crate::words::number::{NO_BREAK, counted, decimals, whole};

/// Height of a row of cells, of the strip of the sun and of the plot of the nearest listener, pixels of 12 px type.
const ROW_PX: f64 = 26.0;
const SUN_PX: f64 = 15.0;
const NEAREST_PX: f64 = 78.0;
/// A line of words.
const LINE_PX: f64 = 17.0;
/// Room between the parts.
const GAP_PX: f64 = 12.0;

/// What the picture shows.
#[derive(Clone, Copy, Debug)]
pub struct HoursLargeInput<'a> {
    /// The cells.
    pub cells: HoursInput<'a>,
    /// The hour of the local clock in which each UTC hour begins, written under it.
    pub local: Option<&'a [String; 24]>,
    /// The sun at home through a UTC day.
    pub sun: Option<&'a SunDay>,
    /// The band whose nearest listener is shown.
    pub nearest: Option<&'a BandOpenings>,
    /// Unit of distances.
    pub length: Length,
}

/// Where the parts begin, pixels from the top.
struct Layout {
    cells: f64,
    local: f64,
    sun: f64,
    nearest: f64,
    end: f64,
}

fn layout(input: &HoursLargeInput<'_>, frame: &Frame) -> Layout {
    let scale = frame.text_scale();
    // on a hand-held screen the names of the strips stand above them
    let name = if frame.size == Size::Phone { LINE_PX } else { 0.0 };
    let cells = input.cells.bands.len() as f64 * ROW_PX + 20.0;
    let local = cells + if input.local.is_some() { LINE_PX } else { 0.0 };
    let sun = local + if input.sun.is_some() { SUN_PX + GAP_PX + name } else { 0.0 };
    let nearest = sun + if input.nearest.is_some() { NEAREST_PX + GAP_PX + name } else { 0.0 };
    Layout {
        cells: cells * scale,
        local: (local - 4.0) * scale,
        sun: (local + name + 4.0) * scale,
        nearest: (sun + name + GAP_PX) * scale,
        end: (nearest + 4.0) * scale,
    }
}

/// How high the picture wants to be in a frame of its width, pixels.
pub fn height(input: &HoursLargeInput<'_>, frame: &Frame) -> f64 {
    layout(input, frame).end
}

/// Draws all parts and says what lies where: the cells row by row, then the stretches of the sun, then the nearest
/// listener hour by hour.
pub fn draw(input: &HoursLargeInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let layout = layout(input, frame);
    let own = hours::left_of(input.cells.bands, frame, surface);
    let names = ["Sun at home", "Nearest listener"].map(|name| surface.text_width(name, font));
    let beside = names[0].max(names[1]) + 10.0 * scale;
    let left = if frame.size == Size::Phone { own } else { own.max(beside).round() };
    let cells = Frame { height: layout.cells, ..*frame };
    let mut scene = hours::draw_from(&input.cells, left, &cells, surface);
    let column = hours::column_from(left, frame);
    if let Some(local) = input.local {
        let word = |words: &str, x, anchor, surface: &mut dyn Surface| {
            let at = Point::new(x, layout.local);
            surface.text(&Text::new(words, at, font, frame.palette.soft).anchored(anchor));
        };
        word("local", 0.0, Anchor::Start, surface);
        // as the UTC hours over them
        let room = hours::has_room(column, frame);
        let mut free_from = left;
        for (hour, words) in local.iter().enumerate().step_by(if room { 1 } else { 3 }) {
            let wide = surface.text_width(words, font);
            let at = left + column * hour as f64;
            let (from, x, anchor) = if room {
                (at + (column - wide) / 2.0, at + column / 2.0, Anchor::Middle)
            } else {
                (at, at, Anchor::Start)
            };
            if from >= free_from {
                word(words, x, anchor, surface);
                free_from = from + wide + 5.0 * scale;
            }
        }
    }
    let place = Place { left, column };
    if let Some(sun) = input.sun {
        name("Sun at home", "", layout.sun, SUN_PX, frame, surface);
        draw_sun(sun, place, layout.sun, frame, surface, &mut scene);
    }
    if let Some(nearest) = input.nearest {
        let of = format!("{}, {}", nearest.band.label(), input.length.unit());
        name("Nearest listener", &of, layout.nearest, NEAREST_PX, frame, surface);
        draw_nearest(nearest, input.length, place, layout.nearest, frame, surface, &mut scene);
    }
    scene
}

/// Where the hours lie across.
#[derive(Clone, Copy)]
struct Place {
    left: f64,
    column: f64,
}

impl Place {
    fn of_hour(self, hour: usize) -> f64 {
        self.left + self.column * hour as f64
    }

    fn of_minute(self, minute: u32) -> f64 {
        self.left + self.column * f64::from(minute) / 60.0
    }
}

/// The name of a strip: before it, or above it on a hand-held screen.
fn name(first: &str, second: &str, top: f64, height: f64, frame: &Frame, surface: &mut dyn Surface) {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let (ink, soft) = (frame.palette.ink, frame.palette.soft);
    if frame.size == Size::Phone {
        let base = top - 5.0 * scale;
        surface.text(&Text::new(first, Point::new(0.0, base), font, ink));
        let x = surface.text_width(first, font) + 6.0 * scale;
        surface.text(&Text::new(second, Point::new(x, base), font, soft));
    } else {
        let base = top + 0.36 * frame.text_px + height.min(40.0) / 2.0 * scale;
        surface.text(&Text::new(first, Point::new(0.0, base), font, ink));
        surface.text(&Text::new(second, Point::new(0.0, base + 16.0 * scale), font, soft));
    }
}

/// Night solid, twilight hatched, day hollow.
fn draw_sun(sun: &SunDay, place: Place, top: f64, frame: &Frame, surface: &mut dyn Surface, scene: &mut BarScene) {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    let height = SUN_PX * scale;
    for stretch in &sun.stretches {
        let (x, end) = (place.of_minute(stretch.from_min), place.of_minute(stretch.to_min));
        let width = end - x;
        let shape = Outline::rectangle(x, top, width, height);
        let (ground, letters) = match stretch.state {
            SunState::Night => (palette.soft, palette.paper),
            _ => (palette.sheet, palette.ink),
        };
        surface.fill(&shape, FillRule::NonZero, ground);
        if stretch.state == SunState::Twilight {
            surface
                .stroke(&Outline::rectangle(x, top, width, height).hatching(3.5 * scale), &Pen::new(palette.soft, 1.0));
        }
        surface.stroke(&shape, &Pen::new(palette.soft, 1.0));
        let short = in_words(stretch.state);
        let long = match stretch.state {
            SunState::Day => format!("day, highest {}° at {}", decimals(sun.highest_deg, 0), clock(sun.highest_min)),
            _ => short.to_owned(),
        };
        let fitting = [long.as_str(), short].into_iter().find(|words| surface.text_width(words, font) + 8.0 < width);
        if let Some(words) = fitting {
            let at = Point::new(x + width / 2.0, top + height / 2.0 + 0.36 * frame.text_px);
            let text = Text::new(words, at, font, letters).anchored(Anchor::Middle);
            let hatched = stretch.state == SunState::Twilight;
            surface.text(&if hatched { text.with_halo(palette.sheet, 4.0) } else { text });
        }
        scene.bars.push(SceneBar { x, y: top, width, height, label: stretch_words(*stretch, sun) });
    }
}

/// `10:45`.
fn clock(minute: u32) -> String {
    format!("{:02}:{:02}", minute / 60, minute % 60)
}

fn stretch_words(stretch: Stretch, sun: &SunDay) -> String {
    let span = format!("{} to {} UTC", clock(stretch.from_min), clock(stretch.to_min));
    let highest = match stretch.state {
        SunState::Day => format!("; highest {}° at {}", decimals(sun.highest_deg, 0), clock(sun.highest_min)),
        _ => String::new(),
    };
    format!("Sun at home, {span}: {}{highest}", in_words(stretch.state))
}

/// What an hour of the plot shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum HourKind {
    /// No spot at all.
    Closed,
    /// Spots, all of them within the near ring or without a place.
    NearOnly,
    /// A nearest listener, and others within the near ring by way of the sky.
    Open,
    /// A nearest listener, and nobody nearer but by the ground wave.
    Skip,
}

fn kind(nearest: &BandOpenings, hour: usize) -> HourKind {
    let of_hour: Nearest = nearest.nearest[hour];
    match () {
        () if nearest.spots[hour] == 0 => HourKind::Closed,
        () if of_hour.beyond_ring_km.is_none() => HourKind::NearOnly,
        () if of_hour.skip_zone_km().is_some() => HourKind::Skip,
        () => HourKind::Open,
    }
}

fn draw_nearest(
    nearest: &BandOpenings,
    length: Length,
    place: Place,
    top: f64,
    frame: &Frame,
    surface: &mut dyn Surface,
    scene: &mut BarScene,
) {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    let base = top + NEAREST_PX * scale;
    let value = |hour: usize| nearest.nearest[hour].beyond_ring_km.map(|km| length.value(km));
    let axis = Axis::holding((0..24).filter_map(value).fold(0.0, f64::max).max(100.0), 3);
    let y_of = |figure: f64| base - (base - top) * figure / axis.end();
    let kinds: Vec<HourKind> = (0..24).map(|hour| kind(nearest, hour)).collect();

    let mut hour = 0;
    let figures: Vec<Option<f64>> =
        kinds.iter().enumerate().map(|(hour, kind)| value(hour).filter(|_| *kind == HourKind::Skip)).collect();
    // hours alike together: side by side their edges would show
    for alike in figures.chunk_by(|a, b| a == b) {
        let (x, width) = (place.of_hour(hour), place.column * alike.len() as f64);
        hour += alike.len();
        let Some(y) = alike[0].map(y_of) else { continue };
        if palette.theme == Theme::Sun {
            let pen = Pen::new(palette.ink, 1.0);
            surface.stroke(&Outline::rectangle(x, y, width, base - y).hatching(5.5 * scale), &pen);
        } else {
            surface.fill(&Outline::rectangle(x, y, width, base - y), FillRule::NonZero, palette.land);
        }
    }
    for line in axis.lines() {
        let y = y_of(line);
        let rule = Outline::segment(Point::new(place.left, y), Point::new(frame.width, y));
        surface.stroke(&rule, &Pen::new(palette.hair, 1.0));
    }
    let mut line = Outline::new();
    let mut drawn_to = None;
    for hour in 0..24 {
        let Some(figure) = value(hour) else {
            drawn_to = None;
            continue;
        };
        let (from, to) =
            (Point::new(place.of_hour(hour), y_of(figure)), Point::new(place.of_hour(hour + 1), y_of(figure)));
        line = if drawn_to.is_some() { line.line_to(from) } else { line.move_to(from) }.line_to(to);
        drawn_to = Some(to);
    }
    if !line.is_empty() {
        surface.stroke(&line, &Pen::new(palette.ink, hollow_width(frame)));
    }
    let axis_line = Outline::segment(Point::new(place.left, base), Point::new(frame.width, base));
    surface.stroke(&axis_line, &Pen::new(palette.ink, 1.0));
    for line in axis.lines() {
        let at = Point::new(frame.width, y_of(line) + 0.36 * frame.text_px);
        let words = whole(line);
        let text = Text::new(&words, at, font, palette.soft).anchored(Anchor::End);
        // wide enough to hold the line out of the gap between thousands
        surface.text(&text.with_halo(palette.paper, 4.0 * frame.text_scale()));
    }
    let mut hour = 0;
    for alike in kinds.chunk_by(|a, b| a == b) {
        let (x, width) = (place.of_hour(hour), place.column * alike.len() as f64);
        let ground = if alike[0] == HourKind::Skip { palette.land } else { palette.paper };
        stretch_label(alike[0], (x, width), base, ground, frame, surface);
        hour += alike.len();
    }
    for hour in 0..24 {
        let label = hour_words(nearest, hour, length);
        scene.bars.push(SceneBar { x: place.of_hour(hour), y: top, width: place.column, height: base - top, label });
    }
}

/// What a stretch of alike hours is, in words over the base line, where there is room.
fn stretch_label(
    kind: HourKind,
    across: (f64, f64),
    base: f64,
    ground: Colour,
    frame: &Frame,
    surface: &mut dyn Surface,
) {
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    let (said, colour): (&[&str], Colour) = match kind {
        HourKind::Closed => (&["band closed", "closed"], palette.soft),
        HourKind::NearOnly => (&["near only"], palette.soft),
        HourKind::Open => (&["heard nearer too"], palette.soft),
        HourKind::Skip => (&["skip zone: nobody nearer heard it", "skip zone"], palette.ink),
    };
    let (x, width) = across;
    let fits = |words: &&&str| surface.text_width(words, font) + 8.0 <= width;
    if let Some(words) = said.iter().find(fits) {
        let at = Point::new(x + width / 2.0, base - 7.0 * frame.text_scale());
        let text = Text::new(words, at, font, colour).anchored(Anchor::Middle);
        surface.text(&text.with_halo(ground, 4.0));
    }
}

fn hour_words(nearest: &BandOpenings, hour: usize, length: Length) -> String {
    let of_hour = nearest.nearest[hour];
    let when = format!("{}, {hour:02} to {:02} UTC", nearest.band.label(), hour + 1);
    let Some(km) = of_hour.beyond_ring_km else {
        let why = if kind(nearest, hour) == HourKind::Closed { "band closed" } else { "heard near by only" };
        return format!("{when}: {why}");
    };
    let near = match (of_hour.skip_zone_km(), of_hour.deaf) {
        (None, _) => {
            format!("and {} nearer, by steep waves", counted(of_hour.steep, "listener", "listeners"))
        }
        (Some(_), 0) => "nobody nearer heard it".to_owned(),
        (Some(_), deaf) => format!(
            "nobody nearer heard it, though {} there heard another band",
            counted(deaf, "listener", "listeners")
        ),
    };
    format!("{when}: nearest listener {}; {near}", length.text(km))
}

/// What the picture shows, in a few sentences.
pub fn summary(input: &HoursLargeInput<'_>) -> String {
    let mut said = hours::summary(&input.cells);
    if let Some(sun) = input.sun {
        let of = |state: SunState| -> u32 {
            let own = sun.stretches.iter().filter(|stretch| stretch.state == state);
            own.map(|stretch| stretch.to_min - stretch.from_min).sum()
        };
        let [day, twilight, night] = SunState::ALL.map(|state| decimals(f64::from(of(state)) / 60.0, 0));
        let sun = format!(
            " Sun at home: {day}{NO_BREAK}h of day, {twilight}{NO_BREAK}h of twilight, {night}{NO_BREAK}h of night."
        );
        said.push_str(&sun);
    }
    if let Some(nearest) = input.nearest {
        let skip = |hour: &usize| kind(nearest, *hour) == HourKind::Skip;
        let hours = (0..24).filter(skip).count();
        let nearest_km = (0..24).filter_map(|hour| nearest.nearest[hour].skip_zone_km());
        let (low, high) =
            nearest_km.fold((f64::INFINITY, 0.0), |(low, high): (f64, f64), km| (low.min(km), high.max(km)));
        let band = nearest.band.label();
        let zone = if hours == 0 {
            format!(" {band}: no hour with a skip zone.")
        } else {
            format!(
                " {band}: a skip zone in {}, out to {} at least and {} at most.",
                counted(hours, "hour", "hours"),
                input.length.text(low),
                input.length.text(high)
            )
        };
        said.push_str(&zone);
    }
    said
}
