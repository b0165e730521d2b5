//! Bearings: the farthest distance in each of sixteen sectors as bars, listeners as figures under them.

use super::bars::{BarScene, SceneBar};
use super::disc::direction_name;
use super::frame::Frame;
use crate::draw::axis::Axis;
use crate::draw::{Anchor, Antenna, Face, FillRule, Font, Outline, Pen, Point, Surface, Text};
use crate::study::Sector;
use crate::words::Length;
use crate::words::number::{count, counted};

/// Every second of the sixteen has a name short enough to stand under its bar.
const LETTERS: [&str; 8] = ["N", "NE", "E", "SE", "S", "SW", "W", "NW"];
/// Share of a column that its bar takes.
const BAR_SHARE: f64 = 0.48;

/// What the bars show.
#[derive(Clone, Copy, Debug)]
pub struct BearingsInput<'a> {
    /// The sixteen sectors.
    pub sectors: &'a [Sector],
    /// How far the disc reaches, km: a bar beyond it ends in an arrow, so that the others can be told apart.
    pub extent_km: f64,
    /// Whose bars they are.
    pub antenna: Antenna,
    /// Unit of distances.
    pub length: Length,
}

/// Draws the bars and says what lies where: one entry a sector, north first.
pub fn draw(input: &BearingsInput<'_>, frame: &Frame, surface: &mut dyn Surface) -> BarScene {
    let scale = frame.text_scale();
    let font = Font::new(Face::Sans, frame.text_px);
    let palette = &frame.palette;
    let value = |km: f64| input.length.value(km);
    let within = |km: &f64| *km <= input.extent_km * 1.000_01;
    let distances = || input.sectors.iter().filter_map(|sector| sector.farthest_km);
    let greatest = distances().filter(within).fold(0.0, f64::max);
    let greatest = if greatest > 0.0 { greatest } else { input.extent_km };
    let axis = Axis::holding(value(greatest), 2);
    let labels: Vec<(f64, String)> = axis.lines().map(|line| (line, crate::words::number::whole(line))).collect();

    let widest = labels.iter().map(|(_, words)| surface.text_width(words, font)).fold(0.0, f64::max);
    let left = (widest + 10.0).max(40.0 * scale).round();
    let (top, base) = (10.0 * scale, (frame.height - 40.0 * scale).max(12.0 * scale));
    let y_of = |figure: f64| base - (base - top) * figure / axis.end();
    let column = (frame.width - left).max(16.0) / 16.0;

    for (line, words) in &labels {
        let y = y_of(*line);
        let rule = Outline::segment(Point::new(left, y), Point::new(frame.width, y));
        surface.stroke(&rule, &Pen::new(palette.hair, 1.0));
        surface.text(&Text::new(words, Point::new(0.0, y + 0.36 * frame.text_px), font, palette.soft));
    }
    let colour = palette.antenna(input.antenna).mark;
    let mut scene = BarScene::default();
    for (at, sector) in input.sectors.iter().enumerate() {
        let middle = left + column * (at as f64 + 0.5);
        if let Some(km) = sector.farthest_km {
            let beyond = !within(&km) || value(km) > axis.end();
            let y = if beyond { top + 3.0 * scale } else { y_of(value(km)).min(base - 1.0) };
            let width = BAR_SHARE * column;
            let bar = Outline::rectangle(middle - width / 2.0, y, width, base - y);
            match input.antenna {
                Antenna::A => surface.fill(&bar, FillRule::NonZero, colour),
                Antenna::B => surface.stroke(&bar, &Pen::new(colour, 1.5)),
            }
            if beyond {
                let tip = Point::new(middle, top - 7.0 * scale);
                let mut arrow = Outline::segment(Point::new(middle, y), tip);
                let barb = 3.5 * scale;
                arrow.add_line(&[tip.shifted(-barb, barb), tip, tip.shifted(barb, barb)]);
                surface.stroke(&arrow, &Pen::new(palette.ink, 1.0));
            }
        }
        let words = count(sector.listeners);
        let size = fitted(&words, font, column - 2.0, surface);
        let colour = if sector.listeners > 0 { palette.ink } else { palette.soft };
        let under = Point::new(middle, base + 15.0 * scale);
        surface.text(&Text::new(&words, under, Font::new(font.face, size), colour).anchored(Anchor::Middle));
        if let Some(letters) = LETTERS.get(at / 2).filter(|_| at % 2 == 0) {
            let under = Point::new(middle, base + 32.0 * scale);
            surface.text(&Text::new(letters, under, font, palette.soft).anchored(Anchor::Middle));
        }
        scene.bars.push(SceneBar {
            x: middle - column / 2.0,
            y: 0.0,
            width: column,
            height: frame.height,
            label: label(sector, input.length),
        });
    }
    let rule = Outline::segment(Point::new(left, base), Point::new(frame.width, base));
    surface.stroke(&rule, &Pen::new(palette.ink, 1.0));
    scene
}

/// The size at which words fit a width, never above the font's.
fn fitted(words: &str, font: Font, width: f64, surface: &dyn Surface) -> f64 {
    let needed = surface.text_width(words, font);
    if needed > width { font.size * width / needed } else { font.size }
}

fn label(sector: &Sector, length: Length) -> String {
    let name = direction_name(super::disc::sector_middle_deg(sector));
    let listeners = counted(sector.listeners, "listener", "listeners");
    match sector.farthest_km {
        Some(km) => format!("{name}: {listeners}, farthest {}", length.text(km)),
        None => format!("{name}: {listeners}"),
    }
}

/// What the bars show, in one sentence.
pub fn summary(input: &BearingsInput<'_>) -> String {
    let heard = input.sectors.iter().filter(|sector| sector.listeners > 0).count();
    let farthest = input
        .sectors
        .iter()
        .filter_map(|sector| Some((sector.farthest_km?, sector)))
        .max_by(|a, b| a.0.total_cmp(&b.0));
    let most = input.sectors.iter().rev().max_by_key(|sector| sector.listeners);
    let (Some((km, far)), Some(most)) = (farthest, most) else {
        return "Farthest listener by bearing: none.".to_owned();
    };
    let name = |sector: &Sector| direction_name(super::disc::sector_middle_deg(sector));
    format!(
        "Listeners in {heard} of 16 directions: farthest {} to the {}, most to the {} ({}).",
        input.length.text(km),
        name(far),
        name(most),
        counted(most.listeners, "listener", "listeners")
    )
}
