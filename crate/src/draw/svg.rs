//! A surface that writes SVG text: real words, a title and a description, and nothing but presentation attributes,
//! so that it stays whole inside a page whose policy forbids inline style.

use super::colour::Colour;
use super::metrics;
use super::outline::{Outline, Point, Verb};
use super::surface::{Anchor, ArcText, Dash, Face, FillRule, Font, Pen, Reading, Surface, Text};

const SANS: &str =
    "ui-sans-serif,-apple-system,'Segoe UI','Noto Sans',Roboto,'Liberation Sans','DejaVu Sans',sans-serif";
const SERIF: &str = "'Iowan Old Style','Palatino Linotype',Palatino,'URW Palladio L',P052,'TeX Gyre Pagella','Noto Serif',Georgia,'DejaVu Serif',serif";

/// A picture being written.
#[derive(Clone, Debug)]
pub struct SvgSurface {
    body: String,
    names: String,
    named: usize,
}

impl SvgSurface {
    /// An empty picture. Several pictures may stand in one page if their `names` differ:
    /// it begins the name of every part that must have one.
    pub fn new(names: &str) -> Self {
        Self { body: String::new(), names: names.to_owned(), named: 0 }
    }

    /// The whole picture, so many pixels wide and high.
    pub fn finish(self, width: f64, height: f64, title: &str, description: &str) -> String {
        let (w, h) = (number(width), number(height));
        let mut svg = String::with_capacity(self.body.len() + 512);
        svg.push_str(&format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {w} {h}\" width=\"{w}\" height=\"{h}\" role=\"img\" \
             aria-labelledby=\"{names}t {names}d\" font-family=\"{SANS}\" font-variant=\"tabular-nums lining-nums\">\n\
             <title id=\"{names}t\">{}</title>\n<desc id=\"{names}d\">{}</desc>\n{}</svg>\n",
            escape(title),
            escape(description),
            self.body,
            names = self.names,
        ));
        svg
    }

    fn name(&mut self) -> String {
        self.named += 1;
        format!("{}{}", self.names, self.named)
    }

    fn add(&mut self, line: std::fmt::Arguments<'_>) {
        self.body.push_str(&format!("{line}\n"));
    }
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
        let halo = text.halo.map_or_else(String::new, |halo| {
            format!(
                " paint-order=\"stroke\" stroke-width=\"{}\" stroke-linejoin=\"round\" {}",
                number(halo.width),
                paint("stroke", halo.colour)
            )
        });
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
        let halo = text.halo.map_or_else(String::new, |halo| {
            format!(
                " paint-order=\"stroke\" stroke-width=\"{}\" stroke-linejoin=\"round\" {}",
                number(halo.width),
                paint("stroke", halo.colour)
            )
        });
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

fn path(outline: &Outline) -> String {
    let mut d = String::new();
    let pair = |d: &mut String, letter: char, point: Point| {
        d.push_str(&format!("{letter}{} {}", number(point.x), number(point.y)));
    };
    for verb in outline.verbs() {
        match *verb {
            Verb::Move(to) => pair(&mut d, 'M', to),
            Verb::Line(to) => pair(&mut d, 'L', to),
            Verb::Quad(control, to) => {
                pair(&mut d, 'Q', control);
                pair(&mut d, ' ', to);
            }
            Verb::Arc { centre, radius, from_deg, to_deg } => {
                let (large, sweep) = (u8::from((to_deg - from_deg).abs() > 180.0), u8::from(to_deg > from_deg));
                d.push_str(&format!("A{r} {r} 0 {large} {sweep}", r = number(radius)));
                pair(&mut d, ' ', centre.toward(to_deg, radius));
            }
            Verb::Close => d.push('Z'),
        }
    }
    d
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
        text.push_str(&format!(" stroke-dasharray=\"{} {}\" stroke-linecap=\"round\"", number(on), number(off)));
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
        let mut svg = SvgSurface::new("x");
        let font = Font::new(Face::Sans, 12.0);
        svg.text(&Text::new("</text><script>\u{0}&\"", Point::default(), font, Colour::BLACK));
        svg.open_group("<b>");
        svg.close_group();
        let whole = svg.finish(10.0, 10.0, "a<b", "c&d");
        assert!(!whole.contains("<script>") && !whole.contains("<b>") && !whole.contains('\0'));
        assert!(whole.contains("&lt;/text&gt;&lt;script&gt;&amp;&quot;"));
        assert!(whole.contains("<title id=\"xt\">a&lt;b</title>"));
    }

    #[test]
    fn arcs_know_their_way() {
        let arc = Outline::new().arc(Point::default(), 10.0, 0.0, 90.0);
        assert_eq!(path(&arc), "M0 -10A10 10 0 0 1 10 0");
        let back = Outline::new().arc(Point::default(), 10.0, 90.0, -180.0);
        assert_eq!(path(&back), "M10 0A10 10 0 1 0 0 10");
    }
}
