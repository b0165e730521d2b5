//! A surface that writes SVG text: real words, a title and a description, and nothing but presentation attributes,
//! so that it stays whole inside a page whose policy forbids inline style.

use super::colour::Colour;
use super::metrics;
use super::outline::{Outline, Point, Verb};
use super::surface::{Anchor, ArcText, Dash, Face, FillRule, Font, Pen, Reading, Surface, Text};

const SANS: &str =
    "ui-sans-serif,-apple-system,'Segoe UI','Noto Sans',Roboto,'Liberation Sans','DejaVu Sans',sans-serif";
const SERIF: &str = "'Iowan Old Style','Palatino Linotype',Palatino,'URW Palladio L',P052,'TeX Gyre Pagella','Noto Serif',Georgia,'DejaVu Serif',serif";

/// Stands for the picture's own beginning of names until all of it is drawn; no words can hold it.
const OWN: char = '\u{1}';

/// A picture being written.
#[derive(Clone, Debug, Default)]
pub struct SvgSurface {
    body: String,
    named: usize,
}

impl SvgSurface {
    /// An empty picture.
    pub fn new() -> Self {
        Self::default()
    }

    /// The whole picture, so many pixels wide and high. `title` and `description` stand in it for readers who do not
    /// see it. The same drawing always gives the same text, and different ones may stand in one page:
    /// names of parts begin differently in each.
    pub fn finish(self, width: f64, height: f64, title: &str, description: &str) -> String {
        let (w, h) = (number(width), number(height));
        let svg = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"img\" \
             aria-labelledby=\"{OWN}t {OWN}d\" font-family=\"{SANS}\" font-variant=\"tabular-nums lining-nums\">\n\
             <title id=\"{OWN}t\">{}</title>\n<desc id=\"{OWN}d\">{}</desc>\n{}</svg>\n",
            escape(title),
            escape(description),
            self.body,
        );
        // FNV-1a (G. Fowler, L. C. Noll, K.-P. Vo) of the picture: short, and not for secrets
        let hash = svg.bytes().fold(0x811C_9DC5_u32, |hash, byte| (hash ^ u32::from(byte)).wrapping_mul(0x0100_0193));
        svg.replace(OWN, &format!("f{hash:08x}-"))
    }

    /// Draws something with its origin at a place.
    pub fn moved(&mut self, x: f64, y: f64, draw: impl FnOnce(&mut Self)) {
        self.add(format_args!("<g transform=\"translate({} {})\">", number(x), number(y)));
        draw(self);
        self.add(format_args!("</g>"));
    }

    /// Fills a shape under all that is drawn already.
    pub fn on_ground(&mut self, outline: &Outline, colour: Colour) {
        let drawn = std::mem::take(&mut self.body);
        self.fill(outline, FillRule::NonZero, colour);
        self.body += &drawn;
    }

    fn name(&mut self) -> String {
        self.named += 1;
        format!("{OWN}{}", self.named)
    }

    fn add(&mut self, line: std::fmt::Arguments<'_>) {
        self.body.extend([line.to_string().as_str(), "\n"]);
    }
}

/// Attributes of the rim that keeps words apart from what lies under them.
fn halo_of(halo: Option<super::surface::Halo>) -> String {
    halo.map_or_else(String::new, |halo| {
        format!(
            " paint-order=\"stroke\" stroke-width=\"{}\" stroke-linejoin=\"round\" {}",
            number(halo.width),
            paint("stroke", halo.colour)
        )
    })
}

impl Surface for SvgSurface {
    fn fill(&mut self, outline: &Outline, rule: FillRule, colour: Colour) {
        if outline.is_empty() {
            return;
        }
        let rule = match rule {
            FillRule::EvenOdd => " fill-rule=\"evenodd\"",
            FillRule::NonZero => "",
        };
        self.add(format_args!("<path d=\"{}\" {}{rule}/>", path(outline), paint("fill", colour)));
    }

    fn stroke(&mut self, outline: &Outline, pen: &Pen) {
        if outline.is_empty() {
            return;
        }
        self.add(format_args!("<path d=\"{}\" fill=\"none\" {}/>", path(outline), stroke(pen)));
    }

