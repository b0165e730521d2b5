//! What every section of the report is made of, so that one template writes them all.

use askama::Template;

use crate::draw::Theme;
use crate::draw::svg::SvgSurface;
use crate::figure::{Frame, Size};

/// A section; what is empty is not written.
#[derive(Debug, Default)]
pub(super) struct Section {
    /// Its place on the sheet, by which the style knows it.
    pub(super) place: &'static str,
    pub(super) heading: &'static str,
    /// Beside the heading, as markup.
    pub(super) note: String,
    /// Paragraphs before the picture: class, and words as markup.
    pub(super) before: Vec<(&'static str, String)>,
    /// An SVG.
    pub(super) picture: String,
    /// Marks with what they mean.
    pub(super) keys: Vec<Key>,
    /// Is the table folded away behind these words? On paper it then is not there.
    pub(super) fold: &'static str,
    pub(super) heads: Vec<String>,
    pub(super) rows: Vec<Row>,
    /// Paragraphs after it, as markup.
    pub(super) after: Vec<(&'static str, String)>,
}

/// A mark and its meaning.
#[derive(Debug)]
pub(super) struct Key {
    pub(super) fill: String,
    pub(super) label: String,
}

/// A row of a table; the first cell is its head.
#[derive(Debug)]
pub(super) struct Row {
    /// Colour of the mark before its head, if there is one.
    pub(super) fill: String,
    pub(super) cells: Vec<String>,
}

/// Words with a class each: `a` and `b` have the shape of that antenna before them, `head` leads a paragraph.
#[derive(Template)]
#[template(path = "report_words.html")]
struct Words<'a> {
    pieces: &'a [(&'static str, String)],
}

/// Words as markup.
pub(super) fn words(pieces: &[(&'static str, String)]) -> String {
    Words { pieces }.render().unwrap_or_default()
}

/// A paragraph with its head.
pub(super) fn paragraph(head: &str, text: String) -> (&'static str, String) {
    ("", words(&[("head", head.to_owned()), ("", format!(" {text}"))]))
}

/// A frame on white paper, its type to be scaled with the picture.
pub(super) fn frame(width: f64, height: f64) -> Frame {
    Frame { text_px: 12.0, ..Frame::new(width, height, Theme::Print, Size::Full) }
}

/// What was drawn, to stand in the page.
pub(super) fn picture(surface: SvgSurface, frame: &Frame, heading: &str, summary: &str) -> String {
    surface.finish(frame.width, frame.height, heading, summary)
}
