//! A surface on a browser's canvas, in the page's worker.
//!
//! The context is got once, outside: some browsers refuse a second time. Words along a circle are set letter by letter.

use std::cell::{Cell, RefCell};
use std::collections::BTreeMap;
use std::fmt;
use std::rc::Rc;

use wasm_bindgen::JsCast;
use wasm_bindgen::JsValue;
use web_sys::{CanvasWindingRule, OffscreenCanvas, OffscreenCanvasRenderingContext2d};

use super::colour::Colour;
use super::metrics;
use super::outline::{Outline, Point, Verb};
use super::surface::{Anchor, ArcText, Dash, Face, FillRule, Font, Halo, Pen, Reading, Surface, Text};

const SANS: &str =
    "ui-sans-serif,-apple-system,\"Segoe UI\",\"Noto Sans\",Roboto,\"Liberation Sans\",\"DejaVu Sans\",sans-serif";
const SERIF: &str = "\"Iowan Old Style\",\"Palatino Linotype\",Palatino,\"URW Palladio L\",P052,\"TeX Gyre Pagella\",\"Noto Serif\",Georgia,\"DejaVu Serif\",serif";

/// Widths of words measured before: a picture writes the same words again and again, and asking the browser is slow.
#[derive(Clone, Debug, Default)]
pub struct Widths(Rc<RefCell<KnownWidths>>);

/// By the bits of the size, face and words.
type KnownWidths = BTreeMap<(u64, Face, String), f64>;

/// So many widths are remembered; then all are forgotten.
const MOST_WIDTHS: usize = 4096;

impl Widths {
    /// The width of words in a font, measured only the first time.
    fn of(&self, words: &str, font: Font, measure: impl FnOnce() -> f64) -> f64 {
        let key = (font.size.to_bits(), font.face, words.to_owned());
        let mut known = self.0.borrow_mut();
        if known.len() >= MOST_WIDTHS {
            known.clear();
        }
        *known.entry(key).or_insert_with(measure)
    }
}

/// What lay under the last picture of a canvas: drawn only once while it stays the same.
#[derive(Clone, Debug, Default)]
pub struct Backdrop(Rc<RefCell<Kept>>);

#[derive(Debug, Default)]
struct Kept {
    key: Vec<u64>,
    /// Made when the same is drawn for the second time: a map that is just being zoomed is never the same.
    picture: Option<OffscreenCanvas>,
}

/// Device pixels of a canvas side, at least one and no more than any browser allows.
pub fn pixels(length: f64) -> u32 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "within 1 to 8192")]
    let pixels = length.round().clamp(1.0, 8192.0) as u32;
    pixels
}

/// A canvas being drawn on.
pub struct CanvasSurface {
    context: OffscreenCanvasRenderingContext2d,
    widths: Widths,
    backdrop: Backdrop,
    size: [f64; 2],
    device_ratio: f64,
    /// What the context has now: setting it is slow, asking it is slower.
    font: Cell<Option<Font>>,
    fill: Cell<Option<Colour>>,
    pen: Cell<Option<Pen>>,
}

impl fmt::Debug for CanvasSurface {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_struct("CanvasSurface").finish_non_exhaustive()
    }
}

impl CanvasSurface {
    /// A clear picture of so many CSS pixels. The canvas must already be `device_ratio` times as many of its own
    /// ([`pixels`]). Give all pictures of a page the same `widths`, and all pictures of a canvas the same `backdrop`.
    pub fn new(
        context: OffscreenCanvasRenderingContext2d,
        widths: Widths,
        backdrop: Backdrop,
        size: [f64; 2],
        device_ratio: f64,
    ) -> Self {
        let [width, height] = size;
        // a context that refuses to be set up shows nothing; there is nobody to tell and nothing to undo
        context.reset_transform().ok();
        context.scale(device_ratio, device_ratio).ok();
        context.clear_rect(0.0, 0.0, width, height);
        context.set_line_join("round");
        context.set_text_baseline("alphabetic");
        Self {
            context,
            widths,
            backdrop,
            size,
            device_ratio,
            font: Cell::default(),
            fill: Cell::default(),
            pen: Cell::default(),
        }
    }

