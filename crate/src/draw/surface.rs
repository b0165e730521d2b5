//! The verbs a figure draws with. Every backend knows all of them; none of them can fail.

use super::colour::Colour;
use super::outline::{Outline, Point};

/// What counts as inside an outline that crosses itself or has parts within parts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FillRule {
    /// Inside where an odd number of edges lies outward.
    EvenOdd,
    /// Inside where the edges wind round at all.
    NonZero,
}

/// Gaps in a line.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Dash {
    /// None.
    Solid,
    /// So long a stroke, so long a gap, in pixels; a stroke with round ends.
    Dotted {
        /// Length of the stroke.
        on: f64,
        /// Length of the gap.
        off: f64,
    },
}

/// How a line is drawn. Corners are round.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pen {
    /// Its colour.
    pub colour: Colour,
    /// Its width in pixels.
    pub width: f64,
    /// Its gaps.
    pub dash: Dash,
}

impl Pen {
    /// A line without gaps.
    pub const fn new(colour: Colour, width: f64) -> Self {
        Self { colour, width, dash: Dash::Solid }
    }

    /// The same pen with gaps.
    #[must_use]
    pub const fn dotted(self, on: f64, off: f64) -> Self {
        Self { dash: Dash::Dotted { on, off }, ..self }
    }
}

/// A face of type.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Face {
    /// Figures, units, captions.
    Sans,
    /// The one thing in a region that is marked.
    SansBold,
    /// Sentences and headings.
    Serif,
    /// What belongs to the instrument itself: bearings, N, titles of keys.
    SerifItalic,
}

/// A face in a size.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Font {
    /// The face.
    pub face: Face,
    /// Its size in pixels.
    pub size: f64,
}

impl Font {
    /// A face in a size in pixels.
    pub const fn new(face: Face, size: f64) -> Self {
        Self { face, size }
    }
}

/// Which part of the words stands at the given place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// Their beginning.
    Start,
    /// Their middle.
    Middle,
    /// Their end.
    End,
}

/// A border round letters that keeps them clear of what lies below.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Halo {
    /// Its colour: the ground's.
    pub colour: Colour,
    /// Width of the stroke in pixels, half of which shows.
    pub width: f64,
}

/// A line of words.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Text<'a> {
    /// The words.
    pub words: &'a str,
    /// Where the anchor stands, on the baseline.
    pub at: Point,
    /// Face and size.
    pub font: Font,
    /// Colour of the letters.
    pub colour: Colour,
    /// Which part stands there.
    pub anchor: Anchor,
    /// Turned clockwise about `at`, degrees.
    pub turn_deg: f64,
    /// A border round the letters.
    pub halo: Option<Halo>,
}

impl<'a> Text<'a> {
    /// Level words that begin at a place, without a border.
    pub const fn new(words: &'a str, at: Point, font: Font, colour: Colour) -> Self {
        Self { words, at, font, colour, anchor: Anchor::Start, turn_deg: 0.0, halo: None }
    }

    /// With another anchor.
    #[must_use]
    pub const fn anchored(self, anchor: Anchor) -> Self {
        Self { anchor, ..self }
    }

    /// Turned clockwise.
    #[must_use]
    pub const fn turned(self, turn_deg: f64) -> Self {
        Self { turn_deg, ..self }
    }

    /// With a border.
    #[must_use]
    pub const fn with_halo(self, colour: Colour, width: f64) -> Self {
        Self { halo: Some(Halo { colour, width }), ..self }
    }
}

/// Which way words run along a circle.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reading {
    /// Clockwise, feet toward the middle: readable in the upper half.
    Clockwise,
    /// Counterclockwise, heads toward the middle: readable in the lower half.
    Counterclockwise,
}

/// Words along a circle.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ArcText<'a> {
    /// The words.
    pub words: &'a str,
    /// Middle of the circle.
    pub centre: Point,
    /// Radius of the baseline in pixels.
    pub radius: f64,
    /// Bearing at which the anchor stands, degrees clockwise from straight up.
    pub bearing_deg: f64,
    /// Which way the words run.
    pub reading: Reading,
    /// Which part stands there.
    pub anchor: Anchor,
    /// Face and size.
    pub font: Font,
    /// Colour of the letters.
    pub colour: Colour,
    /// A border round the letters.
    pub halo: Option<Halo>,
}

/// Something to draw on. Coordinates are CSS pixels from the upper left corner.
pub trait Surface {
    /// Fills a shape.
    fn fill(&mut self, outline: &Outline, rule: FillRule, colour: Colour);
    /// Draws a line.
    fn stroke(&mut self, outline: &Outline, pen: &Pen);
    /// A circle, filled, outlined or both.
    fn circle(&mut self, centre: Point, radius: f64, fill: Option<Colour>, pen: Option<&Pen>);
    /// A line of words.
    fn text(&mut self, text: &Text<'_>);
    /// Words along a circle.
    fn text_on_arc(&mut self, text: &ArcText<'_>);
    /// From here to the matching [`Surface::pop_clip`] only what lies in the circle is drawn.
    fn push_clip_circle(&mut self, centre: Point, radius: f64);
    /// Ends the innermost clip.
    fn pop_clip(&mut self);
    /// From here to the matching [`Surface::close_group`] all belongs together under a title.
    fn open_group(&mut self, title: &str);
    /// Ends the innermost group.
    fn close_group(&mut self);
    /// How wide words are in pixels.
    fn text_width(&self, words: &str, font: Font) -> f64;
    /// Draws what may lie the same under picture after picture of this surface, and then `key` is the same too:
    /// a surface may keep it. `draw` must leave no clip and no group open.
    fn backdrop(&mut self, key: &[u64], draw: &mut dyn FnMut(&mut dyn Surface));
}
