//! What every section of the report is made of, so that one template writes them all.

use askama::Template;

use crate::draw::Theme;
use crate::draw::svg::SvgSurface;
use crate::figure::{Frame, Size};
use crate::words::number::{Length, MISSING, difference, level, whole};

/// A section; what is empty is not written.
#[derive(Debug, Default)]
pub(super) struct Section {
    /// Its place on the sheet, by which the style knows it.
    pub(super) place: &'static str,
    pub(super) heading: &'static str,
    /// Beside the heading, as markup.
    pub(super) note: String,
    /// Paragraphs before the picture, as markup.
    pub(super) before: String,
    /// An SVG.
    pub(super) picture: String,
    /// Marks with what they mean.
    pub(super) keys: Vec<Row>,
    /// Is the table folded away behind these words? On paper it then is not there.
    pub(super) fold: &'static str,
    pub(super) heads: Vec<String>,
    pub(super) rows: Vec<Row>,
    /// Paragraphs after it, as markup.
    pub(super) after: String,
}

/// A row of a table.
#[derive(Debug, Default)]
pub(super) struct Row {
    /// Colour of the mark before its head, if there is one.
    pub(super) fill: String,
    pub(super) head: String,
    pub(super) cells: Vec<String>,
}

impl Section {
    /// An empty one.
    pub(super) fn new(place: &'static str, heading: &'static str) -> Self {
        Self { place, heading, ..Self::default() }
    }

    /// Heads of the table, upright strokes between them; distances get their unit.
    pub(super) fn heads(&mut self, words: &str, length: Length) {
        let head = |word: &str| if is_distance(word) { format!("{word}, {}", length.unit()) } else { word.to_owned() };
        self.heads = words.split('|').map(head).collect();
    }

    /// Adds a row: its numbers are written as the words of their heads ask for, one that is not finite is missing.
    /// All of it is done here, so that whoever has numbers brings no code of their own.
    pub(super) fn row(&mut self, fill: &str, head: &str, numbers: &[f64], length: Length) {
        let mut cells = Vec::with_capacity(self.heads.len());
        for (under, &number) in self.heads.iter().skip(1).zip(numbers) {
            cells.push(if !number.is_finite() {
                MISSING.to_owned()
            } else if is_distance(under) {
                length.figure(number)
            } else if under == "dB" {
                difference(number)
            } else if under.starts_with("Level") {
                level(number)
            } else {
                whole(number)
            });
        }
        self.rows.push(Row { fill: fill.to_owned(), head: head.to_owned(), cells });
    }

    /// Adds a paragraph with its head.
    pub(super) fn say(&mut self, head: &str, text: &str) {
        self.after += &paragraph("", &[("head", head), ("", " "), ("", text)]);
    }
}

fn is_distance(head: &str) -> bool {
    head.starts_with("Half within") || head.starts_with("Farthest")
}

/// Words with a class each: `a` and `b` have the shape of that antenna before them, `head` leads a paragraph.
#[derive(Template)]
#[template(path = "report_words.html")]
struct Words<'a> {
    pieces: &'a [(&'static str, &'a str)],
}

/// Words as markup.
pub(super) fn words(pieces: &[(&'static str, &str)]) -> String {
    Words { pieces }.render().unwrap_or_default()
}

/// A paragraph as markup.
pub(super) fn paragraph(class: &'static str, pieces: &[(&'static str, &str)]) -> String {
    ["\n<p class=\"", class, "\">", &words(pieces), "</p>"].concat()
}

/// A frame on white paper, its type to be scaled with the picture.
pub(super) fn frame(width: f64, height: f64) -> Frame {
    Frame { text_px: 12.0, ..Frame::new(width, height, Theme::Print, Size::Full) }
}

/// What was drawn, to stand in the page.
pub(super) fn picture(surface: SvgSurface, frame: &Frame, heading: &str, summary: &str) -> String {
    surface.finish(frame.width, frame.height, heading, summary)
}

/// A figure that may not be known.
pub(super) fn known(value: Option<f64>) -> f64 {
    value.unwrap_or(f64::NAN)
}