    /// The same on a canvas of its own; `None` where the browser has none to give.
    fn drawn_apart(&self, draw: &mut dyn FnMut(&mut dyn Surface)) -> Option<OffscreenCanvas> {
        let [width, height] = self.size.map(|side| pixels(side * self.device_ratio));
        let canvas = OffscreenCanvas::new(width, height).ok()?;
        let context = canvas.get_context("2d").ok()??.unchecked_into();
        draw(&mut Self::new(context, self.widths.clone(), Backdrop::default(), self.size, self.device_ratio));
        Some(canvas)
    }

    /// Pixel for pixel.
    fn lay(&self, picture: &OffscreenCanvas) -> Option<()> {
        let context = &self.context;
        context.save();
        context.reset_transform().ok();
        let laid = context.draw_image_with_offscreen_canvas(picture, 0.0, 0.0);
        context.restore();
        laid.ok()
    }

    /// Makes the outline the context's path. Filling closes every part by itself, and closing costs a browser as much as
    /// the whole path before it: `close` is for lines only.
    fn trace(&self, outline: &Outline, close: bool) {
        let context = &self.context;
        context.begin_path();
        let mut start = Point::default();
        for verb in outline.verbs() {
            match *verb {
                Verb::Move(to) => {
                    start = to;
                    context.move_to(to.x, to.y);
                }
                Verb::Line(to) => context.line_to(to.x, to.y),
                Verb::Quad(control, to) => context.quadratic_curve_to(control.x, control.y, to.x, to.y),
                Verb::Arc { centre, radius, from_deg, to_deg } => {
                    // bearings count from straight up, the canvas counts from the right
                    let (from, to) = ((from_deg - 90.0).to_radians(), (to_deg - 90.0).to_radians());
                    context.arc_with_anticlockwise(centre.x, centre.y, radius.max(0.0), from, to, to < from).ok();
                }
                Verb::Close if close => context.close_path(),
                Verb::Close => context.move_to(start.x, start.y),
            }
        }
    }

    fn set_fill(&self, colour: Colour) {
        if self.fill.replace(Some(colour)) != Some(colour) {
            self.context.set_fill_style_str(&colour.css());
        }
    }

    fn set_pen(&self, pen: &Pen) {
        if self.pen.replace(Some(*pen)) == Some(*pen) {
            return;
        }
        let context = &self.context;
        context.set_stroke_style_str(&pen.colour.css());
        context.set_line_width(pen.width);
        let dashes = js_sys::Array::new();
        if let Dash::Dotted { on, off } = pen.dash {
            dashes.push(&JsValue::from_f64(on));
            dashes.push(&JsValue::from_f64(off));
            context.set_line_cap("round");
        } else {
            context.set_line_cap("butt");
        }
        context.set_line_dash(&dashes).ok();
    }

    fn set_font(&self, font: Font) {
        if self.font.get() == Some(font) {
            return;
        }
        let size = font.size;
        self.context.set_font(&match font.face {
            Face::Sans => format!("{size}px {SANS}"),
            Face::SansBold => format!("600 {size}px {SANS}"),
            Face::Serif => format!("{size}px {SERIF}"),
            Face::SerifItalic => format!("italic {size}px {SERIF}"),
        });
        self.font.set(Some(font));
    }

    /// Letters at a place, their baseline turned, their beginning at the place moved by `dx` along it.
    fn letters(&self, words: &str, at: Point, turn_deg: f64, dx: f64, colour: Colour, halo: Option<Halo>) {
        let context = &self.context;
        // set before the state is saved, so that it is the same when that comes back
        if let Some(halo) = halo {
            self.set_pen(&Pen::new(halo.colour, halo.width));
        }
        self.set_fill(colour);
        let (x, y) = if turn_deg == 0.0 { (at.x + dx, at.y) } else { (dx, 0.0) };
        if turn_deg != 0.0 {
            context.save();
            context.translate(at.x, at.y).ok();
            context.rotate(turn_deg.to_radians()).ok();
        }
        if halo.is_some() {
            context.stroke_text(words, x, y).ok();
        }
        context.fill_text(words, x, y).ok();
        if turn_deg != 0.0 {
            context.restore();
        }
    }
}

/// From the anchor to the beginning of words so wide.
fn offset(anchor: Anchor, width: f64) -> f64 {
    match anchor {
        Anchor::Start => 0.0,
        Anchor::Middle => -width / 2.0,
        Anchor::End => -width,
    }
}

