//! Hours: bands down, the 24 hours of the UTC day across, the count of a cell as a step of one tint.
//! In Sun a black square grows instead.

use super::bars::{BarScene, SceneBar};
use super::frame::Frame;
use crate::draw::axis::round_near;
use crate::draw::{Anchor, Face, FillRule, Font, Outline, Point, Surface, Text, Theme};
use crate::model::Band;
use crate::study::BandHours;
use crate::words::number::{count, counted};

/// A cell this wide has room for its count, pixels.
const ROOM_PX: f64 = 22.0;
/// Where the steps of the tint begin, as shares of the greatest count, before rounding.
const SHARES: [f64; 4] = [0.17, 0.34, 0.5, 0.75];
/// Side of the square of each step in Sun, as a share of the largest.
const SIDES: [f64; 5] = [0.35, 0.51, 0.68, 0.84, 1.0];

/// What is counted in a cell.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Counted {
    /// Spots.
    #[default]
    Spots,
    /// Listeners.
    Listeners,
}

/// Where the key to the tint stands.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Key {
    /// Over the cells.
    Inside,
    /// Elsewhere: whoever shows the figure writes it.
    #[default]
    Outside,
}

/// What the cells show.
#[derive(Clone, Copy, Debug)]
pub struct HoursInput<'a> {
    /// The hours of the bands that are left after filtering.
    pub hours: &'a [BandHours],
    /// One row each: bands in all loaded work.
    pub bands: &'a [Band],
    /// Least count of each step of the tint, from [`limits`].
    pub limits: [usize; 5],
    /// What is counted.
    pub counted: Counted,
    /// Where the key stands.
    pub key: Key,
}

/// Least counts of the five steps: round numbers chosen for these hours. Give it all hours, not what a filter leaves.
pub fn limits(all: &[BandHours], counted: Counted) -> [usize; 5] {
    let greatest = all.iter().flat_map(|band| values(band, counted)).max().unwrap_or(0);
    let mut limits = [1; 5];
    for (step, share) in SHARES.into_iter().enumerate() {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a count")]
        let round = round_near(share * greatest as f64).round() as usize;
        limits[step + 1] = round.max(limits[step] + 1);
    }
    limits
}

/// How high a figure of so many rows wants to be, pixels.
pub fn height(rows: usize, key: Key, frame_text_px: f64) -> f64 {
    let scale = frame_text_px / 12.0;
    let row = if rows >= 8 { 15.0 } else { 19.0 };
    let key = match key {
        Key::Inside => 20.0,
        Key::Outside => 0.0,
    };
    (rows as f64 * row + 20.0 + key) * scale
}

fn values(band: &BandHours, counted: Counted) -> [usize; 24] {
    match counted {
        Counted::Spots => band.spots,
        Counted::Listeners => band.listeners,
    }
}

/// The step of a count, or `None` for an empty cell.
fn step_of(limits: [usize; 5], value: usize) -> Option<usize> {
    limits.into_iter().rposition(|least| value >= least)
}

/// Draws the cells and says what lies where: row by row, hour by hour.
pub fn draw(input: &HoursInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let left = left_of(input.bands, frame, surface);
    draw_from(input, left, frame, surface)
}

/// Where the cells begin, so that the names of the bands have room before them.
pub(super) fn left_of(bands: &[Band], frame: &Frame, surface: &dyn Surface) -> f64 {
    let font = Font::new(Face::Sans, frame.text_px);
    let widest = bands.iter().map(|band| surface.text_width(&band.label(), font)).fold(0.0, f64::max);
    (widest + 8.0).max(40.0 * frame.text_scale()).round()
}

/// Width of an hour where the cells begin at `left`.
pub(super) fn column_from(left: f64, frame: &Frame) -> f64 {
    (frame.width - left).max(24.0) / 24.0
}

/// Is an hour so wide that each has its figure?
pub(super) fn has_room(column: f64, frame: &Frame) -> bool {
    column >= ROOM_PX * frame.text_scale().min(1.25)
}

