//! How large a figure is and for which eyes, and the figure as a file of its own.

use crate::draw::svg::SvgSurface;
use crate::draw::{Palette, Surface, Theme};

/// How much a figure has room for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Size {
    /// All of it.
    #[default]
    Full,
    /// A hand-held screen: smaller marks, fewer ticks, no numerals.
    Phone,
    /// One of several small figures side by side: no petals either.
    Mini,
}

/// The room for a figure, in CSS pixels.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Width.
    pub width: f64,
    /// Height.
    pub height: f64,
    /// Colours and line widths.
    pub palette: Palette,
    /// Size of captions and of the figures in charts.
    pub text_px: f64,
    /// How much there is room for.
    pub size: Size,
}

impl Frame {
    /// A frame in a theme, with the size of type that belongs to both.
    pub fn new(width: f64, height: f64, theme: Theme, size: Size) -> Self {
        let text_px = match (theme, size) {
            (Theme::Sun, _) => 17.0,
            (Theme::Print, _) => 10.5,
            (_, Size::Phone) => 13.0,
            (_, Size::Full | Size::Mini) => 12.0,
        };
        Self { width: width.max(1.0), height: height.max(1.0), palette: Palette::of(theme), text_px, size }
    }

    /// Size of type against the usual 12 px.
    pub fn text_scale(&self) -> f64 {
        self.text_px / 12.0
    }
}

/// What is drawn, as an SVG file of its own with real text.
///
/// `title` and `description` stand in it for readers who do not see it. The same drawing always gives the same text.
pub fn to_svg(frame: &Frame, title: &str, description: &str, draw: impl FnOnce(&mut dyn Surface)) -> String {
    let mut surface = SvgSurface::new();
    draw(&mut surface);
    surface.finish(frame.width, frame.height, title, description)
}