impl Surface for CanvasSurface {
    fn fill(&mut self, outline: &Outline, rule: FillRule, colour: Colour) {
        self.trace(outline, false);
        self.set_fill(colour);
        self.context.fill_with_canvas_winding_rule(match rule {
            FillRule::EvenOdd => CanvasWindingRule::Evenodd,
            FillRule::NonZero => CanvasWindingRule::Nonzero,
        });
    }

    fn stroke(&mut self, outline: &Outline, pen: &Pen) {
        self.trace(outline, true);
        self.set_pen(pen);
        self.context.stroke();
    }

    fn circle(&mut self, centre: Point, radius: f64, fill: Option<Colour>, pen: Option<&Pen>) {
        let context = &self.context;
        context.begin_path();
        context.arc(centre.x, centre.y, radius.max(0.0), 0.0, std::f64::consts::TAU).ok();
        context.close_path();
        if let Some(colour) = fill {
            self.set_fill(colour);
            context.fill();
        }
        if let Some(pen) = pen {
            self.set_pen(pen);
            context.stroke();
        }
    }

    fn text(&mut self, text: &Text<'_>) {
        self.set_font(text.font);
        let width = if text.anchor == Anchor::Start { 0.0 } else { self.text_width(text.words, text.font) };
        self.letters(text.words, text.at, text.turn_deg, offset(text.anchor, width), text.colour, text.halo);
    }

    fn text_on_arc(&mut self, text: &ArcText<'_>) {
        self.set_font(text.font);
        let begin = offset(text.anchor, self.text_width(text.words, text.font));
        // all borders first, so that none covers the letter before it
        for halo_pass in [true, false] {
            if halo_pass && text.halo.is_none() {
                continue;
            }
            let mut before = String::new();
            for letter in text.words.chars() {
                let left = self.text_width(&before, text.font);
                before.push(letter);
                let right = self.text_width(&before, text.font);
                let along = begin + f64::midpoint(left, right);
                let degrees = (along / text.radius).to_degrees();
                let (bearing, turn) = match text.reading {
                    Reading::Clockwise => (text.bearing_deg + degrees, text.bearing_deg + degrees),
                    Reading::Counterclockwise => (text.bearing_deg - degrees, text.bearing_deg - degrees + 180.0),
                };
                let at = text.centre.toward(bearing, text.radius);
                let letter = letter.to_string();
                let colour = match text.halo {
                    Some(halo) if halo_pass => halo.colour,
                    _ => text.colour,
                };
                let halo = if halo_pass { text.halo } else { None };
                self.letters(&letter, at, turn, -(right - left) / 2.0, colour, halo);
            }
        }
    }

    fn push_clip_circle(&mut self, centre: Point, radius: f64) {
        let context = &self.context;
        context.save();
        context.begin_path();
        context.arc(centre.x, centre.y, radius.max(0.0), 0.0, std::f64::consts::TAU).ok();
        context.clip();
    }

    fn pop_clip(&mut self) {
        self.context.restore();
        // what it had before came back with the state
        self.font.set(None);
        self.fill.set(None);
        self.pen.set(None);
    }

    fn open_group(&mut self, _title: &str) {}

    fn close_group(&mut self) {}

    fn backdrop(&mut self, key: &[u64], draw: &mut dyn FnMut(&mut dyn Surface)) {
        let backdrop = self.backdrop.clone();
        let mut kept = backdrop.0.borrow_mut();
        let [width, height] = self.size;
        let key = [key, &[width.to_bits(), height.to_bits(), self.device_ratio.to_bits()]].concat();
        if kept.key != key {
            *kept = Kept { key, picture: None };
            draw(self);
            return;
        }
        if kept.picture.is_none() {
            kept.picture = self.drawn_apart(draw);
        }
        if kept.picture.as_ref().and_then(|picture| self.lay(picture)).is_none() {
            draw(self);
        }
    }

    fn text_width(&self, words: &str, font: Font) -> f64 {
        self.widths.of(words, font, || {
            self.set_font(font);
            let measured = self.context.measure_text(words);
            measured.map_or_else(|_| metrics::text_width(words, font), |measured| measured.width())
        })
    }
}