/// The same as [`draw`] with the cells from `left` on.
pub(super) fn draw_from(input: &HoursInput<'_>, left: f64, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    let names: Vec<String> = input.bands.iter().map(|band| band.label()).collect();
    let column = column_from(left, frame);
    let top = match input.key {
        Key::Inside => key(input, frame, surface),
        Key::Outside => 0.0,
    };
    let row = (frame.height - top - 20.0 * scale).max(1.0) / input.bands.len().max(1) as f64;
    let room = has_room(column, frame) && row >= frame.text_px;

    let mut scene = BarScene::default();
    for (at, (&band, name)) in input.bands.iter().zip(&names).enumerate() {
        let y = top + row * at as f64;
        surface.text(&Text::new(name, Point::new(0.0, y + row / 2.0 + 0.36 * frame.text_px), font, palette.ink));
        let values = input.hours.iter().find(|hours| hours.band == band).map(|hours| values(hours, input.counted));
        for hour in 0..24_usize {
            let value = values.and_then(|values| values.get(hour).copied()).unwrap_or(0);
            let cell = Cell { x: left + column * hour as f64, y, width: column, height: row };
            if let Some(step) = step_of(input.limits, value) {
                draw_cell(cell, step, frame, surface);
                if room && palette.theme != Theme::Sun {
                    let at = Point::new(cell.x + column / 2.0, y + row / 2.0 + 0.36 * frame.text_px);
                    let colour = palette.on_hour_ramp(step);
                    surface.text(&Text::new(&count(value), at, font, colour).anchored(Anchor::Middle));
                }
            }
            let noun = match input.counted {
                Counted::Spots => ("spot", "spots"),
                Counted::Listeners => ("listener", "listeners"),
            };
            scene.bars.push(SceneBar {
                x: cell.x,
                y,
                width: column,
                height: row,
                label: format!("{name}, {hour:02} to {:02} UTC: {}", hour + 1, counted(value, noun.0, noun.1)),
            });
        }
    }
    let under = frame.height - 4.0 * scale;
    for hour in (0..24_usize).step_by(if room { 1 } else { 3 }) {
        let (x, anchor) = if room {
            (left + column * (hour as f64 + 0.5), Anchor::Middle)
        } else {
            (left + column * hour as f64, Anchor::Start)
        };
        let words = format!("{hour:02}");
        surface.text(&Text::new(&words, Point::new(x, under), font, palette.soft).anchored(anchor));
    }
    scene
}

/// The area of a cell.
#[derive(Clone, Copy, Debug)]
struct Cell {
    x: f64,
    y: f64,
    width: f64,
    height: f64,
}

fn draw_cell(cell: Cell, step: usize, frame: &Frame, surface: &mut dyn Surface) {
    let Cell { x, y, width, height } = cell;
    if frame.palette.theme == Theme::Sun {
        let side = (width.min(height) - 2.0).max(1.0) * SIDES[step];
        let square = Outline::rectangle(x + (width - side) / 2.0, y + (height - side) / 2.0, side, side);
        surface.fill(&square, FillRule::NonZero, frame.palette.ink);
    } else {
        let tint = Outline::rectangle(x + 0.5, y + 0.5, (width - 1.0).max(0.5), (height - 1.0).max(0.5));
        surface.fill(&tint, FillRule::NonZero, frame.palette.hour_ramp()[step]);
    }
}

/// The key over the cells; its height.
fn key(input: &HoursInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> f64 {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let swatch = 12.0 * scale;
    let title = match input.counted {
        Counted::Spots => "spots",
        Counted::Listeners => "listeners",
    };
    let mut right = frame.width;
    for step in (0..5).rev() {
        let words = format!("{}+", count(input.limits[step]));
        right -= surface.text_width(&words, font);
        let base = Point::new(right, 11.0 * scale);
        surface.text(&Text::new(&words, base, font, frame.palette.soft));
        right -= 4.0 * scale + swatch;
        draw_cell(Cell { x: right, y: 0.0, width: swatch + 1.0, height: swatch + 1.0 }, step, frame, surface);
        right -= 9.0 * scale;
    }
    let base = Point::new(right, 11.0 * scale);
    surface.text(&Text::new(title, base, font, frame.palette.soft).anchored(Anchor::End));
    20.0 * scale
}

/// What the cells show, in one sentence.
pub fn summary(input: &HoursInput<'_>) -> String {
    let noun = match input.counted {
        Counted::Spots => ("spot", "spots"),
        Counted::Listeners => ("listener", "listeners"),
    };
    let cells = || {
        input.hours.iter().filter(|hours| input.bands.contains(&hours.band)).flat_map(|hours| {
            values(hours, input.counted).into_iter().enumerate().map(move |(hour, value)| (hours.band, hour, value))
        })
    };
    // the earliest of equals, and the longest wave first
    let first_greatest = cells().reduce(|best, this| if this.2 > best.2 { this } else { best });
    let Some((band, hour, most)) = first_greatest.filter(|&(_, _, most)| most > 0) else {
        return format!("{} by band and UTC hour: none.", capital(noun.1));
    };
    let filled = cells().filter(|&(_, _, value)| value > 0).count();
    format!(
        "{} by band and UTC hour, {} of {} cells filled: most on {} from {hour:02} to {:02} UTC ({}).",
        capital(noun.1),
        count(filled),
        count(input.bands.len() * 24),
        band.label(),
        hour + 1,
        counted(most, noun.0, noun.1)
    )
}

fn capital(noun: &str) -> String {
    let mut letters = noun.chars();
    letters.next().map_or_else(String::new, |first| first.to_ascii_uppercase().to_string() + letters.as_str())
}
