//! A picture of what leaves, to stand alone on a club's page: the answer over the Disc with its keys, and under it what
//! it was made of.

use super::privacy::{Leaving, Source};
use super::shown::Shown;
use crate::draw::svg::SvgSurface;
use crate::draw::{Antenna, Colour, Face, Font, Outline, Pen, Point, Surface, Text, Theme};
use crate::figure::disc::{self, Extent};
use crate::figure::legend::{self, LegendInput};
use crate::figure::{Frame, Size};
use crate::model::Band;
use crate::study::Tally;
use crate::words::Length;
use crate::words::number::{count, counted, in_files};

/// Width in pixels.
pub const WIDTH: f64 = 800.0;
const MARGIN: f64 = 32.0;
/// Side of the Disc.
const SIDE: f64 = WIDTH - 2.0 * MARGIN;

/// How the spots that leave are shown.
#[derive(Clone, Copy, Debug)]
pub struct Asked<'a> {
    /// How far the map reaches.
    pub extent: Extent,
    /// Unit of distances.
    pub length: Length,
    /// Bands in all loaded work: a filter must not recolour.
    pub bands: &'a [Band],
    /// Spots before any filter.
    pub of: usize,
    /// What the filters keep, in words.
    pub filters: &'a [String],
}

/// The Disc as an SVG document with real text, in light colours, figures with a decimal point.
/// The same spots always give the same bytes.
pub fn disc(leaving: &Leaving<'_>, asked: &Asked<'_>) -> String {
    in_files(|| draw(leaving, asked))
}

fn draw(leaving: &Leaving<'_>, asked: &Asked<'_>) -> String {
    let subject = leaving.subject();
    let shown = Shown::of(&subject, leaving, asked);
    let (input, tally, said) = (shown.disc(asked), &shown.tally, &shown.said);
    let frame = Frame { text_px: 12.0, ..Frame::new(SIDE, SIDE, Theme::Print, Size::Full) };
    let (ink, soft) = (frame.palette.ink, frame.palette.soft);

    let mut page = Writing { surface: SvgSurface::new(), y: MARGIN };
    if leaving.source() == Source::Sample {
        page.write("SAMPLE, made up", Font::new(Face::SansBold, 13.0), ink);
    }
    page.write(&said.whole(), Font::new(Face::Serif, 23.0), ink);
    page.write(&said.evidence, Font::new(Face::Sans, 13.0), soft);
    page.y += 10.0;
    let mut gathered = false;
    let top = page.y;
    page.surface.moved(MARGIN, top, |surface| {
        let scene = disc::draw(&input, &frame, surface);
        gathered = scene.marks.iter().any(|mark| mark.listeners.len() > 1);
        let keys = LegendInput { bands: asked.bands, shown: &tally.bands, antenna: Antenna::A };
        legend::draw(&keys, &frame, surface);
    });
    page.y += SIDE + 10.0;
    let line = Outline::segment(Point::new(MARGIN, page.y), Point::new(WIDTH - MARGIN, page.y));
    page.surface.stroke(&line, &Pen::new(frame.palette.ring, 1.0));
    page.y += 8.0;
    for line in foot(leaving, asked, tally, gathered) {
        page.write(&line, Font::new(Face::Sans, 12.0), soft);
    }
    let height = (page.y + MARGIN / 2.0).ceil();
    page.surface.on_ground(&Outline::rectangle(0.0, 0.0, WIDTH, height), Colour::WHITE);
    page.surface.finish(WIDTH, height, &said.name, &disc::summary(&input))
}

/// What a number in a circle is.
pub(super) const GATHERED: &str = "A number in a circle: so many stations close together.";

/// When the spots were, how many of all they are, and what keeps the others out.
pub(super) fn made_of(asked: &Asked<'_>, tally: &Tally) -> Vec<String> {
    let span = tally.span.map_or_else(String::new, |(first, last)| {
        format!("{} to {} UTC. ", first.date_and_minute(), last.date_and_minute())
    });
    let mut lines = vec![format!("{span}{} of {}.", count(tally.spots), counted(asked.of, "spot", "spots"))];
    if !asked.filters.is_empty() {
        lines.push(format!("Only {}.", asked.filters.join("; ")));
    }
    lines
}

/// What it was made of, line by line.
fn foot(leaving: &Leaving<'_>, asked: &Asked<'_>, tally: &Tally, gathered: bool) -> Vec<String> {
    let mut lines = made_of(asked, tally);
    if gathered {
        lines.push(GATHERED.to_owned());
    }
    if let Some(home) = leaving.subject().home() {
        lines.push(format!("Rings and bearings are true from {home}. Farheard {}", env!("CARGO_PKG_VERSION")));
    }
    lines
}

/// Lines of words under one another.
struct Writing {
    surface: SvgSurface,
    /// Where the next line begins.
    y: f64,
}

impl Writing {
    /// Words in as many lines as they need.
    fn write(&mut self, words: &str, font: Font, colour: Colour) {
        // widths are reckoned by a face of middle width; others that a machine may have instead are wider
        let room = SIDE * if font.face == Face::Serif { 0.82 } else { 0.92 };
        let mut line = String::new();
        for word in words.split(' ').filter(|word| !word.is_empty()) {
            let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
            if self.surface.text_width(&longer, font) <= room || line.is_empty() {
                line = longer;
            } else {
                self.line(&line, font, colour);
                word.clone_into(&mut line);
            }
        }
        self.line(&line, font, colour);
    }

    fn line(&mut self, words: &str, font: Font, colour: Colour) {
        if !words.is_empty() {
            self.surface.text(&Text::new(words, Point::new(MARGIN, self.y + font.size), font, colour));
            self.y += 1.35 * font.size;
        }
    }
}