    fn circle(&mut self, centre: Point, radius: f64, fill: Option<Colour>, pen: Option<&Pen>) {
        let fill = fill.map_or_else(|| "fill=\"none\"".to_owned(), |colour| paint("fill", colour));
        let pen = pen.map_or_else(String::new, |pen| format!(" {}", stroke(pen)));
        let (x, y, r) = (number(centre.x), number(centre.y), number(radius));
        self.add(format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" {fill}{pen}/>"));
    }

    fn text(&mut self, text: &Text<'_>) {
        let (x, y) = (number(text.at.x), number(text.at.y));
        let turn = if text.turn_deg.abs() < 1e-9 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {x} {y})\"", number(text.turn_deg))
        };
        let halo = halo_of(text.halo);
        let (font, anchor) = (face(text.font), anchor(text.anchor));
        let colour = paint("fill", text.colour);
        self.add(format_args!(
            "<text x=\"{x}\" y=\"{y}\"{turn} {font}{anchor} {colour}{halo}>{}</text>",
            escape(text.words)
        ));
    }

    fn text_on_arc(&mut self, text: &ArcText<'_>) {
        let name = self.name();
        // half a circle either way of the anchor holds any words that could be read on it
        let (from, to) = match text.reading {
            Reading::Clockwise => (text.bearing_deg - 170.0, text.bearing_deg + 170.0),
            Reading::Counterclockwise => (text.bearing_deg + 170.0, text.bearing_deg - 170.0),
        };
        let arc = Outline::new().arc(text.centre, text.radius, from, to);
        let halo = halo_of(text.halo);
        let (font, anchor) = (face(text.font), anchor(text.anchor));
        let colour = paint("fill", text.colour);
        self.add(format_args!("<path id=\"{name}\" d=\"{}\" fill=\"none\"/>", path(&arc)));
        self.add(format_args!(
            "<text {font}{anchor} {colour}{halo}><textPath href=\"#{name}\" startOffset=\"50%\">{}</textPath></text>",
            escape(text.words)
        ));
    }

    fn push_clip_circle(&mut self, centre: Point, radius: f64) {
        let name = self.name();
        let (x, y, r) = (number(centre.x), number(centre.y), number(radius));
        self.add(format_args!("<clipPath id=\"{name}\"><circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\"/></clipPath>"));
        self.add(format_args!("<g clip-path=\"url(#{name})\">"));
    }

    fn pop_clip(&mut self) {
        self.add(format_args!("</g>"));
    }

    fn open_group(&mut self, title: &str) {
        self.add(format_args!("<g><title>{}</title>", escape(title)));
    }

    fn close_group(&mut self) {
        self.add(format_args!("</g>"));
    }

    fn backdrop(&mut self, _key: &[u64], draw: &mut dyn FnMut(&mut dyn Surface)) {
        draw(self);
    }

    fn text_width(&self, words: &str, font: Font) -> f64 {
        metrics::text_width(words, font)
    }
}

/// A number with at most two decimals, always written the same way; what is not finite becomes 0.
fn number(value: f64) -> String {
    if !value.is_finite() {
        return "0".to_owned();
    }
    let text = format!("{value:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

/// From so many steps on, lines are written from place to place, which takes half the room.
const LONG: usize = 48;

fn path(outline: &Outline) -> String {
    let mut d = String::new();
    let long = outline.verbs().len() >= LONG;
    let mut here = Point::default();
    for verb in outline.verbs() {
        match *verb {
            Verb::Move(to) => {
                pair(&mut d, 'M', to);
                here = to;
            }
            Verb::Line(to) if long => {
                // from the place as it was written, so that rounding never adds up
                d.push('l');
                d.push_str(&short(hundredths(to.x) - hundredths(here.x)));
                let down = short(hundredths(to.y) - hundredths(here.y));
                if !down.starts_with('-') {
                    d.push(' ');
                }
                d.push_str(&down);
                here = to;
            }
            Verb::Line(to) => {
                pair(&mut d, 'L', to);
                here = to;
            }
            Verb::Quad(control, to) => {
                pair(&mut d, 'Q', control);
                pair(&mut d, ' ', to);
                here = to;
            }
            Verb::Arc { centre, radius, from_deg, to_deg } => {
                let (large, sweep) = ((to_deg - from_deg).abs() > 180.0, to_deg > from_deg);
                let to = centre.toward(to_deg, radius);
                let radius = number(radius);
                d.extend([
                    "A",
                    &radius,
                    " ",
                    &radius,
                    if large { " 0 1" } else { " 0 0" },
                    if sweep { " 1" } else { " 0" },
                ]);
                pair(&mut d, ' ', to);
                here = to;
            }
            Verb::Close => d.push('Z'),
        }
    }
    d
}

fn pair(d: &mut String, letter: char, point: Point) {
    d.push(letter);
    d.push_str(&number(point.x));
    d.push(' ');
    d.push_str(&number(point.y));
}

/// Whole hundredths of a pixel.
fn hundredths(value: f64) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a place in a picture; what is not finite becomes 0")]
    let whole = (value * 100.0).round() as i64;
    whole
}

/// Hundredths as pixels, without a needless zero before the point.
fn short(hundredths: i64) -> String {
    #[expect(clippy::cast_precision_loss, reason = "a few thousand")]
    let text = number(hundredths as f64 / 100.0);
    match (text.strip_prefix("0."), text.strip_prefix("-0.")) {
        (Some(fraction), _) => format!(".{fraction}"),
        (_, Some(fraction)) => format!("-.{fraction}"),
        _ => text,
    }
}

fn paint(attribute: &str, colour: Colour) -> String {
    let opaque = colour.with_alpha(1.0).css();
    if colour.alpha < 1.0 {
        format!("{attribute}=\"{opaque}\" {attribute}-opacity=\"{}\"", number(f64::from(colour.alpha)))
    } else {
        format!("{attribute}=\"{opaque}\"")
    }
}

fn stroke(pen: &Pen) -> String {
    let mut text =
        format!("{} stroke-width=\"{}\" stroke-linejoin=\"round\"", paint("stroke", pen.colour), number(pen.width));
    if let Dash::Dotted { on, off } = pen.dash {
        let gaps = format!(" stroke-dasharray=\"{} {}\" stroke-linecap=\"round\"", number(on), number(off));
        text.push_str(&gaps);
    }
    text
}

fn face(font: Font) -> String {
    let size = number(font.size);
    match font.face {
        Face::Sans => format!("font-size=\"{size}\""),
        Face::SansBold => format!("font-size=\"{size}\" font-weight=\"600\""),
        Face::Serif => format!("font-family=\"{SERIF}\" font-size=\"{size}\""),
        Face::SerifItalic => format!("font-family=\"{SERIF}\" font-style=\"italic\" font-size=\"{size}\""),
    }
}

fn anchor(anchor: Anchor) -> &'static str {
    match anchor {
        Anchor::Start => "",
        Anchor::Middle => " text-anchor=\"middle\"",
        Anchor::End => " text-anchor=\"end\"",
    }
}

