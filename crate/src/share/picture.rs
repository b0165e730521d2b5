//! Pictures of what leaves, to stand alone on a club's page: the answer over the Disc with its keys, or the verdict over
//! the differences by band, and under it what it was made of.

use super::privacy::{Leaving, Source};
use super::report::{Pair, pair};
use super::shown::Shown;
use crate::draw::svg::SvgSurface;
use crate::draw::{Antenna, Colour, Face, Font, Outline, Pen, Point, Surface, Text, Theme};
use crate::figure::disc::{self, Extent};
use crate::figure::intervals::{self, IntervalRow};
use crate::figure::legend::{self, LegendInput};
use crate::figure::{Frame, Size};
use crate::model::Band;
use crate::study::Tally;
use crate::words::headline::headline;
use crate::words::number::{count, counted, in_files};
use crate::words::{Length, ground};

/// Width in pixels.
pub const WIDTH: f64 = 800.0;
const MARGIN: f64 = 32.0;
/// Side of the Disc.
const SIDE: f64 = WIDTH - 2.0 * MARGIN;
/// Height of a row of the plot of differences.
const ROW_PX: f64 = 44.0;

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

/// The difference of two runs on each band, likewise: the verdict over the plot with its figures.
pub fn difference(leaving: &Leaving<'_>, asked: &Asked<'_>, pair: Pair<'_>) -> String {
    in_files(|| draw_difference(leaving, asked, pair))
}

fn draw(leaving: &Leaving<'_>, asked: &Asked<'_>) -> String {
    let subject = leaving.subject();
    let shown = Shown::of(&subject, leaving, asked);
    let (input, said) = (shown.disc(asked), &shown.said);
    let frame = Frame { text_px: 12.0, ..Frame::new(SIDE, SIDE, Theme::Print, Size::Full) };
    let mut page = Writing::begin(leaving, &said.whole(), &said.evidence);
    let mut foot = made_of(asked, &shown.tally);
    page.figure(&frame, &mut |surface| {
        let scene = disc::draw(&input, &frame, surface);
        if scene.marks.iter().any(|mark| mark.listeners.len() > 1) {
            foot.push(GATHERED.to_owned());
        }
        let keys = LegendInput { bands: asked.bands, shown: &shown.tally.bands, antenna: Antenna::A };
        legend::draw(&keys, &frame, surface);
    });
    if let Some(home) = subject.home() {
        foot.push(format!("Rings and bearings are true from {home}."));
    }
    page.end(foot, &said.name, &disc::summary(&input))
}

fn draw_difference(leaving: &Leaving<'_>, asked: &Asked<'_>, pair: Pair<'_>) -> String {
    let Pair { runs, found, settings } = pair;
    let name = |at: usize| leaving.runs().get(at).map_or("", |told| told.run.name.as_str());
    let (a, b) = (name(runs.0), name(runs.1));
    let subject = leaving.subject();
    let tally = Tally::of(&subject, &leaving.row_set());
    let head = headline(a, b, found, settings);
    let rows = pair::rows(found);
    let rows: Vec<IntervalRow> = rows.into_iter().map(|(row, figures)| IntervalRow { figures, ..row }).collect();
    let columns = ["dB", "95\u{a0}% interval", "pairs", "listeners"];
    let input = pair::input(&rows, (a, b), settings, ROW_PX, &columns);
    let height = intervals::height(rows.len(), ROW_PX, input.dress, 12.0);
    let frame = Frame { text_px: 12.0, ..Frame::new(SIDE, height, Theme::Print, Size::Full) };
    let mut page = Writing::begin(leaving, &head.whole(), &head.evidence);
    page.figure(&frame, &mut |surface| {
        intervals::draw(&input, &frame, surface);
    });
    let mut foot = made_of(asked, &tally);
    foot.push(format!("{b} above {a}, dB, with 95\u{a0}% intervals; {}.", ground::design(found.design)));
    page.end(foot, &format!("{a} and {b}"), &intervals::summary(&input))
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

/// Lines of words under one another.
struct Writing {
    surface: SvgSurface,
    /// Where the next line begins.
    y: f64,
    ink: Colour,
    soft: Colour,
}

impl Writing {
    /// What stands over the picture.
    fn begin(leaving: &Leaving<'_>, sentence: &str, evidence: &str) -> Self {
        let palette = Frame::new(SIDE, SIDE, Theme::Print, Size::Full).palette;
        let mut page = Self { surface: SvgSurface::new(), y: MARGIN, ink: palette.ink, soft: palette.soft };
        if leaving.source() == Source::Sample {
            page.write("SAMPLE, made up", Font::new(Face::SansBold, 13.0), page.ink);
        }
        page.write(sentence, Font::new(Face::Serif, 23.0), page.ink);
        page.write(evidence, Font::new(Face::Sans, 13.0), page.soft);
        page.y += 10.0;
        page
    }

    /// A figure, as large as its frame.
    fn figure(&mut self, frame: &Frame, draw: &mut dyn FnMut(&mut SvgSurface)) {
        self.surface.moved(MARGIN, self.y, |surface| draw(surface));
        self.y += frame.height + 10.0;
        let line = Outline::segment(Point::new(MARGIN, self.y), Point::new(WIDTH - MARGIN, self.y));
        self.surface.stroke(&line, &Pen::new(frame.palette.ring, 1.0));
        self.y += 8.0;
    }

    /// What stands under it, and the whole as a document.
    fn end(mut self, mut foot: Vec<String>, name: &str, summary: &str) -> String {
        if let Some(last) = foot.last_mut() {
            last.push_str(concat!(" Farheard ", env!("CARGO_PKG_VERSION")));
        }
        for line in foot {
            self.write(&line, Font::new(Face::Sans, 12.0), self.soft);
        }
        let height = (self.y + MARGIN / 2.0).ceil();
        self.surface.on_ground(&Outline::rectangle(0.0, 0.0, WIDTH, height), Colour::WHITE);
        self.surface.finish(WIDTH, height, name, summary)
    }

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
