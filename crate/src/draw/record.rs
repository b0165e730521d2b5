//! A surface that remembers what was drawn, for tests.

use super::colour::Colour;
use super::metrics;
use super::outline::{Outline, Point};
use super::surface::{Anchor, ArcText, FillRule, Font, Pen, Reading, Surface, Text};

/// One thing that was drawn.
#[derive(Clone, Debug, PartialEq)]
pub enum Drawn {
    /// A filled shape.
    Fill {
        /// The shape.
        outline: Outline,
        /// Its rule.
        rule: FillRule,
        /// Its colour.
        colour: Colour,
    },
    /// A line.
    Stroke {
        /// The line.
        outline: Outline,
        /// How it is drawn.
        pen: Pen,
    },
    /// A circle.
    Circle {
        /// Its middle.
        centre: Point,
        /// Its radius.
        radius: f64,
        /// Its fill.
        fill: Option<Colour>,
        /// Its outline.
        pen: Option<Pen>,
    },
    /// Words.
    Text {
        /// The words.
        words: String,
        /// Where their anchor stands.
        at: Point,
        /// Which part of them stands there.
        anchor: Anchor,
        /// Face and size.
        font: Font,
        /// Turned clockwise, degrees.
        turn_deg: f64,
    },
    /// Words along a circle.
    ArcText {
        /// The words.
        words: String,
        /// Bearing of the anchor.
        bearing_deg: f64,
        /// Radius of the baseline.
        radius: f64,
        /// Which way they run.
        reading: Reading,
    },
    /// Clipping begins.
    PushClip {
        /// Middle of the circle.
        centre: Point,
        /// Its radius.
        radius: f64,
    },
    /// Clipping ends.
    PopClip,
    /// A group begins.
    OpenGroup(String),
    /// A group ends.
    CloseGroup,
}

/// The record.
#[derive(Clone, Debug, Default)]
pub struct Recorder {
    /// Everything drawn, in order.
    pub drawn: Vec<Drawn>,
}

impl Recorder {
    /// An empty record.
    pub fn new() -> Self {
        Self::default()
    }

    /// What was drawn within the groups of a title (groups within it included).
    pub fn group(&self, title: &str) -> Vec<&Drawn> {
        let mut inside = Vec::new();
        let mut depth = 0;
        for drawn in &self.drawn {
            match drawn {
                Drawn::OpenGroup(name) if depth > 0 || name == title => depth += 1,
                Drawn::CloseGroup if depth > 0 => depth -= 1,
                drawn if depth > 0 => inside.push(drawn),
                _ => {}
            }
        }
        inside
    }

    /// All words, in order.
    pub fn words(&self) -> Vec<&str> {
        self.drawn
            .iter()
            .filter_map(|drawn| match drawn {
                Drawn::Text { words, .. } | Drawn::ArcText { words, .. } => Some(words.as_str()),
                _ => None,
            })
            .collect()
    }

    /// Is every number that was drawn finite?
    pub fn is_finite(&self) -> bool {
        let fine = |point: &Point| point.x.is_finite() && point.y.is_finite();
        self.drawn.iter().all(|drawn| match drawn {
            Drawn::Fill { outline, .. } => outline.is_finite(),
            Drawn::Stroke { outline, pen } => outline.is_finite() && pen.width.is_finite(),
            Drawn::Circle { centre, radius, .. } | Drawn::PushClip { centre, radius } => {
                fine(centre) && radius.is_finite() && *radius >= 0.0
            }
            Drawn::Text { at, turn_deg, font, .. } => fine(at) && turn_deg.is_finite() && font.size.is_finite(),
            Drawn::ArcText { bearing_deg, radius, .. } => bearing_deg.is_finite() && radius.is_finite(),
            Drawn::PopClip | Drawn::OpenGroup(_) | Drawn::CloseGroup => true,
        })
    }
}

impl Surface for Recorder {
    fn fill(&mut self, outline: &Outline, rule: FillRule, colour: Colour) {
        self.drawn.push(Drawn::Fill { outline: outline.clone(), rule, colour });
    }

    fn stroke(&mut self, outline: &Outline, pen: &Pen) {
        self.drawn.push(Drawn::Stroke { outline: outline.clone(), pen: *pen });
    }

    fn circle(&mut self, centre: Point, radius: f64, fill: Option<Colour>, pen: Option<&Pen>) {
        self.drawn.push(Drawn::Circle { centre, radius, fill, pen: pen.copied() });
    }

    fn text(&mut self, text: &Text<'_>) {
        let Text { words, at, anchor, font, turn_deg, .. } = *text;
        self.drawn.push(Drawn::Text { words: words.to_owned(), at, anchor, font, turn_deg });
    }

    fn text_on_arc(&mut self, text: &ArcText<'_>) {
        let ArcText { words, bearing_deg, radius, reading, .. } = *text;
        self.drawn.push(Drawn::ArcText { words: words.to_owned(), bearing_deg, radius, reading });
    }

    fn push_clip_circle(&mut self, centre: Point, radius: f64) {
        self.drawn.push(Drawn::PushClip { centre, radius });
    }

    fn pop_clip(&mut self) {
        self.drawn.push(Drawn::PopClip);
    }

    fn open_group(&mut self, title: &str) {
        self.drawn.push(Drawn::OpenGroup(title.to_owned()));
    }

    fn close_group(&mut self) {
        self.drawn.push(Drawn::CloseGroup);
    }

    fn backdrop(&mut self, _key: &[u64], draw: &mut dyn FnMut(&mut dyn Surface)) {
        draw(self);
    }

    fn text_width(&self, words: &str, font: Font) -> f64 {
        metrics::text_width(words, font)
    }
}