/// Words as text of a markup file: characters with a meaning there are escaped, characters it cannot hold left out.
fn escape(words: &str) -> String {
    let mut text = String::with_capacity(words.len());
    for letter in words.chars() {
        match letter {
            '&' => text.push_str("&amp;"),
            '<' => text.push_str("&lt;"),
            '>' => text.push_str("&gt;"),
            '"' => text.push_str("&quot;"),
            '\u{fffe}' | '\u{ffff}' => {}
            letter if letter.is_control() && !matches!(letter, '\n' | '\t') => {}
            letter => text.push(letter),
        }
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_stable() {
        assert_eq!(number(1.0), "1");
        assert_eq!(number(-0.001), "0");
        assert_eq!(number(12.3456), "12.35");
        assert_eq!(number(100.0), "100");
        assert_eq!(number(f64::NAN), "0");
    }

    #[test]
    fn words_never_become_markup() {
        let mut svg = SvgSurface::new();
        let font = Font::new(Face::Sans, 12.0);
        svg.text(&Text::new("</text><script>\u{0}&\"", Point::default(), font, Colour::BLACK));
        svg.open_group("<b>");
        svg.close_group();
        let whole = svg.finish(10.0, 10.0, "a<b", "c&d");
        assert!(!whole.contains("<script>") && !whole.contains("<b>") && !whole.contains('\0'));
        assert!(whole.contains("&lt;/text&gt;&lt;script&gt;&amp;&quot;"));
        assert!(whole.contains("t\">a&lt;b</title>") && !whole.contains(OWN));
    }

    #[test]
    fn long_lines_are_written_from_place_to_place() {
        let mut line = Outline::new();
        let places: Vec<Point> = (0..60).map(|at| Point::new(f64::from(at) * 0.333, -f64::from(at) * 0.5)).collect();
        line.add_line(&places);
        let d = path(&line);
        let steps: Vec<&str> = d.split(['M', 'l']).skip(1).collect();
        let first = "0 0l.33-.5l.34-.5l.33-.5";
        assert!(d.starts_with(&format!("M{first}")), "{d}");
        let x: f64 = steps.iter().filter_map(|step| step.split(['-', ' ']).next()?.parse::<f64>().ok()).sum();
        assert!((x - 59.0 * 0.333).abs() < 0.006, "rounding adds up: {x}");
    }

    #[test]
    fn arcs_know_their_way() {
        let arc = Outline::new().arc(Point::default(), 10.0, 0.0, 90.0);
        assert_eq!(path(&arc), "M0 -10A10 10 0 0 1 10 0");
        let back = Outline::new().arc(Point::default(), 10.0, 90.0, -180.0);
        assert_eq!(path(&back), "M10 0A10 10 0 1 0 0 10");
    }
}
